// The float switch: when it tells, and how it fails.
#include "sim_plant/sensors/float_switch.hpp"

#include <gtest/gtest.h>

namespace {

using freshet::config::FaultKind;
using freshet::plant::Float;

TEST(Float, turns_on_above_and_off_below_its_level_by_half_the_differential) {
    Float high(5.0, 0.1);
    EXPECT_FALSE(high.step(5.04));
    EXPECT_TRUE(high.step(5.06));
    EXPECT_TRUE(high.step(4.96));
    EXPECT_FALSE(high.step(4.94));
}

TEST(Float, does_not_chatter_in_waves_within_its_differential) {
    Float high(5.0, 0.1);
    high.step(5.2);
    for (int i = 0; i < 100; ++i) EXPECT_TRUE(high.step(i % 2 == 0 ? 4.97 : 5.03));
}

TEST(Float, without_a_differential_follows_the_level) {
    Float low(1.0, 0.0);
    EXPECT_TRUE(low.step(1.0));
    EXPECT_FALSE(low.step(0.999));
}

TEST(FloatFault, stuck_on_and_stuck_off_hide_the_level) {
    Float high(5.0, 0.1);
    ASSERT_TRUE(high.set_fault(FaultKind::stuck_on));
    EXPECT_TRUE(high.step(1.0));
    ASSERT_TRUE(high.set_fault(FaultKind::stuck_off));
    EXPECT_FALSE(high.step(6.0));
}

TEST(FloatFault, stuck_holds_the_contact_as_it_was) {
    Float high(5.0, 0.1);
    high.step(5.5);
    high.set_fault(FaultKind::frozen);
    EXPECT_TRUE(high.step(1.0));
}

TEST(FloatFault, a_broken_wire_reads_as_not_floating) {
    Float low(1.0, 0.1);
    low.step(3.0);
    low.set_fault(FaultKind::dead);
    EXPECT_FALSE(low.step(3.0));
}

TEST(FloatFault, tells_the_truth_again_as_soon_as_it_is_freed) {
    Float high(5.0, 0.1);
    high.set_fault(FaultKind::stuck_off);
    high.step(5.5);
    high.clear_fault();
    EXPECT_TRUE(high.step(5.0));  // within the differential: on, because it rose through it
}

TEST(FloatFault, of_another_device_is_refused) {
    Float high(5.0, 0.1);
    EXPECT_FALSE(high.set_fault(FaultKind::drift));
}

}  // namespace
