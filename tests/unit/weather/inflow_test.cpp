// The inflow: what it is made of, and that not a drop is lost. One reason to change: what makes up the
// inflow.
#include "sim_plant/weather/inflow.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "sim_plant/physics/noise.hpp"
#include "sim_plant/weather/calendar.hpp"
#include "sim_plant/weather/runoff.hpp"
#include "tests/units_of_sources.hpp"

namespace {

using namespace freshet;
using plant::Inflow;
using tests::day_s;
using tests::hour_s;
using tests::minute_s;

constexpr double mm_m = 0.001, hectare_m2 = 10000;
constexpr std::int64_t wednesday_ms = 1'795'564'800'000;  // 2026-11-25 00:00 UTC
constexpr std::int64_t saturday_ms = wednesday_ms + 3 * plant::day_ms;

config::Weather dry_day(double average_m3s) {
    config::Weather weather;
    weather.dry.average_m3s = average_m3s;
    weather.dry.weekday.fill(1);
    weather.dry.weekend.fill(1);
    return weather;
}

config::Storm uniform_storm(double depth_m, double duration_s, double begins_s = 0) {
    return {config::RainDistribution{"uniform", {{0, 0}, {1, 1}}, 1}, depth_m, duration_s, begins_s};
}

config::Catchment sewered(double area_m2, std::vector<config::SewerTriangle> triangles) {
    config::Catchment catchment;
    catchment.sewered_area_m2 = area_m2;
    catchment.triangles = std::move(triangles);
    return catchment;
}

/// Volume below straight lines between grid points, exact.
double volume_m3(const Inflow& inflow, double from_s, double to_s) {
    constexpr double grid_s = 10;
    double volume = 0;
    for (double t_s = from_s; t_s < to_s - 0.5 * grid_s; t_s += grid_s)
        volume += 0.5 * grid_s * (inflow.at_m3s(t_s) + inflow.at_m3s(t_s + grid_s));
    return volume;
}

TEST(Inflow, of_a_dry_day_is_the_average_when_the_pattern_is_flat) {
    const Inflow inflow(dry_day(0.2), wednesday_ms, day_s, 1);
    for (const double t_s : {0.0, 3.7 * hour_s, day_s}) EXPECT_DOUBLE_EQ(inflow.at_m3s(t_s), 0.2);
    EXPECT_EQ(inflow.rain_rate_m_s(hour_s), 0);
}

TEST(Inflow, follows_the_hours_of_the_day) {
    config::Weather weather = dry_day(0.1);
    weather.dry.weekday[7] = 1.8;
    const Inflow inflow(weather, wednesday_ms, day_s, 1);
    EXPECT_NEAR(inflow.at_m3s(7.5 * hour_s), 0.18, 1e-12);
    EXPECT_NEAR(inflow.at_m3s(7.0 * hour_s), 0.14, 1e-12);
    EXPECT_NEAR(inflow.at_m3s(12 * hour_s), 0.1, 1e-12);
}

TEST(Inflow, starts_its_day_at_station_time) {
    config::Weather weather = dry_day(0.1);
    weather.dry.weekday[7] = 1.8;
    const Inflow inflow(weather, wednesday_ms + 6 * plant::day_ms / 24, day_s, 1);
    EXPECT_NEAR(inflow.at_m3s(1.5 * hour_s), 0.18, 1e-12);
}

TEST(Inflow, keeps_the_daily_volume_of_an_uneven_pattern) {
    config::Weather weather = dry_day(0.1);
    for (std::size_t hour = 0; hour < 24; ++hour)
        weather.dry.weekday[hour] = weather.dry.weekend[hour] = hour < 12 ? 0.4 : 1.6;
    const Inflow inflow(weather, wednesday_ms, day_s, 1);
    EXPECT_NEAR(volume_m3(inflow, 0, day_s), 0.1 * day_s, 1e-9 * day_s);
}

TEST(Inflow, changes_to_the_weekend_pattern_on_saturday) {
    config::Weather weather = dry_day(0.1);
    weather.dry.weekend.fill(2);
    const Inflow friday_on(weather, saturday_ms - plant::day_ms, 4 * day_s, 1);
    EXPECT_NEAR(friday_on.at_m3s(12 * hour_s), 0.1, 1e-12);
    EXPECT_NEAR(friday_on.at_m3s(day_s + 12 * hour_s), 0.2, 1e-12);
    EXPECT_NEAR(friday_on.at_m3s(2 * day_s + 12 * hour_s), 0.2, 1e-12);
    EXPECT_NEAR(friday_on.at_m3s(3 * day_s + 12 * hour_s), 0.1, 1e-12);
}

TEST(Inflow, holds_exactly_the_share_of_the_rain_that_the_sewer_takes) {
    config::Weather weather;
    weather.storms = {uniform_storm(50 * mm_m, 2 * hour_s, hour_s)};
    weather.catchment =
        sewered(120 * hectare_m2, {{0.05, 0.5 * hour_s, 2}, {0.04, 2 * hour_s, 2.5}, {0.03, 5 * hour_s, 3}});
    const Inflow inflow(weather, wednesday_ms, day_s, 1);
    const double expected_m3 = 0.12 * 120 * hectare_m2 * 50 * mm_m;
    EXPECT_NEAR(volume_m3(inflow, 0, day_s), expected_m3, 1e-12 * expected_m3);
}

TEST(Inflow, holds_exactly_the_runoff_of_the_curve_number) {
    config::Weather weather;
    weather.storms = {uniform_storm(90 * mm_m, 6 * hour_s, hour_s)};
    weather.catchment.surface_area_m2 = 40 * hectare_m2;
    weather.catchment.curve_number = 82;
    weather.catchment.time_of_concentration_s = 35 * minute_s;
    const Inflow inflow(weather, wednesday_ms, day_s, 1);
    const double expected_m3 = 40 * hectare_m2 * plant::runoff_depth_m(90 * mm_m, 82);
    EXPECT_NEAR(volume_m3(inflow, 0, day_s), expected_m3, 1e-12 * expected_m3);
}

TEST(Inflow, loses_no_drop_of_any_of_300_random_storms) {
    plant::NoiseSource chance(20261125);
    const auto between = [&chance](double low, double high) { return low + (high - low) * chance.uniform(); };
    for (int i = 0; i < 300; ++i) {
        config::Weather weather;
        const double early_share = between(0.05, 0.95);
        const config::RainDistribution bent{"bent", {{0, 0}, {0.4, early_share}, {1, 1}}, 1};
        weather.storms = {
            {bent, between(1, 200) * mm_m, between(2 * minute_s, 6 * hour_s), between(-hour_s, hour_s)}};
        weather.catchment = sewered(between(1, 500) * hectare_m2,
                                    {{between(0.01, 0.9), between(1, 180) * minute_s, between(0.2, 5)}});
        weather.catchment.surface_area_m2 = between(1, 100) * hectare_m2;
        weather.catchment.curve_number = between(40, 98);
        weather.catchment.time_of_concentration_s = between(1, 120) * minute_s;
        // The run starts before the storm does, so that all of the response falls within it.
        weather.storms.front().begins_s += 2 * hour_s;
        const Inflow inflow(weather, wednesday_ms, 2 * day_s, 1);
        const config::Catchment& on = weather.catchment;
        const double rain_m = weather.storms.front().depth_m;
        const double expected_m3 = on.triangles.front().r * on.sewered_area_m2 * rain_m +
                                   on.surface_area_m2 * plant::runoff_depth_m(rain_m, on.curve_number);
        ASSERT_NEAR(volume_m3(inflow, 0, 2 * day_s), expected_m3, 1e-11 * expected_m3) << "storm " << i;
        ASSERT_GE(inflow.at_m3s(between(0, 2 * day_s)), 0) << "storm " << i;
    }
}

TEST(Inflow, rises_and_falls_in_straight_lines_after_a_short_burst) {
    config::Weather weather;
    weather.storms = {uniform_storm(10 * mm_m, 10)};
    weather.catchment = sewered(100 * hectare_m2, {{0.1, hour_s, 2}});
    const Inflow inflow(weather, wednesday_ms, 4 * hour_s, 1);
    const double peak_m3s = 2 * 0.1 * 100 * hectare_m2 * 10 * mm_m / (3 * hour_s);
    EXPECT_NEAR(inflow.at_m3s(0.5 * hour_s + 5), 0.5 * peak_m3s, 1e-3 * peak_m3s);
    EXPECT_NEAR(inflow.at_m3s(hour_s + 5), peak_m3s, 3e-3 * peak_m3s);
    EXPECT_NEAR(inflow.at_m3s(2 * hour_s + 5), 0.5 * peak_m3s, 1e-3 * peak_m3s);
    EXPECT_EQ(inflow.at_m3s(3 * hour_s + 20), 0);
}

TEST(Inflow, feels_a_storm_that_is_already_under_way_at_the_start) {
    config::Weather weather;
    weather.storms = {uniform_storm(30 * mm_m, 4 * hour_s, -2 * hour_s)};
    weather.catchment = sewered(50 * hectare_m2, {{0.2, 0.5 * hour_s, 1}});
    const Inflow inflow(weather, wednesday_ms, 6 * hour_s, 1);
    const double steady_m3s = 0.2 * 50 * hectare_m2 * 30 * mm_m / (4 * hour_s);
    EXPECT_NEAR(inflow.at_m3s(0), steady_m3s, 1e-4 * steady_m3s);
    EXPECT_NEAR(inflow.rain_rate_m_s(0), 30 * mm_m / (4 * hour_s), 1e-12);
}

TEST(Inflow, adds_storms_and_takes_the_initial_abstraction_once) {
    config::Weather weather;
    weather.storms = {uniform_storm(40 * mm_m, hour_s), uniform_storm(40 * mm_m, hour_s, 3 * hour_s)};
    weather.catchment.surface_area_m2 = hectare_m2;
    weather.catchment.curve_number = 75;
    weather.catchment.time_of_concentration_s = 20 * minute_s;
    const Inflow inflow(weather, wednesday_ms, day_s, 1);
    EXPECT_NEAR(volume_m3(inflow, 0, day_s), hectare_m2 * plant::runoff_depth_m(80 * mm_m, 75), 1e-9);
}

TEST(Inflow, shows_rain_only_while_it_rains) {
    config::Weather weather;
    weather.storms = {uniform_storm(36 * mm_m, hour_s, hour_s)};
    const Inflow inflow(weather, wednesday_ms, day_s, 1);
    EXPECT_EQ(inflow.rain_rate_m_s(0.9 * hour_s), 0);
    EXPECT_NEAR(inflow.rain_rate_m_s(1.5 * hour_s) * 3.6e6, 36, 1e-9);
    EXPECT_EQ(inflow.rain_rate_m_s(2.1 * hour_s), 0);
}

TEST(Inflow, reads_a_measured_series_instead_of_everything_else) {
    config::Weather weather = dry_day(5);
    weather.storms = {uniform_storm(50 * mm_m, hour_s)};
    weather.catchment = sewered(100 * hectare_m2, {{0.2, hour_s, 2}});
    weather.measured_inflow_m3s = {{0, 0.1}, {600, 0.3}, {1234, 0.2}};
    const Inflow inflow(weather, wednesday_ms, hour_s, 1);
    EXPECT_DOUBLE_EQ(inflow.at_m3s(0), 0.1);
    EXPECT_NEAR(inflow.at_m3s(300), 0.2, 1e-12);
    EXPECT_NEAR(inflow.at_m3s(600), 0.3, 1e-12);
    EXPECT_NEAR(inflow.at_m3s(1234), 0.2, 1e-12);  // no multiple of ten: a finer grid
    EXPECT_NEAR(inflow.at_m3s(3000), 0.2, 1e-12);
}

TEST(Inflow, holds_the_first_measured_value_before_the_series_begins) {
    config::Weather weather;
    weather.measured_inflow_m3s = {{600, 0.3}, {1200, 0.5}};
    const Inflow inflow(weather, wednesday_ms, hour_s, 1);
    EXPECT_NEAR(inflow.at_m3s(0), 0.3, 1e-12);
    EXPECT_NEAR(inflow.at_m3s(900), 0.4, 1e-12);
}

TEST(Inflow, holds_its_last_value_after_the_end_of_the_run) {
    config::Weather weather;
    weather.measured_inflow_m3s = {{0, 0}, {100, 1}};
    const Inflow inflow(weather, wednesday_ms, 60, 1);
    EXPECT_NEAR(inflow.at_m3s(60), 0.6, 1e-12);
    EXPECT_NEAR(inflow.at_m3s(1e9), 0.6, 1e-12);
}

TEST(Inflow, wanders_by_seed_and_repeats_exactly) {
    config::Weather weather = dry_day(0.2);
    weather.dry.variation_ratio = 0.1;
    const Inflow first(weather, wednesday_ms, day_s, 7), again(weather, wednesday_ms, day_s, 7),
        other(weather, wednesday_ms, day_s, 8);
    bool differs = false;
    for (double t_s = 0; t_s < day_s; t_s += 100) {
        ASSERT_EQ(first.at_m3s(t_s), again.at_m3s(t_s));
        differs = differs || first.at_m3s(t_s) != other.at_m3s(t_s);
    }
    EXPECT_TRUE(differs);
}

TEST(Inflow, wanders_by_the_given_standard_deviation) {
    config::Weather weather = dry_day(1);
    weather.dry.variation_ratio = 0.1;
    const Inflow inflow(weather, wednesday_ms, 60 * day_s, 3);
    double sum = 0, squares = 0;
    int count = 0;
    for (double t_s = 0; t_s < 60 * day_s; t_s += 60, ++count) {
        const double away = inflow.at_m3s(t_s) - 1;
        sum += away;
        squares += away * away;
    }
    EXPECT_NEAR(sum / count, 0,
                0.006);  // the wander remembers a quarter of an hour: some 2900 independent values
    EXPECT_NEAR(std::sqrt(squares / count), 0.1, 0.005);
}

TEST(Inflow, of_a_scenario_without_weather_is_nothing) {
    const Inflow inflow(config::Weather{}, wednesday_ms, hour_s, 1);
    EXPECT_EQ(inflow.at_m3s(1800), 0);
}

TEST(Calendar, knows_weekends_also_before_1970) {
    EXPECT_FALSE(plant::is_weekend(wednesday_ms));
    EXPECT_FALSE(plant::is_weekend(saturday_ms - 1));
    EXPECT_TRUE(plant::is_weekend(saturday_ms));
    EXPECT_TRUE(plant::is_weekend(saturday_ms + 2 * plant::day_ms - 1));
    EXPECT_FALSE(plant::is_weekend(saturday_ms + 2 * plant::day_ms));
    EXPECT_TRUE(plant::is_weekend(-4 * plant::day_ms));  // Sunday, 28 December 1969
    EXPECT_EQ(plant::time_of_day_ms(-1), plant::day_ms - 1);
}

}  // namespace
