// A booster at a small demand, and in a band that no combination holds.
// One reason to change: how often pumps may start, or what a booster does at a small demand.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <iostream>
#include <string>

#include "config/engineering/vessel.hpp"
#include "tests/property/operator_cases/watched_run.hpp"

namespace freshet::operator_cases::booster {
namespace {

constexpr double hours = 6;

Case booster_at(double demand_m3s) {
    Case one = shipped("booster_day");
    one.scenario.demand_m3s = {{0, demand_m3s}, {86400, demand_m3s}};
    one.scenario.duration_s = hours * s_per_h;
    return one;
}

struct Pressures {
    double least_m = 1e9, most_m = 0;
};
Watched watched_pressures(const Case& one, Pressures& pressures) {
    constexpr double first_s = 600;  // from an empty estimate
    return watched_run(one, [&](double t_s, const plant::Plant& plant, const core::Advice&) {
        if (t_s < first_s) return;
        pressures.least_m = std::min(pressures.least_m, plant.held_m());
        pressures.most_m = std::max(pressures.most_m, plant.held_m());
    });
}

TEST(Booster, sleeps_at_a_small_demand_within_the_starts_limit_and_above_the_minimum_flow) {
    for (const double demand_m3s : {0.0005, 0.002, 0.004, 0.005, 0.006, 0.0065}) {
        const Case one = booster_at(demand_m3s);
        Pressures pressures;
        const Watched figures = watched_pressures(one, pressures);
        const auto name = std::to_string(1000 * demand_m3s) + " L/s";
        print("booster at " + name, figures);
        std::cout << "  pressure " << pressures.least_m << " to " << pressures.most_m << " m\n";
        const config::SleepCycle cycle = config::sleep_cycle(one.station, one.settings);
        const double cycle_s = cycle.drawn_m3 * (1 / demand_m3s + 1 / (cycle.pump_m3s - demand_m3s));
        const double by_volume = hours * s_per_h / cycle_s;
        std::cout << "  " << by_volume << " starts by the volume of the vessel\n";
        // The ramps lengthen a cycle, and the pump delivers most at the boost mark.
        constexpr double at_most_more = 1.25;
        EXPECT_LE(figures.starts, 1 + by_volume) << name;
        EXPECT_LE(by_volume, at_most_more * (1 + figures.starts)) << name << ", or the check warns too early";
        constexpr double ramps_s = 20;  // 50 Hz up and down at 5 Hz/s
        EXPECT_LE(figures.below_minimum_flow_s, ramps_s * figures.starts) << name;
        EXPECT_EQ(figures.transfers(), 0) << name;
        EXPECT_GT(pressures.least_m, one.settings.marks.high_alarm_m) << name;
        EXPECT_LT(pressures.most_m, one.settings.marks.low_cutoff_m) << name;
    }
}

TEST(Booster, rides_the_band_between_one_and_two_pumps_without_a_transfer) {
    // One pump carries 31 L/s at the setpoint, and two pumps carry at least 39 L/s.
    for (const double demand_m3s : {0.033, 0.036, 0.038}) {
        Case one = booster_at(demand_m3s);
        const Watched first = watched_run(one);
        one.scenario.duration_s = s_per_h;
        const Watched settling = watched_run(one);
        print("booster at " + std::to_string(1000 * demand_m3s) + " L/s", first);
        EXPECT_EQ(first.transfers(), settling.transfers()) << "after the first hour";
        EXPECT_LE(settling.transfers(), 1);
    }
}

TEST(Booster, wakes_for_a_demand_that_returns) {
    Case one = booster_at(0);
    one.scenario.demand_m3s = {{0, 0.002},     {7200, 0.002},  {7260, 0.025},
                               {10800, 0.025}, {10860, 0.002}, {86400, 0.002}};
    Pressures pressures;
    const Watched figures = watched_pressures(one, pressures);
    print("booster at 2, 25 and 2 L/s", figures);
    std::cout << "  pressure " << pressures.least_m << " to " << pressures.most_m << " m\n";
    EXPECT_GT(pressures.least_m, 52) << "the zone must not feel the wake";
    EXPECT_LT(pressures.most_m, one.settings.marks.low_cutoff_m);
}

}  // namespace
}  // namespace freshet::operator_cases::booster
