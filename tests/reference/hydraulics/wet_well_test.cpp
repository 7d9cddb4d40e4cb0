// Filling, draw-down and cycling of a wet well against published rules and exercises.
// One reason to change: a published rule or exercise.
//
// Sources, each named again at its check:
//   UFC 3-240-04A (EI 11C201, 1 March 1997), para 7 "Storage volume", V = t q / 4
//     (buildingcriteria1.tpub.com/ufc_3_240_04a/ufc_3_240_04a0053.htm).
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

#include "config/hydraulics/pipe.hpp"
#include "sim_plant/physics/hydraulics.hpp"
#include "tests/doubles/operating_point.hpp"
#include "trade_units.hpp"

namespace {

using namespace freshet;
using namespace freshet::tests;
using namespace freshet::plant;
using namespace freshet::doubles;

/// A well of one cross-section. Its single pump gives the same flow at any lift, within a tenth of a per
/// cent.
config::Station constant_flow_station(double area_m2, double depth_m, double flow_m3s) {
    config::Station station;
    station.pump_count = 1;
    station.well.storage = {{0, 0}, {depth_m, area_m2 * depth_m}};
    station.well.overflow_level_m = depth_m;
    station.well.overflow_width_m = 1;
    station.pump.curve = {{0, 2000, 0, 1}, {flow_m3s, 1000, 0.5, 1}, {1.0001 * flow_m3s, 1, 0.5, 1}};
    station.pump.rated_speed_rpm = 1450;
    station.pump.valve_closing_s = 0;
    station.main.discharge_level_m = depth_m + 990;
    return station;
}

/// Mean time of a cycle, after the first one, while the pump starts and stops between two volumes.
double cycle_min(double active_m3, double pump_m3s, double inflow_m3s) {
    const double area = 5;
    const double depth = 3 * active_m3 / area;
    Hydraulics hydraulics(constant_flow_station(area, depth, pump_m3s), depth / 3);
    HydraulicInputs inputs;
    inputs.inflow_m3s = inflow_m3s;
    std::vector<double> starts_s;
    const double step_s = 0.1;
    for (double t = 0; starts_s.size() < 4 && t < 86400; t += step_s) {
        const double level = hydraulics.step(step_s, inputs).level_m;
        if (level >= 2 * depth / 3 && inputs.speed_ratio[0] == 0) {
            inputs.speed_ratio[0] = 1;
            starts_s.push_back(t);
        } else if (level <= depth / 3) {
            inputs.speed_ratio[0] = 0;
        }
    }
    return (starts_s.back() - starts_s.front()) / 3 / 60;
}

// UFC 3-240-04A, para 7: V = t q / 4. Computed from this formula: t 15 min and q 700 gpm make 2625 gal. At
// half the pump's flow the cycle is the shortest, 15 min.
TEST(WetWell, of_the_manuals_volume_cycles_in_15_minutes_at_half_the_pumps_flow) {
    EXPECT_NEAR(cycle_min(2625 * us_gallon_m3, 700 * gpm_m3s, 350 * gpm_m3s), 15, 0.05);
}

// Definition of the cycle, T = V / Qi + V / (q - Qi). Computed from it: 20 min at 175 gpm.
TEST(WetWell, cycles_in_20_minutes_at_a_quarter_of_the_pumps_flow) {
    EXPECT_NEAR(cycle_min(2625 * us_gallon_m3, 700 * gpm_m3s, 175 * gpm_m3s), 20, 0.05);
    EXPECT_NEAR(cycle_min(2625 * us_gallon_m3, 700 * gpm_m3s, 525 * gpm_m3s), 20, 0.05)
        << "three quarters of the flow make the same cycle";
}

// UFC 3-240-04A, para 7. Computed from its formula: t 600 s and q 45 L/s make 6750 L.
TEST(WetWell, of_6750_litres_cycles_in_10_minutes_at_half_of_45_litres_a_second) {
    EXPECT_NEAR(cycle_min(6.75, 0.045, 0.0225), 10, 0.05);
}

// UFC 3-240-04A, para 7: two pumps that alternate may have half the volume. Computed from this rule: each
// pump then starts 4 times an hour.
TEST(WetWell, of_half_the_volume_gives_each_of_two_alternating_pumps_4_starts_an_hour) {
    const double period_min = cycle_min(0.5 * 2625 * us_gallon_m3, 700 * gpm_m3s, 350 * gpm_m3s);
    EXPECT_NEAR(60 / (2 * period_min), 4, 0.02);
}

/// Fall of the level in a well without inflow while its pump runs for a time.
double fall_m(double area_m2, double pump_m3s, double lasts_s) {
    Hydraulics hydraulics(constant_flow_station(area_m2, 10, pump_m3s), 8);
    HydraulicInputs inputs;
    inputs.speed_ratio[0] = 1;
    for (int i = 0; i < static_cast<int>(std::lround(lasts_s * 10)); ++i) hydraulics.step(0.1, inputs);
    return 8 - hydraulics.state().level_m;
}

// Operators' exercise, "Time for math" (wastewater101.net/2019/08/time-for-math-33), question 1: 10 ft
// across, 6 in lower in 2 min, 146.8 gpm with pi 3.14 and 7.48 gal/ft3. With exact pi: 146.87 gpm.
TEST(WetWell, of_10_ft_across_falls_6_inches_in_2_minutes_at_147_gpm) {
    const double area = 3.14159265358979 / 4 * 100 * foot_m * foot_m;
    EXPECT_NEAR(fall_m(area, 146.87 * gpm_m3s, 120) / inch_m, 6, 0.012);
}

// Textbook for wastewater operators, Example 11.1, "Determining pump capacity without influent", as copied at
// climate-policy-watcher.org/wastewater-treatment-3/ and there
// example-111-determining-pump-capacity-without-influent.html
// (the
// copy names neither title nor edition): 10 ft by 9 ft, 2.2 ft lower in 5 min. Computed with 7.48 gal/ft3:
// 296.2 gpm.
TEST(WetWell, of_10_by_9_ft_falls_2_2_ft_in_5_minutes_at_296_gpm) {
    EXPECT_NEAR(fall_m(90 * foot_m * foot_m, 296.2 * gpm_m3s, 300) / foot_m, 2.2, 0.0044);
}

// Kentucky operator certification programme, "Calculating flow into a lift station"
// (kyocp.wordpress.com/2012/04/11/calculating-flow-into-a-lift-station): 23 ft across, 50 ft deep, pumps
// failed, 18 ft 9 in up in 3 h 42 min. Computed from these inputs: 370 min for the other 31 ft 3 in.
TEST(WetWell, overflows_after_370_minutes_with_all_pumps_failed) {
    const double area = 3.14159265358979 / 4 * 23 * 23 * foot_m * foot_m;
    Hydraulics hydraulics(constant_flow_station(area, 50 * foot_m, 0.1), 18.75 * foot_m);
    HydraulicInputs inputs;
    inputs.inflow_m3s = 18.75 * foot_m * area / (222 * 60);
    double minutes = 0;
    while (minutes < 1000 && hydraulics.step(1, inputs).overflow_m3s == 0) minutes += 1.0 / 60;
    EXPECT_NEAR(minutes, 370, 0.05);
}

/// Invented: three pumps of 500 gpm each on a main with friction.
config::Station three_pump_station() {
    config::Station station;
    station.pump_count = 3;
    station.well.storage = {{0, 0}, {5, 50}};
    station.well.overflow_level_m = 4.5;
    station.well.overflow_width_m = 2;
    const double q = 500 * gpm_m3s;
    station.pump.curve = {{0, 30, 0, 1}, {0.5 * q, 28, 0.6, 1}, {q, 24, 0.75, 1}, {1.4 * q, 18, 0.7, 1}};
    station.pump.rated_speed_rpm = 1760;
    station.main.discharge_level_m = 15;
    station.main.reaches = {{800, 10 * inch_m, config::Friction::hazen_williams, 0, 120, 5, 1000}};
    return station;
}

// Virginia, 9VAC25-790-380 A.2 (law.lis.virginia.gov), requires the flow with any one pump out of service.
// Common practice: the sum of single ratings is too high where a common main loses head.
TEST(StationRules, firm_capacity_is_less_than_the_sum_of_single_ratings) {
    const config::Station station = three_pump_station();
    const double one = capacity_m3s(station, 1, 1, 1);
    EXPECT_LT(capacity_m3s(station, 2, 1, 1), 2 * one);
    EXPECT_GT(capacity_m3s(station, 2, 1, 1), one);
}

// Wis. Adm. Code NR 110.14(3)(j)1 (docs.legis.wisconsin.gov): at least 0.61 m/s (2 ft/s) at the design rate.
// UFC 3-240-06A (EI 11C201), para 7-1 (buildingcriteria1.tpub.com/ufc_3_240_06a/ufc_3_240_06a0049.htm): at
// most 3 m/s (10 ft/s).
TEST(StationRules, velocity_in_the_main_is_flow_over_bore_and_keeps_the_published_limits) {
    Hydraulics hydraulics(three_pump_station(), 2);
    HydraulicInputs inputs;
    inputs.speed_ratio = {1, 0, 0};
    inputs.inflow_m3s = 500 * gpm_m3s;
    for (int i = 0; i < 3000; ++i) hydraulics.step(0.1, inputs);
    const double flow = hydraulics.state().main_flow_m3s;
    const double bore_ft2 = 3.14159265358979 / 4 * 100.0 / 144;
    const double velocity =
        config::velocity_ms(flow, config::narrowest_diameter_m(three_pump_station().main));
    EXPECT_NEAR(velocity / foot_m, flow / cfs_m3s / bore_ft2, 1e-9);
    EXPECT_GT(velocity, 0.61);
    EXPECT_LT(velocity, 3);
}

}  // namespace
