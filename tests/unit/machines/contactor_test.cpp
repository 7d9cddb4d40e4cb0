// Contactors: times, auxiliary contacts, faults, and what needs a new order.
#include "sim_plant/physics/contactor.hpp"

#include <gtest/gtest.h>

namespace freshet::plant {
namespace {

using config::FaultKind;

config::Contactor slow_contactor() {
    return {.closing_s = 0.06, .opening_s = 0.03, .spread_s = 0.005};
}

struct ContactorRig {
    Contactor contactor{slow_contactor()};
    MachineNoise noise{7};
    /// Time from now until the main contacts change, in steps of 0.1 ms; negative when they do not within a
    /// second.
    double until_change_s() {
        constexpr double step_s = 1e-4;
        for (int n = 1; n <= 10000; ++n)
            if (contactor.advance(step_s)) return n * step_s;
        return -1;
    }
};

TEST(Contactor, closes_after_its_closing_time_within_its_spread) {
    double least = 1;
    double most = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        ContactorRig rig;
        rig.noise = MachineNoise(seed);
        rig.contactor.order(true, rig.noise);
        const double took = rig.until_change_s();
        least = std::min(least, took);
        most = std::max(most, took);
    }
    EXPECT_GE(least, 0.055);
    EXPECT_LT(least, 0.056);
    EXPECT_LE(most, 0.0651);
    EXPECT_GT(most, 0.064);
}

TEST(Contactor, gives_the_remaining_time_of_its_movement) {
    ContactorRig rig;
    EXPECT_EQ(rig.contactor.movement_left_s(), std::numeric_limits<double>::infinity());
    rig.contactor.order(true, rig.noise);
    const double left = rig.contactor.movement_left_s();
    rig.contactor.advance(0.01);
    EXPECT_NEAR(rig.contactor.movement_left_s(), left - 0.01, 1e-12);
}

TEST(Contactor, goes_back_when_the_order_is_withdrawn_before_the_contacts_meet) {
    ContactorRig rig;
    rig.contactor.order(true, rig.noise);
    rig.contactor.advance(0.02);
    rig.contactor.order(false, rig.noise);
    EXPECT_LT(rig.until_change_s(), 0);
    EXPECT_FALSE(rig.contactor.closed());
}

TEST(Contactor, that_does_not_close_stays_open_until_the_fault_is_cleared) {
    ContactorRig rig;
    rig.contactor.set_fault(FaultKind::does_not_close, true, 0);
    rig.contactor.order(true, rig.noise);
    EXPECT_LT(rig.until_change_s(), 0);
    rig.contactor.set_fault(FaultKind::does_not_close, false, 0);
    rig.contactor.order(true, rig.noise);
    EXPECT_GT(rig.until_change_s(), 0);
    EXPECT_TRUE(rig.contactor.closed());
}

TEST(Contactor, that_does_not_open_stays_closed_even_when_its_coil_loses_supply) {
    ContactorRig rig;
    rig.contactor.order(true, rig.noise);
    ASSERT_GT(rig.until_change_s(), 0);
    rig.contactor.set_fault(FaultKind::does_not_open, true, 0);
    rig.contactor.fall_out(rig.noise);
    EXPECT_LT(rig.until_change_s(), 0);
    EXPECT_TRUE(rig.contactor.closed());
}

TEST(Contactor, that_closes_late_takes_so_much_longer) {
    ContactorRig rig;
    rig.contactor.set_fault(FaultKind::closes_late, true, 0.4);
    rig.contactor.order(true, rig.noise);
    EXPECT_NEAR(rig.until_change_s(), 0.46, 0.0051);
}

TEST(Contactor, that_lies_says_the_other_thing_and_moves_truly) {
    ContactorRig rig;
    rig.contactor.set_fault(FaultKind::lies_closed, true, 0);
    EXPECT_TRUE(rig.contactor.auxiliary_closed());
    EXPECT_FALSE(rig.contactor.closed());
    rig.contactor.set_fault(FaultKind::lies_closed, false, 0);
    rig.contactor.set_fault(FaultKind::lies_open, true, 0);
    rig.contactor.order(true, rig.noise);
    rig.until_change_s();
    EXPECT_TRUE(rig.contactor.closed());
    EXPECT_FALSE(rig.contactor.auxiliary_closed());
}

TEST(Contactor, that_fell_out_needs_its_order_withdrawn_and_given_again) {
    ContactorRig rig;
    rig.contactor.order(true, rig.noise);
    rig.until_change_s();
    rig.contactor.fall_out(rig.noise);
    EXPECT_NEAR(rig.until_change_s(), 0.03, 0.0051);
    rig.contactor.order(true, rig.noise);
    EXPECT_LT(rig.until_change_s(), 0) << "a standing order must not close it again";
    rig.contactor.order(false, rig.noise);
    rig.contactor.order(true, rig.noise);
    EXPECT_GT(rig.until_change_s(), 0);
}

}  // namespace
}  // namespace freshet::plant
