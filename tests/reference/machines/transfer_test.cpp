// Synchronising, transfer and reconnection held against the world.
// One reason to change: a published limit or definition.
//
// Sources, each named again at its check:
//   C50.41: ANSI/NEMA C50.41-2012, limit of 1.33 per-unit volts per hertz and formula of the resultant. Both
//     are transcribed from the help texts of two public teaching programs on motor bus transfer that quote
//     the standard, not from the standard itself. That the phasors of the formula are volts per hertz is from
//     memory.
//   Residual voltage: 25 % of rated voltage as the threshold of a transfer: common practice.
//   Companion: the value is transcribed from the notebook that the Python Textbook Companions keep for the
//     book (github.com/FOSSEE/Python-Textbook-Companions, commit d34b2ae), not from the printed page.
//   Kosow: I. L. Kosow, Electric Machinery and Transformers, 2nd ed. 2007.
//   Krause: P. Krause, O. Wasynczuk, S. Sudhoff, Analysis of Electric Machinery; parameters transcribed from
//     public simulation scripts, not from the printed table. The scripts name no source; the attribution to
//     this table is from memory.
//   IEEE 1547-2003, 4.1.3, Table 5: from memory.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "sim_plant/physics/closing.hpp"
#include "sim_plant/physics/parallel_sources.hpp"
#include "sim_plant/physics/power_train.hpp"
#include "tests/unit/machines/textbook_station.hpp"

namespace freshet::plant {
namespace {

using testing::Bench;
using testing::textbook_station;

constexpr double deg = 180 / std::numbers::pi;

// C50.41
TEST(C5041, limit_is_1_33) {
    EXPECT_EQ(resultant_limit_pu, 1.33);
}
// Computed from the formula of C50.41. All four checks that follow.
TEST(C5041, resultant_in_phase_is_zero) {
    EXPECT_NEAR(resultant_v_per_hz(1, 1, 1, 1, 0), 0, 1e-4);
}
TEST(C5041, resultant_reaches_the_limit_at_83_37_degrees) {
    EXPECT_NEAR(resultant_v_per_hz(1, 1, 1, 1, 83.37), 1.3301, 1e-4);
}
TEST(C5041, resultant_in_opposition_is_two) {
    EXPECT_NEAR(resultant_v_per_hz(1, 1, 1, 1, 180), 2, 1e-12);
}
// 25 % of the voltage at three quarters of the frequency, in opposition, make a resultant of
//   0.25 / 0.75 + 1 = 1.333.
// A test of the residual voltage alone would permit this closing. The resultant refuses it.
TEST(C5041, resultant_of_a_quarter_of_the_voltage_at_sagged_frequency_can_exceed_the_limit) {
    EXPECT_GT(resultant_v_per_hz(0.25, 0.75, 1, 1, 180), resultant_limit_pu);
}

// Residual voltage with the open-circuit time constant, definition T0 = (xm + xlr) / (2 pi f rr). Computed
// from the parameters of Krause: at constant speed the voltage falls from the air-gap voltage to 25 % in ln 4
// x T0.
struct Residual {
    const char* name;
    config::MotorCircuit circuit;
    double time_constant_s, to_quarter_s;
};
class ResidualVoltage : public ::testing::TestWithParam<Residual> {};
TEST_P(ResidualVoltage, falls_to_a_quarter_in_ln_4_time_constants) {
    config::Motor motor = testing::motor_500_hp();
    motor.circuit = GetParam().circuit;
    motor.nameplate.power_w = 10000;
    const double t0 = config::open_circuit_time_constant(motor.circuit, 60);
    EXPECT_NEAR(t0, GetParam().time_constant_s, 1e-3 * t0);
    // With this inertia the shaft keeps its speed.
    const MotorModel model(motor, 1e12);
    MotorShaft shaft;
    shaft.mode = MotorMode::coasting;
    shaft.speed_rad_s = 188;
    shaft.residual_v = 1000;
    double t = 0;
    while (shaft.residual_v > 250) {
        advance_coasting(model, shaft, 0.0005, 0);
        t += 0.0005;
    }
    EXPECT_NEAR(t, GetParam().to_quarter_s, 0.001);
}
INSTANTIATE_TEST_SUITE_P(
    machines, ResidualVoltage,
    ::testing::Values(Residual{"3 hp", {0.435, 0.754, 26.13, 0.754, 0.816}, 0.0874, 0.1212},
                      Residual{"50 hp", {0.087, 0.302, 13.08, 0.302, 0.228}, 0.1557, 0.2158},
                      Residual{"500 hp", {0.262, 1.206, 54.02, 1.206, 0.187}, 0.7834, 1.0860},
                      Residual{"2250 hp", {0.029, 0.226, 13.04, 0.226, 0.022}, 1.5995, 2.2174}));

/// A station whose line does not wander. Its drive runs without load at a given slip to the line.
Bench beside_the_line(double slip_hz) {
    config::Station station = textbook_station();
    station.supply.frequency_wander_hz = station.supply.voltage_wander_ratio = 0;
    station.line_side.spread_s = station.drive_side.spread_s = 0;
    station.line_side.closing_s = 0.1;
    Bench bench(station);
    bench.orders.drive_run = true;
    bench.orders.speed_hz = 60 + slip_hz;
    bench.run(20);
    return bench;
}

// Kosow, Example 7.5, p. 191 (companion): 60 Hz against 59.5 Hz beats at half a hertz, which is 30 times a
// minute.
TEST(Kosow75, beat_of_60_and_59_5_hz_is_30_a_minute) {
    Bench bench = beside_the_line(-0.5);
    int turns = 0;
    double last = bench.train.state().drive_ahead_rad;
    for (int i = 0; i < 6000; ++i) {
        const double now = bench.step(0.01).drive_ahead_rad;
        if (now - last > std::numbers::pi) ++turns;
        last = now;
    }
    EXPECT_NEAR(turns, 30, 1);
}

// Definition: at constant slip the time inside a window of plus and minus phi is
//   2 phi / (360 df).
struct Window {
    double angle_deg, slip_hz, time_s;
};
class SyncWindow : public ::testing::TestWithParam<Window> {};
TEST_P(SyncWindow, holds_an_angle_for_two_phi_over_360_df) {
    Bench bench = beside_the_line(GetParam().slip_hz);
    double inside_s = 0;
    constexpr double part_s = 0.001;
    const double turn_s = 1 / GetParam().slip_hz;
    for (double t = 0; t < turn_s; t += part_s)
        if (std::abs(bench.step(part_s).drive_ahead_rad) * deg < GetParam().angle_deg) inside_s += part_s;
    EXPECT_NEAR(inside_s, GetParam().time_s, 0.003);
}
INSTANTIATE_TEST_SUITE_P(windows, SyncWindow,
                         ::testing::Values(Window{20, 0.3, 0.3704}, Window{15, 0.2, 0.4167},
                                           Window{10, 0.1, 0.5556}));

// Definition: while the contacts travel, the angle moves by 360 df t_close. That is 3.6 degrees at 0.1 Hz and
// 100 ms.
TEST(AdvanceAngle, is_3_6_degrees_at_a_tenth_of_a_hertz_and_a_tenth_of_a_second) {
    config::Station station = textbook_station();
    station.supply.frequency_wander_hz = station.supply.voltage_wander_ratio = 0;
    station.line_side.spread_s = 0;
    station.line_side.closing_s = 0.1;
    Bench bench(station);
    bench.orders.pumps[0].drive_side_close = bench.orders.output_close = true;
    bench.run(0.3);
    bench.orders.drive_run = true;
    bench.orders.speed_hz = 60.1;
    bench.run(30);
    ASSERT_GE(bench.until([](const PowerTrainState& s) { return std::abs(s.drive_ahead_rad) * deg < 10; }, 20,
                          0.01),
              0);
    const double at_order_deg = bench.train.state().drive_ahead_rad * deg;
    bench.orders.pumps[0].line_side_close = true;
    bench.run(0.12, 0.01);
    EXPECT_NEAR(bench.last_closing.angle_deg - at_order_deg, 3.6, 1e-6);
    EXPECT_NEAR(bench.last_closing.slip_hz, 0.1, 1e-9);
}

// IEEE 1547-2003, Table 5, above 1500 kVA: 0.1 Hz, 3 %, 10 degrees (from memory). The drive's own claim is no
// looser.
TEST(Ieee1547, drives_claim_is_no_looser_than_the_strictest_class) {
    EXPECT_LE(claim_slip_max_hz, 0.1);
    EXPECT_LE(claim_voltage_max_ratio, 0.03);
    EXPECT_LE(config::Drive{}.sync_window_deg, 10);
}

// Kosow, Example 7.7, p. 193 (companion): the circulating current is the voltage difference over the
// impedance between the sources. Here only the reactance of the drive's side lies between them. So the rule
//   reads |dV| / (sqrt 3 X), X = 15 % of V^2 / P (common practice).
TEST(Kosow77, circulating_current_is_the_difference_over_the_impedance) {
    config::Station station = textbook_station();
    station.supply.frequency_wander_hz = station.supply.voltage_wander_ratio = 0;
    station.supply.short_circuit_va = 1e12;
    station.supply.voltage_v = 2400;
    station.drive.sync_window_deg = 8;
    Bench bench(station);
    bench.orders.pumps[0].drive_side_close = bench.orders.output_close = true;
    bench.run(0.3);
    bench.orders.drive_run = true;
    bench.orders.speed_hz = 60;
    bench.run(20);
    bench.orders.synchronise = true;
    bench.run(20);
    bench.orders.pumps[0].line_side_close = true;
    bench.orders.synchronise = false;  // rated volts per hertz again: 100 V apart, in phase
    bench.run(0.2);
    const PowerTrainState& s = bench.train.state();
    const double ohm = 0.15 * 2300.0 * 2300.0 / station.motor.nameplate.power_w;
    const double gap_v = std::sqrt(std::pow(s.line_voltage_v, 2) + std::pow(s.drive_voltage_v, 2) -
                                   2 * s.line_voltage_v * s.drive_voltage_v * std::cos(s.drive_ahead_rad));
    EXPECT_NEAR(gap_v, 100, 2);
    EXPECT_NEAR(circulating_current_a(s.drive_voltage_v, s.line_voltage_v, s.drive_ahead_rad,
                                      parallel_reactance_ohm(station.motor.nameplate)),
                gap_v / (std::numbers::sqrt3 * ohm), 0.01);
}

// Common practice: a motor that is energised again in opposition draws more than ten times its running
// current; in phase it draws its running current.
TEST(CommonPractice, closing_in_opposition_draws_ten_times_the_running_current_and_in_phase_no_more) {
    for (const config::Motor& motor : {testing::motor_500_hp(), testing::motor_2250_hp()}) {
        ClosingCase closing;
        closing.angle_deg = 180;
        EXPECT_GT(closing_study(motor, closing).peak_current_ratio, 10) << motor.name;
        closing.angle_deg = 0;
        EXPECT_NEAR(closing_study(motor, closing).peak_current_ratio, 1, 0.01) << motor.name;
    }
}

}  // namespace
}  // namespace freshet::plant
