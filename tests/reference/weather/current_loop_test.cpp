// The 4-20 mA loop against the published limits of its currents.
// One reason to change: a published limit.
//
// Sources: NAMUR NE 43, as quoted in "NAMUR NE 43 for process instrumentation diagnostics"
// (electricalandcontrol.com/namur-ne-43-for-process-instrumentation-diagnostics), not from the recommendation
// itself;
// scaling: definition of a 4-20 mA loop.
#include <gtest/gtest.h>

#include <array>

#include "sim_plant/sensors/current_loop.hpp"

namespace {

using namespace freshet::plant;

// NAMUR NE 43, as quoted.
TEST(CurrentLoop, measures_from_3_8_to_20_5_milliamperes) {
    EXPECT_FALSE(loop_failed(3.8));
    EXPECT_FALSE(loop_failed(20.5));
    EXPECT_EQ(loop_measuring_low_ma, 3.8);
    EXPECT_EQ(loop_measuring_high_ma, 20.5);
}
// NAMUR NE 43, as quoted.
TEST(CurrentLoop, shows_failure_at_3_6_and_below_and_at_21_and_above) {
    EXPECT_TRUE(loop_failed(3.6));
    EXPECT_TRUE(loop_failed(0.0));
    EXPECT_TRUE(loop_failed(21.0));
    EXPECT_FALSE(loop_failed(3.61));
    EXPECT_FALSE(loop_failed(20.99));
}
// Computed from the definition.
TEST(CurrentLoop, scales_to_percent_of_span_at_the_limits) {
    constexpr std::array<std::array<double, 2>, 5> expected{
        {{3.6, -2.5}, {3.8, -1.25}, {12, 50}, {20.5, 103.125}, {21, 106.25}}};
    for (const auto& [current_ma, percent] : expected)
        EXPECT_NEAR(loop_value(current_ma, 0, 100), percent, 1e-12) << current_ma << " mA";
}
// Computed from the definition, with an invented range of 0.5 to 5.5 m.
TEST(CurrentLoop, scales_to_its_range) {
    EXPECT_NEAR(loop_value(12, 0.5, 5.5), 3.0, 1e-12);
    EXPECT_NEAR(loop_value(8, 0.5, 5.5), 1.75, 1e-12);
    EXPECT_NEAR(loop_value(8, 5.5, 0.5), 4.25, 1e-12);  // a reversed range
}

}  // namespace
