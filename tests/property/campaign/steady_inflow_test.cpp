// Steady inflows between dry-weather flow and firm capacity, each for hours through the real bench. No
// combination of pumps can hold the flows of some bands. In these bands the station must keep the permitted
// transfers and starts an hour.
// One reason to change: the inflows, or the limits that the station must keep.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <iostream>

#include "controller/core/flow_table.hpp"
#include "sim_plant/studies/comparison.hpp"
#include "tests/property/campaign/coupled.hpp"
#include "tests/property/campaign/how_many.hpp"

namespace freshet::campaign {
namespace {

constexpr double s_per_h = 3600;

/// The flow of all pumps but one, at full speed, at the setpoint.
double firm_capacity_m3s(const core::Settings& settings) {
    return core::solve_combination(
               settings, {static_cast<std::uint8_t>(settings.pump_count - 1), 0, settings.marks.setpoint_m})
        .total_m3s;
}

/// Inflow that rises from dry-weather flow to the steady inflow, by default within the first half hour. The
/// pumps are at rest before the rise. The slow rise is necessary because the test judges steady inflows, and
/// not a flood onto stopped pumps.
config::Scenario steady(const Base& base, double inflow_m3s, double hours, double steady_s = 1800) {
    config::Scenario scenario = base.scenario;
    scenario.duration_s = hours * s_per_h;
    scenario.weather = {};
    constexpr double dry_m3s = 0.16, rises_s = 400;
    scenario.weather.measured_inflow_m3s = {
        {0, dry_m3s}, {rises_s, dry_m3s}, {steady_s, inflow_m3s}, {scenario.duration_s, inflow_m3s}};
    return scenario;
}

TEST(SteadyInflow, up_to_firm_capacity_keeps_the_limits_of_transfers_and_starts_an_hour) {
    const Base base = load_base("dry_day");
    const core::Settings::Permissives& limits = base.station.settings.permissives;
    const config::DryWeather& dry = base.scenario.weather.dry;
    const double lowest_m3s = dry.average_m3s * *std::min_element(dry.weekday.begin(), dry.weekday.end());
    const double firm_m3s = firm_capacity_m3s(base.station.settings);
    const std::uint64_t inflows = steady_inflows();
    constexpr double hours = 8;  // a cycle within a band takes an hour at most
    int most_transfers = 0, most_starts = 0;
    double most_transfers_at_m3s = 0, most_starts_at_m3s = 0, highest_m = 0;
    for (std::uint64_t i = 0; i < inflows; ++i) {
        const double share = static_cast<double>(i) / static_cast<double>(inflows - 1);
        const double inflow_m3s = lowest_m3s + share * (firm_m3s - lowest_m3s);
        const Outcome one = run(base, steady(base, inflow_m3s, hours), {.laws = false, .digest = false});
        EXPECT_LE(one.transfers_per_hour_max, limits.transfers_per_hour_max) << inflow_m3s << " m3/s";
        EXPECT_LE(one.starts_per_hour_max, limits.starts_per_hour_max) << inflow_m3s << " m3/s";
        EXPECT_EQ(one.summary.overflow_m3, 0) << inflow_m3s << " m3/s";
        highest_m = std::max(highest_m, one.summary.level_max_m);
        if (one.transfers_per_hour_max > most_transfers) {
            most_transfers = one.transfers_per_hour_max;
            most_transfers_at_m3s = inflow_m3s;
        }
        if (one.starts_per_hour_max > most_starts) {
            most_starts = one.starts_per_hour_max;
            most_starts_at_m3s = inflow_m3s;
        }
    }
    std::cout << inflows << " steady inflows from " << lowest_m3s << " to " << firm_m3s << " m3/s, " << hours
              << " h of each: at most " << most_transfers << " transfers begun in an hour (limit "
              << int{limits.transfers_per_hour_max} << ", at " << most_transfers_at_m3s << " m3/s), at most "
              << most_starts << " starts of a pump in an hour (limit " << int{limits.starts_per_hour_max}
              << ", at " << most_starts_at_m3s << " m3/s); highest level " << highest_m << " m\n";
    EXPECT_GT(most_transfers, 0) << "no inflow caused a transfer";
}

/// The inflow rises for two hours. During a faster rise the forecast would be right to start a pump.
config::Scenario slow_rise(const Base& base, double inflow_m3s) {
    constexpr double rise_s = 2 * s_per_h, hours = 5;
    return steady(base, inflow_m3s, hours, rise_s);
}

/// The steady inflow at which this number of pumps at full speed holds the level just below the mark for
/// another pump. At this level the smallest surplus, or noise that looks like a surplus, would start the
/// other pump.
double inflow_close_to_the_mark_m3s(const Base& base, std::uint8_t pumps, double close_m) {
    const core::Settings& settings = base.station.settings;
    const double about_m3s =
        core::solve_combination(settings, {pumps, 0, settings.marks.setpoint_m}).total_m3s;
    double low_m3s = 0.99 * about_m3s, high_m3s = 1.02 * about_m3s;
    constexpr int halvings = 9;
    for (int i = 0; i < halvings; ++i) {
        const double middle_m3s = (low_m3s + high_m3s) / 2;
        const Outcome one = run(base, slow_rise(base, middle_m3s), {.laws = false, .digest = false});
        const bool too_much = studies::starts_of(one.summary) > pumps ||
                              one.level_at_end_m > settings.marks.stage_up_m - close_m;
        (too_much ? high_m3s : low_m3s) = middle_m3s;
    }
    return low_m3s;
}

TEST(Forecast, starts_no_more_pumps_at_a_steady_inflow_with_noisy_transmitters) {
    Base base = load_base("dry_day");
    constexpr double noise_m = 0.01;  // three times the noise that the station file states
    for (config::LevelTransmitter& one : base.station.station.instruments.level) one.noise_m = noise_m;
    Base base_without_forecast = base;
    base_without_forecast.station.settings.staging.forecast = false;
    base_without_forecast.controller = core::Controller{base_without_forecast.station.settings};
    const std::uint64_t seeds = noise_seeds();
    unsigned compared = 0, fewer = 0;
    double nearest_m = 1e9;
    for (const std::uint8_t pumps : {std::uint8_t{1}, std::uint8_t{2}, std::uint8_t{3}}) {
        constexpr double close_m = 0.03;
        config::Scenario scenario =
            slow_rise(base, inflow_close_to_the_mark_m3s(base_without_forecast, pumps, close_m));
        for (std::uint64_t seed = 1; seed <= seeds; ++seed) {
            scenario.seed = seed;
            const Outcome with_forecast = run(base, scenario, {.laws = false, .digest = false});
            const Outcome without_forecast =
                run(base_without_forecast, scenario, {.laws = false, .digest = false});
            const unsigned starts = studies::starts_of(with_forecast.summary);
            const unsigned starts_without = studies::starts_of(without_forecast.summary);
            EXPECT_LE(starts, starts_without) << "seed " << seed << ", pumps " << int{pumps};
            nearest_m =
                std::min(nearest_m, base.station.settings.marks.stage_up_m - without_forecast.level_at_end_m);
            ++compared;
            if (starts < starts_without) ++fewer;
        }
    }
    std::cout << compared << " runs of five hours each with and without the forecast, noise "
              << 1000 * noise_m << " mm, the level down to " << 1000 * nearest_m
              << " mm below the mark: never more starts with the forecast, fewer starts in " << fewer
              << " of these runs\n";
    constexpr double close_enough_m = 0.06;
    EXPECT_LT(nearest_m, close_enough_m)
        << "the level was too far from the mark for any noise to start a pump";
}

}  // namespace
}  // namespace freshet::campaign
