// Filling, draw-down and cycling of a wet well against published rules and exercises.
// Sources: UFC 3-240-04A (EI 11C201, 1997) para 7 "Storage volume", V = t q / 4; operators' exercises named
// where used; station rules named where used.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

#include "sim_plant/physics/hydraulics.hpp"
#include "sim_plant/physics/pipe.hpp"
#include "sim_plant/physics/station_capacity.hpp"
#include "trade_units.hpp"

namespace {

using namespace freshet;
using namespace freshet::tests;
using namespace freshet::plant;

/// A well of one cross-section whose single pump gives the same flow at any lift, within a tenth of a per
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

/// Steady on-off cycling between two volumes; the mean time of a cycle after the first.
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

// UFC 3-240-04A: V = t q / 4 with t 15 min, q 700 gpm is 2625 gal; at half the pump's rate the cycle is the
// shortest, 15 min
TEST(WetWell, worst_case_cycle_of_the_manuals_volume) {
    EXPECT_NEAR(cycle_min(2625 * us_gallon_m3, 700 * gpm_m3s, 350 * gpm_m3s), 15, 0.05);
}

// T = V q / (Qi (q - Qi)): 20 min at 175 gpm
TEST(WetWell, cycle_away_from_the_worst_case) {
    EXPECT_NEAR(cycle_min(2625 * us_gallon_m3, 700 * gpm_m3s, 175 * gpm_m3s), 20, 0.05);
    EXPECT_NEAR(cycle_min(2625 * us_gallon_m3, 700 * gpm_m3s, 525 * gpm_m3s), 20, 0.05)
        << "symmetrical about half";
}

// UFC 3-240-04A, metric: t 600 s, q 45 L/s, V 6750 L
TEST(WetWell, worst_case_cycle_in_metric_units) {
    EXPECT_NEAR(cycle_min(6.75, 0.045, 0.0225), 10, 0.05);
}

// UFC 3-240-04A: half the volume with two pumps taking turns keeps 4 starts an hour for each
TEST(WetWell, half_the_volume_with_two_pumps_alternating) {
    const double period_min = cycle_min(0.5 * 2625 * us_gallon_m3, 700 * gpm_m3s, 350 * gpm_m3s);
    EXPECT_NEAR(60 / (2 * period_min), 4, 0.02);
}

/// Flow of the only pump, from the fall of a well without inflow, over a time.
double fall_m(double area_m2, double pump_m3s, double lasts_s) {
    Hydraulics hydraulics(constant_flow_station(area_m2, 10, pump_m3s), 8);
    HydraulicInputs inputs;
    inputs.speed_ratio[0] = 1;
    for (int i = 0; i < static_cast<int>(std::lround(lasts_s * 10)); ++i) hydraulics.step(0.1, inputs);
    return 8 - hydraulics.state().level_m;
}

// Operators' exercise (wastewater101, 2019): 10 ft across, 6 in lower in 2 min is 146.8 gpm
TEST(WetWell, draw_down_of_a_round_well) {
    const double area = 3.14159265358979 / 4 * 100 * foot_m * foot_m;
    EXPECT_NEAR(fall_m(area, 146.87 * gpm_m3s, 120) / inch_m, 6, 0.012);
}

// Operators' textbook, Example 11.1: 10 ft by 9 ft, 2.2 ft lower in 5 min is 296.2 gpm
TEST(WetWell, draw_down_of_a_rectangular_well) {
    EXPECT_NEAR(fall_m(90 * foot_m * foot_m, 296.2 * gpm_m3s, 300) / foot_m, 2.2, 0.0044);
}

// Operators' article (Kentucky programme, 2012): 23 ft across, 50 ft deep, pumps failed; 18 ft 9 in up in 222
// min leaves 370 min for the other 31 ft 3 in
TEST(WetWell, time_to_overflow_with_all_pumps_failed) {
    const double area = 3.14159265358979 / 4 * 23 * 23 * foot_m * foot_m;
    Hydraulics hydraulics(constant_flow_station(area, 50 * foot_m, 0.1), 18.75 * foot_m);
    HydraulicInputs inputs;
    inputs.inflow_m3s = 18.75 * foot_m * area / (222 * 60);
    double minutes = 0;
    while (minutes < 1000 && hydraulics.step(1, inputs).overflow_m3s == 0) minutes += 1.0 / 60;
    EXPECT_NEAR(minutes, 370, 0.05);
}

/// Pumps of 500 gpm each, one at a time, on a main with friction.
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

// 9VAC25-790-380 A.2 asks for the flow with any one unit out; the sum of single ratings overstates it where a
// common main loses head (common practice)
TEST(StationRules, firm_capacity_is_less_than_the_sum_of_single_ratings) {
    const config::Station station = three_pump_station();
    const double one = capacity_m3s(station, 1, 1, 1);
    EXPECT_LT(capacity_m3s(station, 2, 1, 1), 2 * one);
    EXPECT_GT(capacity_m3s(station, 2, 1, 1), one);
}

// Wis. Adm. Code NR 110.14(3)(j)1: 0.61 m/s (2 ft/s) at the design rate; UFC 3-240-06A para 7-1: at most 3
// m/s (10 ft/s)
TEST(StationRules, velocity_in_the_main_is_reported_as_flow_over_bore) {
    Hydraulics hydraulics(three_pump_station(), 2);
    HydraulicInputs inputs;
    inputs.speed_ratio = {1, 0, 0};
    inputs.inflow_m3s = 500 * gpm_m3s;
    for (int i = 0; i < 3000; ++i) hydraulics.step(0.1, inputs);
    const double flow = hydraulics.state().main_flow_m3s;
    const double bore_ft2 = 3.14159265358979 / 4 * 100.0 / 144;
    EXPECT_NEAR(hydraulics.state().main_velocity_ms / foot_m, flow / cfs_m3s / bore_ft2, 1e-9);
    EXPECT_GT(hydraulics.state().main_velocity_ms, 0.61);
    EXPECT_LT(hydraulics.state().main_velocity_ms, 3);
}

}  // namespace
