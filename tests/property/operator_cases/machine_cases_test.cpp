// Cases in which the machines started, stopped and changed over without need. Each case prints its
// figures. The bound in a case is the figure of the present controller, and the comment behind the bound
// names the aim.
// One reason to change: a case, or the figure that a case may have.
#include <gtest/gtest.h>

#include <utility>
#include <vector>

#include "tests/property/operator_cases/watched_run.hpp"

namespace freshet::operator_cases {
namespace {

/// A rise from zero, then hours with one inflow.
std::vector<config::SeriesPoint> risen(double inflow_m3s, double hours, double rise_s = 0.5 * s_per_h) {
    return {{0, 0}, {rise_s, inflow_m3s}, {hours * s_per_h, inflow_m3s}};
}

constexpr double one_pump_m3s = 0.79;  // stated in the demonstration's station file

TEST(OperatorCase, ninety_seven_per_cent_of_one_pump_for_ninety_minutes) {
    const Watched figures = watched_run(demonstration_well(risen(0.97 * one_pump_m3s, 2, 1), 3.5));
    print("97 % of one pump", figures);
    EXPECT_EQ(figures.hand_overs, 0);
    EXPECT_EQ(figures.starts, 1);
    EXPECT_EQ(figures.line_stops, 0);
}

/// The demonstration with pumps whose head falls by a tenth from no flow to the flow at best efficiency.
Case flat_curve_well(std::vector<config::SeriesPoint> inflow_m3s) {
    Case one = demonstration_well(std::move(inflow_m3s), 3.0);
    const std::vector<double> heads_m{53.5, 53.3, 52.8, 51.8, 50.2, 48.8, 46.5, 43.0};
    for (std::size_t i = 0; i < heads_m.size(); ++i) one.station.pump.curve[i].head_m = heads_m[i];
    one.station.main.discharge_level_m += 11;
    one.station.pump.minimum_flow_m3s = 0.25;
    derive_again(one);
    return one;
}

TEST(OperatorCase, thirty_five_per_cent_of_one_pump_on_a_flat_curve) {
    const Watched figures = watched_run(flat_curve_well(risen(0.35 * one_pump_m3s, 2.5, s_per_min)));
    print("35 % of one pump on a flat curve", figures);
    EXPECT_EQ(figures.starts, 1);
    EXPECT_EQ(figures.hand_overs, 0);
}

TEST(OperatorCase, inflow_in_the_band_above_one_pump) {
    const Watched figures = watched_run(demonstration_well(risen(0.85, 4.5), 2.2));
    print("0.85 m3/s, in the band above one pump", figures);
    EXPECT_LE(figures.transfers(), 1);
    EXPECT_EQ(figures.overflow_m3, 0);
}

TEST(OperatorCase, fixed_speed_at_a_constant_inflow) {
    Case one = demonstration_well(risen(1.7, 4.5), 2.2);
    one.scenario.faults.push_back(fault("drive", config::FaultKind::not_ready));
    const Watched figures = watched_run(one);
    print("four hours without the drive at 1.7 m3/s", figures);
    EXPECT_LE(figures.line_starts, 25);  // a third pump cycles in 636 s
    EXPECT_LE(figures.line_stops, 25);
    EXPECT_EQ(figures.overflow_m3, 0);
}

/// The booster set with one demand for six hours.
Watched booster_at(double demand_m3s) {
    Case one = shipped("booster_day");
    one.scenario.demand_m3s = {{0, demand_m3s}, {24 * s_per_h, demand_m3s}};
    one.scenario.duration_s = 6 * s_per_h;
    return watched_run(one);
}

TEST(OperatorCase, booster_at_a_demand_below_the_minimum_flow) {
    const Watched figures = booster_at(0.005);
    print("booster at 5 L/s", figures);
    EXPECT_LE(figures.below_minimum_flow_s, 1960);  // aim: the time in which the vessel fills
}

TEST(OperatorCase, booster_at_a_demand_just_above_one_pump) {
    const Watched figures = booster_at(0.036);
    print("booster at 36 L/s", figures);
    EXPECT_LE(figures.transfers_per_hour_max, 2);
}

}  // namespace
}  // namespace freshet::operator_cases
