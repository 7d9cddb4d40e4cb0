// Equal wear: the spread of hours and starts over the available pumps.
// One reason to change: the meaning of the figure.
#include "controller/record/wear.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace freshet::record {
namespace {

constexpr std::int64_t hour_ms = 3'600'000;

core::Advice of_three_pumps() {
    core::Advice advice;
    advice.figures[0] = {.run_ms = 100 * hour_ms, .starts = 40};
    advice.figures[1] = {.run_ms = 130 * hour_ms, .starts = 44};
    advice.figures[2] = {.run_ms = 900 * hour_ms, .starts = 41};
    return advice;
}

TEST(Wear, is_the_spread_over_all_pumps_of_the_station_and_no_other) {
    RunSummary summary;
    set_wear(summary, of_three_pumps(), 3);
    EXPECT_DOUBLE_EQ(summary.wear_run_h_spread, 800);
    EXPECT_DOUBLE_EQ(summary.wear_starts_spread, 4);
}
TEST(Wear, leaves_out_a_pump_that_cannot_be_counted_on) {
    for (const core::PumpState state : {core::PumpState::unavailable, core::PumpState::locked_out}) {
        core::Advice advice = of_three_pumps();
        advice.pumps[2].state = state;
        RunSummary summary;
        set_wear(summary, advice, 3);
        EXPECT_DOUBLE_EQ(summary.wear_run_h_spread, 30);
    }
}
TEST(Wear, of_a_single_pump_is_not_known) {
    core::Advice advice = of_three_pumps();
    advice.pumps[0].state = advice.pumps[1].state = core::PumpState::unavailable;
    RunSummary summary;
    set_wear(summary, advice, 3);
    EXPECT_TRUE(std::isnan(summary.wear_run_h_spread));
    EXPECT_TRUE(std::isnan(summary.wear_starts_spread));
}

}  // namespace
}  // namespace freshet::record
