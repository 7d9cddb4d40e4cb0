// The pump's curves between, at and beyond the catalogue's points, and the branch around the pump.
#include "config/hydraulics/pump_curve.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "config/hydraulics/gravity.hpp"
#include "sample_water_station.hpp"
#include "sim_plant/physics/branch.hpp"

namespace {

using namespace freshet;
using namespace freshet::plant;

const config::PumpType& catalogue() {
    static const config::PumpType type = tests::water_station().pump;
    return type;
}

TEST(PumpCurve, passes_through_every_catalogue_point) {
    const config::PumpCurve curve(catalogue(), {});
    for (const config::PumpPoint& point : catalogue().curve) {
        EXPECT_NEAR(curve.head_m(point.flow_m3s), point.head_m, 1e-12);
        EXPECT_NEAR(curve.npshr_m(point.flow_m3s), point.npshr_m, 1e-12);
        if (point.flow_m3s == 0) continue;
        EXPECT_NEAR(curve.efficiency(point.flow_m3s), point.efficiency, 1e-12);
    }
}

TEST(PumpCurve, head_falls_all_the_way_and_beyond_the_last_point) {
    const config::PumpCurve curve(catalogue(), {});
    double before = curve.head_m(0);
    for (double flow = 0.001; flow < 1.2; flow += 0.001) {
        const double head = curve.head_m(flow);
        ASSERT_LT(head, before) << "at " << flow << " m3/s";
        before = head;
    }
}

TEST(PumpCurve, shut_off_takes_power) {
    const config::PumpCurve curve(catalogue(), {});
    EXPECT_GT(curve.torque_nm(0), 0.25 * curve.torque_nm(0.2));
    EXPECT_LT(curve.torque_nm(0), curve.torque_nm(0.2));
}

TEST(PumpCurve, gives_the_flow_at_a_head_back) {
    const config::PumpCurve curve(catalogue(), {});
    for (double flow = 0.001; flow < 0.9; flow += 0.013) {
        EXPECT_NEAR(curve.flow_m3s(0.9 * curve.head_m(flow) - 3 * flow * flow, 0.9, 3), flow, 1e-9);
    }
}

TEST(PumpCurve, refuses_points_that_do_not_make_a_curve) {
    config::PumpType type = catalogue();
    type.curve.resize(2);
    EXPECT_THROW(config::PumpCurve(type, {}), std::invalid_argument);
    type = catalogue();
    type.curve[2].head_m = 50;  // rises
    EXPECT_THROW(config::PumpCurve(type, {}), std::invalid_argument);
    type = catalogue();
    type.curve[2].flow_m3s = 0.1;  // goes back
    EXPECT_THROW(config::PumpCurve(type, {}), std::invalid_argument);
    type = catalogue();
    type.curve[1].efficiency = 0;
    EXPECT_THROW(config::PumpCurve(type, {}), std::invalid_argument);
    type = catalogue();
    type.rated_speed_rpm = 0;
    EXPECT_THROW(config::PumpCurve(type, {}), std::invalid_argument);
}

TEST(PumpCurve, heavier_fluid_takes_more_torque_for_the_same_head) {
    config::Fluid brine;
    brine.density_kgm3 = 1.1 * config::Fluid{}.density_kgm3;
    EXPECT_NEAR(config::PumpCurve(catalogue(), brine).torque_nm(0.4),
                1.1 * config::PumpCurve(catalogue(), {}).torque_nm(0.4), 1e-9);
}

Branch branch_at(const config::PumpCurve& curve, double speed, BranchFaults faults = {}) {
    Branch branch;
    branch.faults = faults;
    set_branch(branch, curve, 5, speed, 1);
    return branch;
}

TEST(Branch, lifts_what_the_curve_gives_less_the_branch_loss) {
    const config::PumpCurve curve(catalogue(), {});
    const double lift = 40 - 5 * 0.4 * 0.4;
    EXPECT_NEAR(branch_flow(branch_at(curve, 1), curve, lift, 0).flow_m3s, 0.4, 1e-12);
    EXPECT_NEAR(branch_flow(branch_at(curve, 0.8), curve, 0.64 * lift, 0).flow_m3s, 0.8 * 0.4, 1e-12);
}

TEST(Branch, slope_is_that_of_the_flow) {
    const config::PumpCurve curve(catalogue(), {});
    for (const double speed : {0.0, 0.6, 1.0}) {
        const Branch branch = branch_at(curve, speed);
        for (const double lift : {-30.0, -5.0, 10.0, 30.0, 60.0}) {
            const double up = branch_flow(branch, curve, lift + 1e-5, 0.5).flow_m3s;
            const double down = branch_flow(branch, curve, lift - 1e-5, 0.5).flow_m3s;
            const double slope = branch_flow(branch, curve, lift, 0.5).slope_m2s;
            EXPECT_NEAR(slope, (up - down) / 2e-5, 1e-4 * std::abs(slope) + 1e-9) << speed << " " << lift;
        }
    }
}

TEST(Branch, a_shut_valve_passes_nothing_back_and_an_open_one_does) {
    const config::PumpCurve curve(catalogue(), {});
    const Branch stopped = branch_at(curve, 0);
    EXPECT_EQ(branch_flow(stopped, curve, 24, 0).flow_m3s, 0);
    const double wide = branch_flow(stopped, curve, 24, 1).flow_m3s;
    EXPECT_NEAR(wide, -std::sqrt(24 / (5 + curve.stopped_loss_s2m5())), 1e-12);
    EXPECT_NEAR(branch_flow(stopped, curve, 24, 0.25).flow_m3s, 0.25 * wide, 1e-12);
}

TEST(Branch, water_runs_down_through_a_stopped_pump) {
    const config::PumpCurve curve(catalogue(), {});
    EXPECT_NEAR(branch_flow(branch_at(curve, 0), curve, -6, 0).flow_m3s,
                std::sqrt(6 / (5 + curve.stopped_loss_s2m5())), 1e-12);
}

TEST(Branch, passes_smoothly_from_turning_to_stopped) {
    const config::PumpCurve curve(catalogue(), {});
    const double slow = branch_flow(branch_at(curve, 0.0011), curve, -6, 0).flow_m3s;
    EXPECT_NEAR(slow, branch_flow(branch_at(curve, 0), curve, -6, 0).flow_m3s, 2e-3 * slow);
}

TEST(Branch, wear_takes_head_and_blockage_takes_flow) {
    const config::PumpCurve curve(catalogue(), {});
    const double sound = branch_flow(branch_at(curve, 1), curve, 35, 0).flow_m3s;
    const double worn = branch_flow(branch_at(curve, 1, {0.9, 0, false}), curve, 35, 0).flow_m3s;
    const double blocked = branch_flow(branch_at(curve, 1, {1, 0.6, false}), curve, 35, 0).flow_m3s;
    EXPECT_NEAR(0.9 * curve.head_m(worn) - 5 * worn * worn, 35, 1e-9);
    EXPECT_LT(worn, sound);
    EXPECT_LT(blocked, 0.8 * sound);
    EXPECT_GT(blocked, 0);
    EXPECT_EQ(branch_flow(branch_at(curve, 1, {1, 1, false}), curve, 35, 1).flow_m3s, 0);
}

}  // namespace
