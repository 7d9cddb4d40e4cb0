// Service without the drive: pumps at full speed on the line, where the station allows this.
// One reason to change: the rules of fixed-speed service.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstddef>
#include <cstdint>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

Settings with_line_starts() {
    Settings settings = doubles::four_pumps();
    settings.line_start = {.allowed = true,
                           .spacing_ms = 30'000,
                           .supply_dip_max_ratio = 0.15,
                           .short_circuit_va = 100e6,
                           .locked_rotor_current_ratio = 6};
    return settings;
}

TEST(LineStart, serves_while_the_drive_is_lost_where_the_station_allows_it) {
    Watch watch(with_line_starts());
    watch.station.drive_fault.not_ready = true;
    watch.station.level_m = 2.3;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 3_min));
    EXPECT_EQ(watch.advice->service, Service::fixed_speed);
    EXPECT_TRUE(watch.alarm(StationAlarm::fixed_speed_service));
}

TEST(LineStart, is_not_advised_where_the_station_does_not_allow_it) {
    Watch watch;
    watch.station.drive_fault.not_ready = true;
    watch.station.level_m = 2.3;
    watch.run_for(10_min);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::line_start), 0U);
}

TEST(LineStart, whose_contactor_does_not_close_is_withdrawn_and_the_next_pump_is_tried) {
    Watch watch(with_line_starts());
    watch.station.drive_fault.not_ready = true;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.3;
    watch.station.line_side[0].fault.does_not_close = true;
    ASSERT_TRUE(watch.run_until_state(1, PumpState::on_line, 5_min));
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::line_side_does_not_close));
}

TEST(FixedSpeed, returns_to_the_drive_without_stopping_a_pump) {
    Watch watch(with_line_starts());
    watch.station.drive_fault.not_ready = true;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.8;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 3_min));

    watch.station.drive_fault.not_ready = false;
    watch.station.inflow_m3s = 1.3;
    ASSERT_TRUE(watch.run_until_state(1, PumpState::on_drive, 60_min));
    EXPECT_EQ(watch.state(0), PumpState::on_line);
    EXPECT_EQ(watch.advice->service, Service::normal);
}

/// The drive is not ready from the first scan on.
Watch without_drive(const Settings& settings = with_line_starts()) {
    Watch watch(settings);
    watch.station.drive_fault.not_ready = true;
    watch.station.level_m = settings.marks.start_m + 0.1;
    return watch;
}

int pumps_on_line(const Watch& watch) {
    int on = 0;
    for (std::size_t pump = 0; pump < watch.settings().pump_count; ++pump)
        on += watch.state(pump) == PumpState::on_line ? 1 : 0;
    return on;
}

TEST(FixedSpeed, starts_pumps_in_a_flood_with_the_spacing_between_them_and_holds_the_well) {
    Watch watch = without_drive();
    watch.station.inflow_m3s = 2.2;
    std::int64_t before_ms = never_ms;
    std::size_t begun = 0;
    ASSERT_TRUE(watch.run_until(
        [&] {
            const std::size_t now_begun = watch.count(EventKind::sequence_begun, Sequence::line_start);
            if (now_begun == begun) return false;
            EXPECT_EQ(now_begun, begun + 1);
            if (before_ms != never_ms) {
                EXPECT_GE(watch.station.now_ms - before_ms, watch.settings().line_start.spacing_ms);
            }
            before_ms = watch.station.now_ms;
            begun = now_begun;
            return begun == 3;
        },
        30_min));
    watch.run_for(2_h);
    EXPECT_LT(watch.station.level_m, watch.settings().marks.high_alarm_m);
    EXPECT_GT(watch.station.level_m, watch.settings().marks.low_cutoff_m);
}

TEST(FixedSpeed, stops_pumps_at_the_stage_down_mark_after_the_delay_and_the_last_at_the_stop_mark) {
    Watch watch = without_drive();
    watch.station.inflow_m3s = 1.6;
    ASSERT_TRUE(watch.run_until([&] { return pumps_on_line(watch) == 2; }, 30_min));
    const Settings::Marks& marks = watch.settings().marks;

    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->measured_m <= marks.stage_down_m; }, 60_min));
    const std::int64_t reached_ms = watch.station.now_ms;
    ASSERT_TRUE(watch.run_until([&] { return pumps_on_line(watch) == 1; }, 5_min));
    EXPECT_GE(watch.station.now_ms - reached_ms, watch.settings().staging.down_delay_ms);

    ASSERT_TRUE(watch.run_until([&] { return pumps_on_line(watch) == 0; }, 60_min));
    EXPECT_LE(watch.advice->measured_m, marks.stop_m);
    EXPECT_GT(watch.station.level_m, marks.low_cutoff_m);
    EXPECT_EQ(watch.last(EventKind::sequence_begun)->why, Reason::value_past_stop);
}

/// The lag pumps start 0.1 m above one another, from a mark below stage_up, and stop 0.1 m above one another.
Settings with_lag_marks() {
    Settings settings = with_line_starts();
    const double start_m = settings.marks.start_m, stop_m = settings.marks.stop_m;
    settings.staging.lag = {
        {{start_m + 0.1, stop_m + 0.1}, {start_m + 0.2, stop_m + 0.2}, {start_m + 0.3, stop_m + 0.3}}};
    settings.staging.lag_count = 3;
    return settings;
}

TEST(FixedSpeedWithLagMarks, starts_each_lag_pump_at_its_own_mark) {
    Watch watch = without_drive(with_lag_marks());
    watch.station.level_m = watch.settings().marks.start_m - 0.2;
    watch.station.inflow_m3s = 2.2;
    for (std::size_t pump = 0; pump < 3; ++pump) {
        const double mark_m =
            pump == 0 ? watch.settings().marks.start_m : watch.settings().staging.lag.at(pump - 1).start_m;
        ASSERT_TRUE(watch.run_until(
            [&] { return watch.count(EventKind::sequence_begun, Sequence::line_start) == pump + 1; },
            60_min));
        EXPECT_GE(watch.advice->measured_m, mark_m);
        EXPECT_DOUBLE_EQ(watch.last(EventKind::sequence_begun)->values[1], mark_m);
    }
}

TEST(FixedSpeedWithLagMarks, stops_each_lag_pump_at_its_own_mark) {
    Watch watch = without_drive(with_lag_marks());
    watch.station.inflow_m3s = 2.2;
    ASSERT_TRUE(watch.run_until([&] { return pumps_on_line(watch) == 3; }, 60_min));
    watch.station.inflow_m3s = 0;
    for (std::size_t left = 3; left > 0; --left) {
        const double mark_m =
            left == 1 ? watch.settings().marks.stop_m : watch.settings().staging.lag.at(left - 2).stop_m;
        ASSERT_TRUE(watch.run_until(
            [&] { return watch.count(EventKind::sequence_begun, Sequence::stop_from_line) == 4 - left; },
            60_min));
        EXPECT_LE(watch.advice->measured_m, mark_m);
        EXPECT_DOUBLE_EQ(watch.last(EventKind::sequence_begun)->values[1], mark_m);
    }
}

TEST(FixedSpeedWithLagMarks, lets_one_pump_cycle_while_the_rest_keep_running) {
    Watch watch = without_drive(with_lag_marks());
    watch.station.inflow_m3s = 1.3;  // more than one pump carries, less than two carry
    ASSERT_TRUE(watch.run_until([&] { return pumps_on_line(watch) == 2; }, 60_min));
    int least = 4, most = 0;
    for (int minute = 0; minute < 120; ++minute) {
        watch.run_for(1_min);
        least = std::min(least, pumps_on_line(watch));
        most = std::max(most, pumps_on_line(watch));
    }
    EXPECT_EQ(least, 1);
    EXPECT_EQ(most, 2);
    EXPECT_GT(watch.count(EventKind::sequence_begun, Sequence::stop_from_line), 1U);
    EXPECT_LT(watch.station.level_m, watch.settings().marks.stage_up_m);
}

TEST(FixedSpeed, keeps_the_limit_of_starts_per_hour_and_then_starts_another_pump) {
    Settings settings = with_line_starts();
    settings.permissives.starts_per_hour_max = 2;
    settings.rotation = Rotation::fixed;
    settings.store = {{{0.0, 0.0}, {5.0, 500.0}}};  // a small well: a start every ten minutes
    Watch watch = without_drive(settings);
    watch.station.inflow_m3s = 0.4;
    watch.run_for(1_h);
    std::size_t starts = 0;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        std::size_t of_pump = 0;
        for (const Event& event : watch.events)
            if (event.what == EventKind::sequence_begun && event.pump == pump &&
                event.detail == static_cast<std::uint8_t>(Sequence::line_start))
                ++of_pump;
        EXPECT_LE(of_pump, settings.permissives.starts_per_hour_max) << "pump " << int{pump} + 1;
        starts += of_pump;
    }
    EXPECT_GT(starts, settings.permissives.starts_per_hour_max) << "another pump took over";
}

TEST(FixedSpeed, waits_for_the_residual_voltage_of_a_motor_that_was_on_the_drive) {
    Settings settings = with_line_starts();
    settings.permissives.rest_min_ms = 0;
    settings.permissives.residual_voltage_ms = 20'000;
    settings.restart = {.settle_ms = 0, .spacing_ms = 0};
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_drive());
    for (std::size_t pump = 1; pump < settings.pump_count; ++pump)
        watch.station.selector[pump] = Selector::off;
    watch.station.level_m = settings.marks.stage_up_m;
    watch.station.drive_fault.trips = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps[0].drive_side_close == false; }, 1_min));
    const std::int64_t opened_ms = watch.station.now_ms;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps[0].line_side_close; }, 5_min));
    EXPECT_GE(watch.station.now_ms - opened_ms, settings.permissives.residual_voltage_ms);
}

TEST(FixedSpeed, starts_and_stops_by_the_floats_when_the_level_is_lost_too) {
    Settings settings = with_line_starts();
    settings.floats = {.fitted = true, .hold_ms = 2'000, .run_on_ms = 60'000};
    Watch watch = without_drive(settings);
    watch.station.level_quality = {Quality::bad, Quality::bad};
    watch.station.level_m = settings.marks.high_alarm_m + 0.3;  // at the high float
    watch.station.inflow_m3s = 0.4;
    ASSERT_TRUE(watch.run_until([&] { return pumps_on_line(watch) == 1; }, 10_min));
    EXPECT_EQ(watch.advice->service, Service::floats);
    EXPECT_EQ(watch.last(EventKind::sequence_begun)->why, Reason::high_float);
    ASSERT_TRUE(watch.run_until([&] { return pumps_on_line(watch) == 0; }, 60_min)) << "at the low float";
}

}  // namespace
}  // namespace freshet::core
