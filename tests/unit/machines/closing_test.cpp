// The closing study: what holds for every machine.
#include "sim_plant/physics/closing.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "config/electrics/motor_circuit.hpp"
#include "tests/unit/machines/textbook_station.hpp"

namespace freshet::plant {
namespace {

using testing::motor_2250_hp;
using testing::motor_500_hp;

ClosingResult at_angle(const config::Motor& motor, double angle_deg) {
    ClosingCase closing;
    closing.angle_deg = angle_deg;
    return closing_study(motor, closing);
}

TEST(Closing, in_phase_changes_nothing) {
    for (const config::Motor& motor : {motor_500_hp(), motor_2250_hp()}) {
        const ClosingResult result = at_angle(motor, 0);
        EXPECT_NEAR(result.peak_current_ratio, 1, 1e-3);
        EXPECT_NEAR(result.torque_max_nm / result.steady_torque_nm, 1, 1e-3);
        EXPECT_NEAR(result.torque_min_nm / result.steady_torque_nm, 1, 1e-3);
        EXPECT_NEAR(result.resultant_v_per_hz_pu, 0, 1e-12);
    }
}

TEST(Closing, in_opposition_passes_ten_times_the_running_current) {
    for (const config::Motor& motor : {motor_500_hp(), motor_2250_hp()}) {
        const ClosingResult result = at_angle(motor, 180);
        EXPECT_GT(result.peak_current_ratio, 10);
        EXPECT_NEAR(result.resultant_v_per_hz_pu, 2, 1e-12);
        EXPECT_FALSE(result.within_limit());
    }
}

TEST(Closing, grows_worse_with_the_angle) {
    double last = 0;
    for (double angle = 0; angle <= 180; angle += 10) {
        const ClosingResult result = at_angle(motor_500_hp(), angle);
        EXPECT_GT(result.peak_current_ratio, last) << angle;
        last = result.peak_current_ratio;
    }
}

TEST(Closing, is_the_same_a_whole_turn_later) {
    const ClosingResult a = at_angle(motor_500_hp(), 30);
    const ClosingResult b = at_angle(motor_500_hp(), 30 - 360);
    EXPECT_NEAR(a.peak_current_a, b.peak_current_a, 1e-6);
    EXPECT_NEAR(a.resultant_v_per_hz_pu, b.resultant_v_per_hz_pu, 1e-9);
}

TEST(Closing, finds_the_worst_phase_peak_over_the_point_on_wave) {
    // The trace shows phase a at the worst point on wave: its peak is the reported one.
    std::vector<ClosingTracePoint> trace;
    ClosingCase closing;
    closing.angle_deg = 45;
    const ClosingResult result = closing_study(motor_500_hp(), closing, &trace);
    double peak = 0;
    double before = 0;
    for (const ClosingTracePoint& point : trace) {
        peak = std::max(peak, std::abs(point.current_a));
        if (point.t_s < 0) before = std::max(before, std::abs(point.current_a));
    }
    EXPECT_NEAR(peak, result.peak_current_a, 1e-6);
    EXPECT_NEAR(before, result.steady_current_peak_a, 0.02 * result.steady_current_peak_a);
}

TEST(Closing, with_a_voltage_difference_alone_shocks_little) {
    ClosingCase closing;
    closing.volts_difference_ratio = 0.05;
    const ClosingResult result = closing_study(motor_500_hp(), closing);
    EXPECT_NEAR(result.resultant_v_per_hz_pu, 0.05, 1e-9);
    EXPECT_LT(result.peak_current_ratio, 1.5);
    EXPECT_GT(result.peak_current_ratio, 1);
}

TEST(Closing, after_a_long_gap_meets_hardly_any_voltage_and_a_slower_shaft) {
    ClosingCase closing;
    closing.gap_s = 3;
    const ClosingResult result = closing_study(motor_500_hp(), closing);
    EXPECT_LT(result.terminal_v, 0.02 * 2300);
    EXPECT_LT(result.terminal_hz, 40);
    EXPECT_NEAR(result.resultant_v_per_hz_pu, 1, 0.03);
}

TEST(Closing, after_a_gap_of_nothing_is_an_instant_change_over) {
    ClosingCase closing;
    closing.angle_deg = 20;
    const ClosingResult instant = closing_study(motor_500_hp(), closing);
    closing.gap_s = 1e-7;
    const ClosingResult opened = closing_study(motor_500_hp(), closing);
    // Chopping the stator current costs the leakage flux: the terminals drop to the voltage behind it.
    EXPECT_LT(opened.terminal_v, 2300);
    EXPECT_GT(opened.terminal_v, 0.85 * 2300);
    EXPECT_NEAR(opened.peak_current_a, instant.peak_current_a, 0.45 * instant.peak_current_a);
}

TEST(Closing, from_rest_draws_the_asymmetric_locked_rotor_current) {
    ClosingCase closing;
    closing.before = Before::rest;
    const ClosingResult result = closing_study(motor_500_hp(), closing);
    const double locked_peak =
        std::sqrt(2.0) * config::circuit_point(motor_500_hp().circuit, 4, 60, 2300, 60, 1).current_a;
    EXPECT_GT(result.peak_current_a, 1.4 * locked_peak);
    EXPECT_LT(result.peak_current_a, 2 * locked_peak);
    EXPECT_NEAR(result.resultant_v_per_hz_pu, 1, 1e-12);
}

TEST(Closing, of_a_residual_voltage_equal_to_the_line_in_phase_disturbs_no_more_than_picking_up_the_load) {
    ClosingCase closing;
    closing.before = Before::residual;
    closing.load_ratio = 0;
    const ClosingResult result = closing_study(motor_500_hp(), closing);
    EXPECT_NEAR(result.resultant_v_per_hz_pu, 0, 1e-9);
    EXPECT_LT(result.peak_current_ratio, 0.5);
}

TEST(Closing, calculates_each_in_at_most_twenty_milliseconds) {
    const auto begin = std::clock();
    constexpr int studies = 20;
    double sum = 0;
    for (int i = 0; i < studies; ++i) sum += at_angle(motor_500_hp(), i).peak_current_a;
    const double each_ms = 1000.0 * static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC / studies;
    EXPECT_GT(sum, 0);
    EXPECT_LT(each_ms, 20);
}

}  // namespace
}  // namespace freshet::plant
