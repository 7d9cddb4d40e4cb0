// The shipped cloudburst with the forecast and without the forecast.
// One reason to change: the benefit that the forecast must have.
#include <gtest/gtest.h>

#include <iostream>

#include "sim_plant/bench/bench.hpp"
#include "sim_plant/studies/comparison.hpp"
#include "tests/property/campaign/coupled.hpp"

namespace freshet::campaign {
namespace {

TEST(Cloudburst, stays_lower_with_the_forecast_by_thirty_per_cent_of_the_margin_without_more_starts) {
    const Base base = load_base("cloudburst");
    const config::Station& station = base.station.station;
    core::Settings settings_without = base.station.settings;
    const studies::LeftOut* forecast = studies::find_left_out("no-forecast");
    ASSERT_NE(forecast, nullptr);
    forecast->leave_out(settings_without);
    const record::RunSummary with_forecast =
        bench::run(station, base.station.settings, base.scenario, base.plan, {});
    const record::RunSummary without_forecast =
        bench::run(station, settings_without, base.scenario, base.plan, {});
    const double crest_m = station.well.overflow_level_m;
    std::cout << studies::side_by_side(with_forecast, without_forecast, forecast->name, crest_m);
    constexpr double share_required = 0.30;
    EXPECT_GE(studies::margin_gained(with_forecast, without_forecast, crest_m), share_required);
    EXPECT_LE(studies::starts_of(with_forecast), studies::starts_of(without_forecast));
    EXPECT_LE(with_forecast.starts_per_hour_max, without_forecast.starts_per_hour_max);
    EXPECT_LT(without_forecast.level_max_m, crest_m)
        << "without the forecast no margin is left for a comparison";
    EXPECT_LT(with_forecast.level_max_m, base.station.settings.marks.high_alarm_m);
    EXPECT_GT(with_forecast.level_min_m, base.station.settings.marks.low_cutoff_m)
        << "after the rain no pump may run down to the cut-off";
}

TEST(Comparison, gives_the_share_of_the_margin_by_which_the_first_run_stayed_below_the_second) {
    record::RunSummary first, second;
    first.level_max_m = 4.0;
    second.level_max_m = 4.5;
    EXPECT_DOUBLE_EQ(studies::margin_gained(first, second, 5.5), 0.5);
    EXPECT_EQ(studies::find_left_out("no-such-thing"), nullptr);
}

}  // namespace
}  // namespace freshet::campaign
