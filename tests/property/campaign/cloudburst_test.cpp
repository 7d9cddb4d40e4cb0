// The shipped cloudburst with and without the forecast.
#include <gtest/gtest.h>

#include <iostream>

#include "sim_plant/bench/bench.hpp"
#include "sim_plant/studies/comparison.hpp"
#include "tests/property/campaign/coupled.hpp"

namespace freshet::campaign {
namespace {

TEST(Cloudburst, is_kept_lower_by_the_forecast_by_thirty_per_cent_of_the_margin_without_more_starts) {
    const Base base = load_base("cloudburst");
    const config::Station& station = base.station.station;
    core::Settings without = base.station.settings;
    const studies::LeftOut* forecast = studies::find_left_out("no-forecast");
    ASSERT_NE(forecast, nullptr);
    forecast->leave_out(without);
    const record::RunSummary seeing =
        bench::run(station, base.station.settings, base.scenario, base.plan, {});
    const record::RunSummary unseeing = bench::run(station, without, base.scenario, base.plan, {});
    const double crest_m = station.well.overflow_level_m;
    std::cout << studies::side_by_side(seeing, unseeing, forecast->name, crest_m);
    constexpr double share_asked = 0.30;
    EXPECT_GE(studies::margin_gained(seeing, unseeing, crest_m), share_asked);
    EXPECT_LE(studies::starts_of(seeing), studies::starts_of(unseeing));
    EXPECT_LE(seeing.starts_per_hour_max, unseeing.starts_per_hour_max);
    EXPECT_LT(unseeing.level_max_m, crest_m) << "no margin is left to compare with";
    EXPECT_LT(seeing.level_max_m, base.station.settings.marks.high_alarm_m);
    EXPECT_GT(seeing.level_min_m, base.station.settings.marks.low_cutoff_m)
        << "the rain is over: nothing is run down to the cut-off";
}

TEST(Comparison, says_by_how_much_of_the_margin_the_first_run_stayed_below_the_second) {
    record::RunSummary first, second;
    first.level_max_m = 4.0;
    second.level_max_m = 4.5;
    EXPECT_DOUBLE_EQ(studies::margin_gained(first, second, 5.5), 0.5);
    EXPECT_EQ(studies::find_left_out("no-such-thing"), nullptr);
}

}  // namespace
}  // namespace freshet::campaign
