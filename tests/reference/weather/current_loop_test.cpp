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
    EXPECT_EQ(loop_meaning(3.8), LoopMeaning::measuring);
    EXPECT_EQ(loop_meaning(20.5), LoopMeaning::measuring);
    EXPECT_NE(loop_meaning(3.79), LoopMeaning::measuring);
    EXPECT_NE(loop_meaning(20.51), LoopMeaning::measuring);
}
// NAMUR NE 43, as quoted. The name `saturated` for the currents between is ours.
TEST(CurrentLoop, shows_failure_at_3_6_and_below_and_at_21_and_above) {
    EXPECT_EQ(loop_meaning(3.6), LoopMeaning::failed);
    EXPECT_EQ(loop_meaning(0.0), LoopMeaning::failed);
    EXPECT_EQ(loop_meaning(21.0), LoopMeaning::failed);
    EXPECT_EQ(loop_meaning(3.61), LoopMeaning::saturated);
    EXPECT_EQ(loop_meaning(20.99), LoopMeaning::saturated);
}
// Computed from the definition.
TEST(CurrentLoop, scales_to_percent_of_span_at_the_limits) {
    constexpr std::array<std::array<double, 2>, 5> expected{
        {{3.6, -2.5}, {3.8, -1.25}, {12, 50}, {20.5, 103.125}, {21, 106.25}}};
    for (const auto& [current_ma, percent] : expected)
        EXPECT_NEAR(loop_percent_of_span(current_ma), percent, 1e-12) << current_ma << " mA";
}
// Computed from the definition, with an invented range of 0.5 to 5.5 m.
TEST(CurrentLoop, scales_back_and_forth) {
    for (const double level_m : {0.0, 1.25, 3.0, 5.0})
        EXPECT_NEAR(loop_value(loop_current_ma(level_m, 0.5, 5.5), 0.5, 5.5), level_m, 1e-12);
    EXPECT_NEAR(loop_current_ma(3.0, 0.5, 5.5), 12, 1e-12);
    EXPECT_NEAR(loop_current_ma(3.0, 5.5, 0.5), 12, 1e-12);  // a reversed range
}

}  // namespace
