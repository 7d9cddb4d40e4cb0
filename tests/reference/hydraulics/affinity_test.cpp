// Affinity laws on the whole curve, and pumps in parallel, against published examples.
// One reason to change: a published example.
//
// Sources, each named again at its check:
//   TP 410: Technical Paper 410, Flow of Fluids, solved problems, as solved in the notebooks of the open
//     library fluids (github.com/CalebBell/fluids, commit 091070e, docs/Examples/(TP 410 Solved Problems)).
//   Companion: the value is transcribed from the notebook that the Python Textbook Companions keep for the
//     book (github.com/FOSSEE/Python-Textbook-Companions, commit d34b2ae), not from the printed page.
//   Books: B. K. Sarkar, Fluid Mechanics and Hydraulic Machines, 1st ed. 1999; Y. Cengel and J. Cimbala,
//     Fluid Mechanics, Fundamentals and Applications (edition not stated in the notebook); R. S. Paradise,
//     Problems in Hydraulics, 3rd ed. 1953; C. Schaschke, Fluid Mechanics, Worked Examples for Engineers
//     (edition not stated).
//   UFC: UFC 3-230-13A (TM 5-813-9, 6 October 1992), buildingcriteria1.tpub.com/ufc_3_230_13a.
#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "config/hydraulics/gravity.hpp"
#include "config/hydraulics/pump_curve.hpp"
#include "sim_plant/physics/branch.hpp"
#include "tests/doubles/operating_point.hpp"
#include "trade_units.hpp"

namespace {

using namespace freshet;
using namespace freshet::tests;
using namespace freshet::plant;
using namespace freshet::doubles;

/// Efficiency of a duty point in water at a given shaft power.
double efficiency(double flow_m3s, double head_m, double power_w) {
    return config::Fluid{}.density_kgm3 * config::gravity_ms2 * flow_m3s * head_m / power_w;
}

/// A catalogue curve through one known duty point. The other points are invented and no check reads them.
config::PumpType pump_through(double flow_m3s, double head_m, double power_w, double rpm) {
    config::PumpType type;
    const double eta = efficiency(flow_m3s, head_m, power_w);
    type.curve = {
        {0, 1.3 * head_m, 0, 1}, {flow_m3s, head_m, eta, 1}, {1.5 * flow_m3s, 0.6 * head_m, 0.9 * eta, 1}};
    type.rated_speed_rpm = rpm;
    return type;
}

/// Flow and power of a pump at another speed, against the head that affinity gives for its duty point there.
struct AtSpeed {
    double flow_m3s, power_w;
};
AtSpeed at_speed(const config::PumpType& type, double rpm, double head_m) {
    const config::PumpCurve curve(type, {});
    const double s = rpm / type.rated_speed_rpm;
    Branch branch;
    set_branch(branch, curve, 0, s, 1);
    const double flow = branch_flow(branch, curve, head_m, 0).flow_m3s;
    return {flow, s * s * s * curve.torque_nm(flow / s) * curve.rated_speed_rad_s()};
}

// TP 410, problem 7.33 (notebook "7.33 Pump Affinity Rules"): 400 gpm at 126 ft with 17.5 hp at 3500 rpm
// become 194.29 gpm at 29.73 ft with 2.0053 hp at 1700 rpm.
TEST(Affinity, takes_400_gpm_at_3500_rpm_to_194_gpm_and_2_hp_at_1700_rpm) {
    const auto pump = pump_through(400 * gpm_m3s, 126 * foot_m, 17.5 * hp_w, 3500);
    const AtSpeed slow = at_speed(pump, 1700, 29.7257143 * foot_m);
    EXPECT_NEAR(slow.flow_m3s / gpm_m3s, 194.2857, 0.001);
    EXPECT_NEAR(slow.power_w / hp_w, 2.0053, 0.0005);
}

// Sarkar, Example 10.4, p. 214 (companion): 12 m and 6 kW at 1450 rpm become 15.5386 m and 8.841 kW at 1650
// rpm.
TEST(Affinity, takes_6_kw_at_1450_rpm_to_8_84_kw_at_1650_rpm) {
    const auto pump = pump_through(0.04, 12, 6000, 1450);
    const AtSpeed fast = at_speed(pump, 1650, 15.53864447);
    EXPECT_NEAR(fast.flow_m3s, 0.04 * 1650 / 1450, 1e-9);
    EXPECT_NEAR(fast.power_w, 8841, 0.5);
}

// Cengel and Cimbala, Example 14-10, p. 804 (companion): twice the speed takes eight times the power.
TEST(Affinity, takes_eight_times_the_power_at_twice_the_speed) {
    const auto pump = pump_through(0.05, 10, 7000, 750);
    EXPECT_NEAR(at_speed(pump, 1500, 40).power_w / at_speed(pump, 750, 10).power_w, 8, 1e-9);
}

// D. W. Spitzer, "Quiz Corner: Affinity Laws for Centrifugal Pump Loads", Flow Control, 28 October 2014
// (flowcontrolnetwork.com/quiz-corner-affinity-laws-for-centrifugal-pump-loads): at 70 % speed, 100 L/min and
// 10 bar become 70 L/min and about 5 bar, for 34 % of the power.
TEST(Affinity, takes_a_third_of_the_power_at_seventy_per_cent_speed) {
    const double head_m = 10e5 / (998.2 * config::gravity_ms2);
    const auto pump = pump_through(0.1 / 60, head_m, 4000, 2900);
    const AtSpeed slow = at_speed(pump, 0.7 * 2900, 0.49 * head_m);
    EXPECT_NEAR(slow.flow_m3s * 60000, 70, 0.5);
    EXPECT_NEAR(slow.power_w / 4000, 0.34, 0.005);
}

/// A pumping station between two fixed levels. Its main loses k Q^2 and nothing else.
config::Station station_of(const config::PumpType& pump, std::uint8_t pumps, double static_m, double k_s2m5) {
    config::Station station;
    station.pump = pump;
    station.pump_count = pumps;
    station.main.discharge_level_m = static_m;
    config::Reach reach;
    reach.length_m = 1e-6;
    reach.diameter_m = 1;
    const double per_flow_squared = std::pow(4 / 3.14159265358979, 2) / (2 * config::gravity_ms2);
    reach.minor_loss_k = k_s2m5 / per_flow_squared;
    station.main.reaches = {reach};
    return station;
}

/// Paradise, Example 11.10, p. 239 (companion, which labels lb/min as gal/min): one pump gives 764 gal/min
/// (imperial) at 63 ft with 72 %, two pumps give 1140 gal/min at 80 ft with 76 %. The curve and the system go
/// through both points. The first and the last point of the curve are invented.
config::Station paradise() {
    const double one = 764 * imperial_gpm_m3s;
    const double both = 1140 * imperial_gpm_m3s;
    const double k = (80 - 63) * foot_m / (both * both - one * one);
    config::PumpType pump;
    pump.curve = {{0, 95 * foot_m, 0, 1},
                  {0.5 * both, 80 * foot_m, 0.76, 1},
                  {one, 63 * foot_m, 0.72, 1},
                  {1.2 * one, 48 * foot_m, 0.6, 1}};
    pump.rated_speed_rpm = 1450;
    return station_of(pump, 2, 63 * foot_m - k * one * one, k);
}

// Paradise, Example 11.10, p. 239 (companion): 20.3 hp.
TEST(Parallel, one_pump_of_a_pair_alone_takes_20_3_hp) {
    const std::array<double, 1> alone{1};
    const OperatingPoint point = operating_point(paradise(), alone, 0);
    EXPECT_NEAR(point.total_flow_m3s / imperial_gpm_m3s, 764, 0.01);
    EXPECT_NEAR(point.shaft_power_w[0] / hp_w, 20.3, 0.05 + 0.002 * 20.3)
        << "a gallon of the book weighs 10 lb";
}

// Paradise, Example 11.10, p. 239 (companion): 36.4 hp for both.
TEST(Parallel, both_pumps_of_a_pair_take_36_4_hp) {
    const std::array<double, 2> both{1, 1};
    const OperatingPoint point = operating_point(paradise(), both, 0);
    EXPECT_NEAR(point.total_flow_m3s / imperial_gpm_m3s, 1140, 0.01);
    EXPECT_NEAR((point.shaft_power_w[0] + point.shaft_power_w[1]) / hp_w, 36.4, 0.05 + 0.002 * 36.4);
}

// Paradise, Example 11.10 (companion): the ratio of the two printed flows is 1.492, which is less than two.
TEST(Parallel, a_second_pump_gains_less_than_it_delivers_alone) {
    EXPECT_NEAR(capacity_m3s(paradise(), 2, 1, 0) / capacity_m3s(paradise(), 1, 1, 0), 1.492, 0.001);
}

// D. A. Chin, Water-Resources Engineering, Example 2.13, statement as read in a lecture's copy
// (scribd.com/document/525238484, edition not stated): one pump gives 12 - 0.1 Q^2.
// Computed here: three in parallel give 12 - (0.1/9) Q^2.
TEST(Parallel, three_pumps_have_a_ninth_of_the_curves_coefficient) {
    config::PumpType pump;
    for (int i = 0; i <= 10; ++i) {
        const double q = i;
        pump.curve.push_back({q, 12 - 0.1 * q * q, i == 0 ? 0 : 0.7, 1});
    }
    pump.rated_speed_rpm = 1000;
    // The system curve is invented. It meets the three pumps where each gives 5 at a head of 9.5.
    const config::Station station = station_of(pump, 3, 9.5 - 0.01 * 15 * 15, 0.01);
    const double flow = capacity_m3s(station, 3, 1, 0);
    EXPECT_NEAR(flow, 15, 1e-6);
    EXPECT_NEAR(
        (12 - operating_point(station, std::array<double, 3>{1, 1, 1}, 0).header_head_m) / (flow * flow),
        0.0111111, 1e-6);
}

/// Schaschke, Example 9.10, p. 255 (companion): a curve of six points at 1200 rpm, system 10 + 5.42e5 Q^2.
config::Station schaschke() {
    config::PumpType pump;
    const std::array<double, 6> heads{40, 39.5, 38, 35, 30, 20};
    for (std::size_t i = 0; i < heads.size(); ++i) {
        pump.curve.push_back({0.002 * static_cast<double>(i), heads[i], i == 0 ? 0 : 0.6, 1});
    }
    pump.rated_speed_rpm = 1200;
    return station_of(pump, 1, 10, 5.42e5);
}

/// Speed that gives three quarters of the flow: affinity on the whole curve, then the meeting with the
/// system.
double speed_for_a_quarter_less_rpm() {
    double low = 0.5;
    double high = 1;
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        (capacity_m3s(schaschke(), 1, middle, 0) < 0.00495 ? low : high) = middle;
    }
    return low * 1200;
}
// Computed from the inputs of Schaschke, Example 9.10, with scipy: 980.2 rpm by a cubic spline, 980.3 by a
// monotone cubic, 980.7 by straight lines. The three rpm of tolerance are for the choice of the curve between
// the points.
TEST(Affinity, on_the_whole_curve_cuts_the_flow_by_a_quarter_at_980_rpm) {
    EXPECT_NEAR(speed_for_a_quarter_less_rpm(), 980.3, 3);
}

// Schaschke, Example 9.10, p. 255 (companion), prints 986.97 rpm. That step moves the duty point along the
// system curve with H ~ N^2, which is wrong with static head.
TEST(Affinity, on_the_whole_curve_does_not_give_the_printed_speed_that_moves_the_duty_point_alone) {
    EXPECT_GT(std::abs(speed_for_a_quarter_less_rpm() - 986.97), 3);
}

// Computed from the inputs of Schaschke, Example 9.10: a shut-off head of 40 m at 1200 rpm overcomes 10 m of
// static head from 1200 sqrt(10/40) = 600 rpm.
TEST(Affinity, makes_600_rpm_the_least_speed_that_overcomes_the_static_head) {
    EXPECT_EQ(capacity_m3s(schaschke(), 1, 0.499, 0), 0);
    EXPECT_GT(capacity_m3s(schaschke(), 1, 0.501, 0), 0);
}

// UFC, para 4-1, Fig. 4-2: one pump of two gives 60 % of the peak, both give all of it. So both give 1.667
// times one pump. A main with that ratio lies between pure static lift (2.0) and pure friction (nearer 1).
TEST(Parallel, gain_of_a_second_pump_lies_between_friction_and_static_lift) {
    const config::PumpType pump = schaschke().pump;
    const auto gain = [&](double static_m, double k) {
        const config::Station station = station_of(pump, 2, static_m, k);
        return capacity_m3s(station, 2, 1, 0) / capacity_m3s(station, 1, 1, 0);
    };
    EXPECT_NEAR(gain(30, 0), 2, 1e-9);
    EXPECT_LT(gain(0, 5e5), 1.667);
    EXPECT_GT(gain(25, 2e4), 1.667);
}

}  // namespace
