// A demand that repeats every day. One reason to change: how a daily demand is read.
#include "sim_plant/weather/demand.hpp"

#include <gtest/gtest.h>

#include "sim_plant/weather/calendar.hpp"
#include "tests/units_of_sources.hpp"

namespace {

using namespace freshet;
using tests::hour_s;

constexpr std::int64_t midnight_ms = 1'795'564'800'000;
const std::vector<config::SeriesPoint> two_points{{6 * hour_s, 0.3}, {18 * hour_s, 0.1}};

TEST(DailyDemand, is_straight_between_points_and_across_midnight) {
    const plant::DailyDemand demand(two_points, midnight_ms);
    EXPECT_NEAR(demand.at_m3s(6 * hour_s), 0.3, 1e-12);
    EXPECT_NEAR(demand.at_m3s(12 * hour_s), 0.2, 1e-12);
    EXPECT_NEAR(demand.at_m3s(0), 0.2, 1e-12);
    EXPECT_NEAR(demand.at_m3s(21 * hour_s), 0.15, 1e-12);
}

TEST(DailyDemand, repeats_every_day) {
    const plant::DailyDemand demand(two_points, midnight_ms);
    for (int day = 0; day < 40; ++day)
        EXPECT_NEAR(demand.at_m3s(day * 86400.0 + 9 * hour_s), 0.25, 1e-9) << "day " << day;
}

TEST(DailyDemand, depends_on_the_time_of_day_and_not_on_the_time_of_the_run) {
    const plant::DailyDemand demand(two_points, midnight_ms + 6 * plant::day_ms / 24);
    EXPECT_NEAR(demand.at_m3s(0), 0.3, 1e-12);
    EXPECT_NEAR(demand.at_m3s(12 * hour_s), 0.1, 1e-12);
}

TEST(DailyDemand, of_one_point_is_constant) {
    const plant::DailyDemand demand({{hour_s, 0.4}}, midnight_ms);
    EXPECT_NEAR(demand.at_m3s(0), 0.4, 1e-12);
    EXPECT_NEAR(demand.at_m3s(20 * hour_s), 0.4, 1e-12);
}

TEST(DailyDemand, of_no_points_is_nothing) {
    const plant::DailyDemand demand({}, midnight_ms);
    EXPECT_EQ(demand.at_m3s(hour_s), 0);
}

}  // namespace
