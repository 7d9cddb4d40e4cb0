// The foreseeing operator against cases that are calculated by hand, and against the other operators.
// One reason to change: what the foreseeing operator must be able to do.
#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

#include "tests/property/staging/foreseeing.hpp"
#include "tests/property/staging/ideal_operators.hpp"
#include "tests/property/staging/random_inflow.hpp"

namespace freshet::staging_campaign {
namespace {

constexpr double hand_step_s = 10;

/// Two pumps of 1 m3/s. A start takes 20 s and brings water at its end, a hand-over takes 10 s. The well holds
/// 1,000 m3 between stop mark and crest, and all water above the crest spills at once.
Foresight two_pumps() {
    Foresight station;
    station.pumps = 2;
    station.start_s = 20;
    station.delivers_s = 19.999;
    station.hand_over_s = 10;
    station.stop_m3 = 0;
    station.crest_m3 = 1000;
    station.top_m3 = 1600;
    station.full_m3s = [](std::size_t pumps, double) { return static_cast<double>(pumps); };
    station.least_m3s = [](std::size_t line_pumps, double) { return static_cast<double>(line_pumps) + 0.3; };
    station.weir_m3s = [](double) { return 1e6; };
    return station;
}

/// No inflow for 100 s, then `inflow_m3s` for `lasts_s`.
std::vector<double> step_inflow(double inflow_m3s, double lasts_s) {
    std::vector<double> steps(static_cast<std::size_t>(100 / hand_step_s), 0);
    steps.insert(steps.end(), static_cast<std::size_t>(lasts_s / hand_step_s), inflow_m3s);
    return steps;
}

TEST(ForeseeingOperator, pumps_the_well_down_before_a_step_of_inflow) {
    // The first pump starts at 0 s and runs from 20 s. The hand-over ends at 30 s, and the second pump runs from
    // 50 s. Until 100 s the pumps take 30 s x 1 m3/s + 50 s x 2 m3/s = 130 m3 of 500 m3. The step brings
    // (5 - 2) m3/s x 300 s = 900 m3. So 370 + 900 - 1,000 = 270 m3 spill. (An operator who starts at 100 s
    // spills 470 m3.)
    const Foreseen found = foresee(two_pumps(), step_inflow(5, 300), hand_step_s, 500);
    constexpr double rounding_m3 = 0.01;
    EXPECT_NEAR(found.overflow_m3, 270, rounding_m3);
    EXPECT_EQ(found.starts, 2);
}

TEST(ForeseeingOperator, empties_the_well_to_the_stop_mark_at_the_instant_at_which_the_water_comes) {
    // 40 m3 are above the stop mark. One pump runs from 60 s to 100 s and takes them. The second pump runs from
    // 100 s, because two pumps before that instant would pump below the stop mark. The step brings
    // (5 - 2) m3/s x 400 s = 1,200 m3, of which 200 m3 spill.
    const Foreseen found = foresee(two_pumps(), step_inflow(5, 400), hand_step_s, 40);
    // The best way lies between two cells of 10 m3.
    constexpr double cell_m3 = 10;
    EXPECT_NEAR(found.overflow_m3, 200, cell_m3);
    EXPECT_GE(found.overflow_m3, 200 - 0.01);
    EXPECT_EQ(found.starts, 2);
}

TEST(ForeseeingOperator, starts_no_pump_that_saves_no_water) {
    // 0.5 m3/s for 300 s are 150 m3, and 800 m3 of the store are free.
    EXPECT_EQ(foresee(two_pumps(), step_inflow(0.5, 300), hand_step_s, 200).starts, 0);
}

/// `spilling`: counts the scenarios in which the bound is above zero.
void compare_operators(const RandomStation& station, const config::Scenario& scenario, int& spilling) {
    // About a cell of volume, and flows that the stepped plant reaches within half a per cent.
    constexpr double cell_share = 0.01, flow_share = 0.01, rounding_m3 = 1e-6;
    const double near_m3 = cell_share * station.volume_m3;
    const ForeseenRun run = foreseen_run(station, scenario);
    const double least_m3 = least_overflow_m3(run.station, run.inflow_m3s, run.step_s, run.volume_m3);
    const double foreseen_m3 = foresee(run.station, run.inflow_m3s, run.step_s, run.volume_m3).overflow_m3;
    spilling += least_m3 > near_m3 ? 1 : 0;
    EXPECT_LE(foreseen_m3, (1 + flow_share) * literal_prompt(station, scenario).overflow_m3 + near_m3)
        << "seed " << scenario.seed;
    EXPECT_GE(foreseen_m3, least_m3 - rounding_m3) << "seed " << scenario.seed;
}

TEST(ForeseeingOperator, spills_no_more_than_the_prompt_operator_and_no_less_than_the_bound) {
    int spilling = 0;
    constexpr std::uint64_t seeds = 3;
    for (std::uint64_t seed = 1; seed <= seeds; ++seed) {
        const RandomStation station = random_station(seed);
        compare_operators(station, random_inflow(station, Kind::surge, seed), spilling);
        // A flood that no combination carries, and a well that is empty down to the stop mark.
        constexpr double flood = 1.1, rise_s = 600, duration_s = 3600;
        const double inflow_m3s =
            flood * station.capacity.full_m3s(station.given.pump_count, station.given.well.overflow_level_m);
        compare_operators(
            station, constant_inflow(inflow_m3s, rise_s, duration_s, station.settings.marks.stop_m, seed),
            spilling);
    }
    EXPECT_GT(spilling, 0) << "no scenario lets every operator spill";
}

}  // namespace
}  // namespace freshet::staging_campaign
