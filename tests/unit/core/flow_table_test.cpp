// Flow of each combination of pumps, and the speed below which the pump on the drive delivers no water.
// One reason to change: how the flow of a combination is found.
#include "controller/core/flow_table.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <utility>

#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

constexpr double line_hz = 60;

TEST(FlowTable, agrees_with_the_direct_solution_between_its_points) {
    const Settings settings = doubles::four_pumps();
    const FlowTable table(settings);
    for (std::uint8_t line = 0; line <= 4; ++line)
        for (double speed_hz = 44; speed_hz <= 60; speed_hz += 1.7)
            for (double level_m = 0.7; level_m < 3.4; level_m += 0.45) {
                const double direct = solve_combination(settings, {line, speed_hz, level_m}).total_m3s;
                EXPECT_NEAR(table.total_m3s(line, speed_hz, level_m), direct, settings.minimum_flow_m3s / 5)
                    << int(line) << " on line, " << speed_hz << " Hz, " << level_m << " m";
            }
}

TEST(FlowTable, needs_more_speed_on_the_drive_for_more_pumps_on_the_line) {
    const FlowTable table(doubles::four_pumps());
    for (std::size_t line = 0; line < 4; ++line)
        EXPECT_GT(table.minimum_flow_hz(line + 1, 2.0), table.minimum_flow_hz(line, 2.0));
}

TEST(FlowTable, has_the_minimum_continuous_flow_of_that_speed_at_minimum_flow_speed) {
    const Settings settings = doubles::four_pumps();
    const FlowTable table(settings);
    for (std::uint8_t line = 0; line <= 3; ++line) {
        const double speed_hz = table.minimum_flow_hz(line, settings.marks.low_cutoff_m);
        const Delivery delivery = solve_combination(settings, {line, speed_hz, settings.marks.low_cutoff_m});
        EXPECT_NEAR(delivery.drive_pump_m3s, settings.minimum_flow_m3s * speed_hz / line_hz, 1e-6);
    }
}

TEST(FlowTable, has_no_flow_for_a_pump_that_is_too_slow_and_leaves_the_others_unchanged) {
    const Settings settings = doubles::four_pumps();
    const Delivery slow = solve_combination(settings, {2, 25.0, 2.0});
    const Delivery without = solve_combination(settings, {2, 0.0, 2.0});
    EXPECT_EQ(slow.drive_pump_m3s, 0);
    EXPECT_NEAR(slow.total_m3s, without.total_m3s, 1e-9);
}

TEST(FlowTable, never_goes_below_the_floor_of_the_settings) {
    Settings settings = doubles::four_pumps();
    settings.drive.speed_min_hz = 48;
    const FlowTable table(settings);
    EXPECT_GE(table.minimum_flow_hz(0, 2.0), 48);
}

TEST(FlowTable, gives_the_flow_of_its_nearest_speed_outside_its_speeds) {
    const Settings settings = doubles::four_pumps();
    const FlowTable table(settings);
    EXPECT_EQ(table.total_m3s(2, 5.0, 2.0), table.total_m3s(2, 0.4 * line_hz, 2.0));
    EXPECT_EQ(table.total_m3s(2, line_hz + 9, 2.0), table.total_m3s(2, line_hz, 2.0));
}

TEST(FlowTable, gives_the_flow_of_its_nearest_level_outside_its_levels) {
    const Settings settings = doubles::four_pumps();
    const FlowTable table(settings);
    const double low_m = settings.marks.low_cutoff_m;
    const double high_m = settings.marks.high_alarm_m;
    EXPECT_EQ(table.total_m3s(2, 50, low_m - 3), table.total_m3s(2, 50, low_m));
    EXPECT_EQ(table.total_m3s(2, 50, high_m + 3), table.total_m3s(2, 50, high_m));
    EXPECT_NEAR(table.total_m3s(2, 50, high_m), solve_combination(settings, {2, 50, high_m}).total_m3s, 0.02);
}

TEST(FlowTable, gives_a_flow_when_the_cut_off_and_the_high_alarm_are_equal) {
    Settings settings = doubles::four_pumps();
    settings.marks.high_alarm_m = settings.marks.low_cutoff_m;
    const FlowTable table(settings);
    const double level_m = settings.marks.low_cutoff_m;
    EXPECT_NEAR(table.total_m3s(1, 0, level_m), solve_combination(settings, {1, 0, level_m}).total_m3s, 1e-9);
}

TEST(FlowTable, gives_full_speed_and_no_gain_for_a_minimum_flow_that_no_speed_reaches) {
    Settings settings = doubles::four_pumps();
    settings.minimum_flow_m3s = 5;
    const FlowTable table(settings);
    EXPECT_NEAR(table.minimum_flow_hz(0, 2.0), settings.drive.speed_max_hz, 1e-9);
    EXPECT_EQ(table.flow_per_hz(0), 0);
}

TEST(Pumping, without_losses_has_the_flow_of_the_curve_at_the_lift) {
    // 28 m at 0.3 m3/s and 24 m at 0.6 m3/s: a lift of 26 m lies half-way, at 0.45 m3/s a pump.
    Settings settings = doubles::four_pumps();
    settings.branch_loss_s2m5 = 0;
    settings.main_points = 0;
    settings.discharge_level_m = 26 + 2;
    EXPECT_NEAR(solve_combination(settings, {1, 0, 2.0}).total_m3s, 0.45, 1e-9);
    EXPECT_NEAR(solve_combination(settings, {2, line_hz, 2.0}).total_m3s, 3 * 0.45, 1e-9);
}

TEST(Pumping, without_losses_has_a_flow_behind_a_level_piece_of_the_curve) {
    Settings settings = doubles::four_pumps();
    settings.branch_loss_s2m5 = 0;
    settings.main_points = 0;
    settings.curve = {{{0.0, 30.0}, {0.3, 30.0}, {0.6, 20.0}}};
    settings.curve_points = 3;
    settings.discharge_level_m = 25 + 2;
    EXPECT_NEAR(solve_combination(settings, {1, 0, 2.0}).total_m3s, 0.45, 1e-9);
}

TEST(Pumping, has_the_flow_of_the_last_point_of_the_curve_at_a_small_lift) {
    // Affinity: a speed of 50 of 60 Hz gives 5/6 of the flow.
    Settings settings = doubles::four_pumps();
    settings.branch_loss_s2m5 = 0;
    settings.main_points = 0;
    settings.discharge_level_m = 2;
    EXPECT_NEAR(solve_combination(settings, {1, 0, 2.0}).total_m3s, 1.1, 1e-9);
    EXPECT_NEAR(solve_combination(settings, {0, 50, 2.0}).drive_pump_m3s, 1.1 * 50 / 60, 1e-9);
}

TEST(Pumping, against_a_measured_header_pressure_has_no_loss_in_the_main) {
    Settings settings = doubles::four_pumps();
    settings.action = Action::reverse;
    settings.measured = Measured::header_pressure;
    settings.suction_level_m = 0;
    settings.branch_loss_s2m5 = 0;
    EXPECT_NEAR(solve_combination(settings, {2, 0, 26.0}).total_m3s, 2 * 0.45, 1e-9);
}

TEST(Pumping, above_line_frequency_follows_the_affinity_laws) {
    // 66 of 60 Hz: flow by 1.1, head by 1.21.
    Settings settings = doubles::four_pumps();
    settings.branch_loss_s2m5 = 0;
    settings.main_points = 0;
    settings.discharge_level_m = 1.21 * 26 + 2;
    EXPECT_NEAR(solve_combination(settings, {0, 66, 2.0}).total_m3s, 1.1 * 0.45, 1e-9);
    settings.discharge_level_m = 2;
    EXPECT_NEAR(solve_combination(settings, {0, 66, 2.0}).total_m3s, 1.1 * 1.1, 1e-9) << "at its last point";
}

// The speed of a motor on the drive
// ------------------------------------------------------------

TEST(DriveSpeed, is_the_rated_speed_at_line_frequency_and_gives_back_its_frequency) {
    Settings settings = doubles::four_pumps();
    settings.drive.rated_slip_ratio = 0.02;
    const DriveSpeed speed(settings);
    EXPECT_DOUBLE_EQ(speed.ratio_of(line_hz), 1);
    EXPECT_EQ(speed.ratio_of(0), 0);
    for (double speed_hz = 5; speed_hz < 70; speed_hz += 5)
        EXPECT_NEAR(speed.hz_of(speed.ratio_of(speed_hz)), speed_hz, 1e-9);
}

// A slip of 2 % at rated torque. At 40 Hz a pump needs about (40/60)^2 of the rated torque, so that the motor
// slips 0.53 Hz of 60 Hz instead of 1.2 Hz (torque in proportion to slip, affinity laws; common practice).
TEST(DriveSpeed, slips_less_where_the_pump_needs_less_torque) {
    Settings settings = doubles::four_pumps();
    settings.drive.rated_slip_ratio = 0.02;
    const double synchronous_ratio = 40 / line_hz / (1 - settings.drive.rated_slip_ratio);
    const double ratio = DriveSpeed(settings).ratio_of(40);
    const double slip_hz = (synchronous_ratio - ratio) * (1 - settings.drive.rated_slip_ratio) * line_hz;
    EXPECT_NEAR(slip_hz, 1.2 * (40.0 * 40) / (60 * 60), 0.02);
}

// The water that still moves in the main
// ------------------------------------------------------------

TEST(Coasting, is_roughly_the_flow_above_the_steady_flow_summed_over_small_steps) {
    Settings settings = doubles::four_pumps();
    settings.main_inertia_s2m2 = 60;
    const FlowTable table(settings);
    const double level_m = 2;
    for (const auto& [from, to] : {std::pair{3, 2}, std::pair{2, 1}, std::pair{1, 2}}) {
        const auto line_pumps = static_cast<std::size_t>(to);
        const double from_m3s = table.total_m3s(static_cast<std::size_t>(from), 0, level_m);
        const double steady_m3s = table.total_m3s(line_pumps, 0, level_m);
        constexpr double step_s = 0.05;
        double flow_m3s = from_m3s, volume_m3 = 0;
        for (double time_s = 0; time_s < 300; time_s += step_s) {
            flow_m3s = table.moving(line_pumps, 0, level_m, flow_m3s, step_s, settings).flow_m3s;
            volume_m3 += step_s * (flow_m3s - steady_m3s);
        }
        const double coasting_m3 = table.coasting_m3(line_pumps, 0, level_m, from_m3s, settings);
        EXPECT_NEAR(coasting_m3, volume_m3, 0.4 * std::abs(volume_m3)) << from << " to " << to;
        EXPECT_EQ(coasting_m3 > 0, from > to);
    }
}

TEST(Coasting, is_nothing_where_the_main_has_no_inertia) {
    const Settings settings = doubles::four_pumps();
    const FlowTable table(settings);
    EXPECT_EQ(table.coasting_m3(1, 0, 2.0, 2.5, settings), 0);
}

TEST(SpeedForAFlow, gives_back_the_speed_that_delivers_the_flow) {
    const Settings settings = doubles::four_pumps();
    const FlowTable table(settings);
    const double highest_hz = settings.drive.speed_max_hz;
    for (std::size_t line = 0; line < settings.pump_count; ++line)
        for (const double level_m : {1.0, 2.0, 3.2}) {
            const double lowest_hz = table.minimum_flow_hz(line, level_m);
            for (const double share : {0.0, 0.3, 0.7, 1.0}) {
                const double speed_hz = lowest_hz + share * (highest_hz - lowest_hz);
                const double flow_m3s = table.total_m3s(line, speed_hz, level_m);
                const double near_hz = 0.5 * (lowest_hz + highest_hz);
                EXPECT_NEAR(table.speed_for_hz(line, flow_m3s, level_m, near_hz, lowest_hz, highest_hz),
                            speed_hz, 0.05)
                    << line << " on line, " << level_m << " m";
            }
        }
}

TEST(SpeedForAFlow, gives_the_nearer_limit_for_a_flow_beyond_the_limits) {
    const Settings settings = doubles::four_pumps();
    const FlowTable table(settings);
    EXPECT_EQ(table.speed_for_hz(1, 100, 2.0, 50, 45, 60), 60);
    EXPECT_EQ(table.speed_for_hz(1, 0, 2.0, 50, 45, 60), 45);
}

TEST(SpeedForAFlow, keeps_the_speed_within_the_limits_when_no_speed_changes_the_flow) {
    Settings settings = doubles::four_pumps();
    settings.minimum_flow_m3s = 5;
    const FlowTable table(settings);
    ASSERT_EQ(table.flow_per_hz(0), 0);
    EXPECT_EQ(table.speed_for_hz(0, 1, 2.0, 50, 40, 60), 50);
    EXPECT_EQ(table.speed_for_hz(0, 1, 2.0, 0, 40, 60), 40);
}

}  // namespace
}  // namespace freshet::core
