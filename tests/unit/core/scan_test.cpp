// The scan as a whole: starting up, protection, degraded service, staging, alarms.
// One reason to change: what a station sees of the whole controller.
#include <gtest/gtest.h>

#include "controller/core/composing.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

// Starting up
// ------------------------------------------------------------

TEST(StartUp, advises_the_state_that_it_finds_until_the_picture_is_consistent) {
    Watch watch;
    watch.station.level_m = 2.5;
    watch.station.line_side[2].closed = watch.station.line_side[2].ordered = true;
    watch.scan_once();
    EXPECT_TRUE(watch.advice->pumps[2].line_side_close);
    EXPECT_FALSE(watch.advice->drive_run);

    ASSERT_TRUE(watch.run_until_state(2, PumpState::on_line, 10_s));
    EXPECT_EQ(watch.last(EventKind::pump_state, static_cast<std::uint8_t>(PumpState::on_line))->why,
              Reason::found_on_line);
}

TEST(StartUp, starts_no_pump_before_every_contact_is_known) {
    Watch watch;
    watch.station.level_m = 2.5;
    watch.station.line_side[3].fault.silent = true;
    watch.run_for(5_min);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 0U);
}

TEST(StartUp, in_the_middle_of_a_transfer_ends_it_on_the_line) {
    Watch watch;
    watch.station.drive_side[1].closed = watch.station.drive_side[1].ordered = true;
    watch.station.line_side[1].closed = watch.station.line_side[1].ordered = true;
    watch.station.output.closed = watch.station.output.ordered = true;

    ASSERT_TRUE(watch.run_until_state(1, PumpState::on_line, 20_s));
    EXPECT_FALSE(watch.advice->pumps[1].drive_side_close);
    EXPECT_TRUE(watch.alarm(StationAlarm::restarted_in_transfer));
}

TEST(StartUp, does_not_alarm_a_pump_that_people_run_by_hand) {
    Watch watch;
    watch.station.level_m = 1.8;
    watch.station.selector[0] = Selector::hand;
    watch.station.line_side[0].closed = watch.station.line_side[0].ordered = true;
    watch.station.line_side[0].fault.does_not_open = true;
    watch.run_for(1_min);
    EXPECT_EQ(watch.state(0), PumpState::unavailable);
    EXPECT_FALSE(watch.alarm(0, PumpAlarm::runs_unadvised));
}

// Protection
// ------------------------------------------------------------

TEST(LowCutOff, removes_every_run_advice_in_the_same_scan) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.level_m = 0.5;
    // A jump of both transmitters is believed only after its hold time and its recovery time.
    ASSERT_TRUE(watch.run_until([&] { return !watch.advice->drive_run; }, 11_s));
    for (const PumpAdvice& pump : watch.advice->pumps) EXPECT_FALSE(pump.line_side_close);
}

TEST(EmergencyStop, removes_every_run_advice_in_the_same_scan_and_nothing_starts_until_it_is_reset) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.emergency_stop = true;
    watch.scan_once();
    EXPECT_FALSE(watch.advice->drive_run);
    for (const PumpAdvice& pump : watch.advice->pumps) EXPECT_FALSE(pump.line_side_close);

    const std::size_t starts = watch.count(EventKind::sequence_begun, Sequence::start_on_drive);
    watch.run_for(10_min);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), starts);

    watch.station.emergency_stop = false;
    EXPECT_FALSE(watch.run_until([&] { return watch.advice->drive_run; }, 3_min))
        << "a release starts nothing";
    watch.reset_emergency_stop();
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->drive_run; }, 3_min));
}

TEST(SupplyLost, stops_every_pump_and_starts_them_one_after_another_when_it_returns) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.line_voltage_v = 0;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::supply); }, 2_s));
    EXPECT_EQ(watch.advice->pumps_on_line, 0);
    EXPECT_FALSE(watch.advice->drive_run);

    watch.run_for(2_min);
    watch.station.line_voltage_v = 2300;
    const std::int64_t back_ms = watch.station.now_ms;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->drive_run; }, 5_min));
    EXPECT_GE(watch.station.now_ms - back_ms, watch.settings().restart.settle_ms);
    EXPECT_EQ(watch.advice->pumps_on_line, 0) << "one pump after the other";
}

TEST(SupplyDip, shorter_than_its_hold_is_ridden_through) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.line_voltage_v = 1725;  // three quarters: poor, but no contactor drops out
    watch.run_for(watch.settings().supply.lost_hold_ms - 100);
    watch.station.line_voltage_v = 2300;
    watch.run_for(5_s);
    EXPECT_EQ(watch.state(0), PumpState::on_line);
    EXPECT_EQ(watch.state(1), PumpState::on_drive);
}

TEST(SupplyDip, between_two_slow_tasks_starts_the_settling_time_again) {
    for (int scans_before = 1; scans_before <= 10; ++scans_before) {
        Watch watch;
        const double start_m = watch.settings().marks.start_m;
        watch.station.level_m = start_m - 0.05;
        watch.run_for(20_s);
        watch.run_for(scans_before * watch.settings().scan_ms);
        watch.station.line_voltage_v = 1725;
        watch.run_for(2 * watch.settings().scan_ms);
        watch.station.line_voltage_v = 2300;
        watch.station.level_m = start_m + 0.05;
        watch.run_for(watch.settings().restart.settle_ms - 2 * watch.settings().scan_ms);
        EXPECT_FALSE(watch.advice->output_close) << scans_before;
    }
}

// Degraded service
// ------------------------------------------------------------

void lose_both_transmitters(Watch& watch) {
    watch.station.level_quality = {Quality::bad, Quality::bad};
}

TEST(Service, falls_back_in_the_scan_that_loses_the_measured_value) {
    for (int scans_before = 1; scans_before <= 10; ++scans_before) {
        Watch watch;
        ASSERT_TRUE(watch.one_on_drive());
        watch.run_for(scans_before * watch.settings().scan_ms);
        lose_both_transmitters(watch);
        watch.scan_once();
        ASSERT_EQ(watch.advice->measured_quality, Quality::bad);
        EXPECT_EQ(watch.advice->service, Service::floats) << scans_before;
    }
}

TEST(Service, continues_with_one_transmitter_and_raises_an_alarm) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_quality[0] = Quality::bad;
    watch.run_for(5_s);
    EXPECT_EQ(watch.advice->service, Service::one_transmitter);
    EXPECT_TRUE(watch.alarm(StationAlarm::transmitter_1));
    EXPECT_EQ(watch.advice->transmitters[0].quality, Quality::bad);
    EXPECT_NE(watch.advice->transmitters[0].cause, Cause::none);
    EXPECT_EQ(watch.advice->transmitters[1].quality, Quality::good);
    EXPECT_EQ(watch.advice->transmitters[1].cause, Cause::none);
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
}

TEST(Service, that_holds_a_pressure_shows_the_quality_of_its_one_transmitter) {
    Settings settings = doubles::four_pumps();
    settings.measured = Measured::header_pressure;
    settings.level_transmitter = {};
    settings.pressure_transmitter = {true, 0, 50};
    Watch watch(settings);
    watch.station.header_pressure_m = 25;
    watch.run_for(10_s);
    EXPECT_EQ(watch.advice->transmitters[0].quality, Quality::good);
    EXPECT_EQ(watch.advice->transmitters[1].quality, Quality::bad);
    EXPECT_EQ(watch.advice->transmitters[1].cause, Cause::not_fitted);
}

TEST(Service, without_transmitters_starts_on_the_high_float_and_stops_on_the_low_one) {
    Watch watch;
    watch.station.level_m = 1.8;
    watch.run_for(10_s);
    lose_both_transmitters(watch);
    watch.run_for(5_s);
    EXPECT_EQ(watch.advice->service, Service::floats);

    watch.station.level_m = 3.7;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 2_min));
    ASSERT_TRUE(watch.run_until([&] { return watch.station.level_m < 0.5; }, 60_min));
    ASSERT_TRUE(watch.run_until([&] { return !watch.advice->drive_run; }, 5_s));
}

TEST(Service, without_transmitters_starts_pump_after_pump_while_the_high_float_calls) {
    Watch watch;
    watch.run_for(10_s);
    lose_both_transmitters(watch);
    watch.station.level_m = 3.9;
    watch.station.inflow_m3s = 2.6;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line >= 2; }, 30_min));
}

TEST(Service, returns_from_floats_without_a_bump_of_speed) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(10_min);
    lose_both_transmitters(watch);
    watch.run_for(1_min);
    const double before_hz = watch.advice->speed_hz;
    watch.station.level_quality = {Quality::good, Quality::good};
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->service == Service::normal; }, 1_min));
    EXPECT_NEAR(watch.advice->speed_hz, before_hz, 0.25);
}

TEST(Service, without_level_and_floats_holds_and_starts_no_pump) {
    Settings settings = doubles::four_pumps();
    settings.floats.fitted = false;
    Watch watch(settings);
    watch.run_for(10_s);
    lose_both_transmitters(watch);
    watch.station.level_m = 3.9;
    watch.run_for(10_min);
    EXPECT_EQ(watch.advice->service, Service::hold);
    EXPECT_TRUE(watch.alarm(StationAlarm::value_bad));
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 0U);
}

TEST(LinkLost, leaves_the_running_pumps_as_they_are_and_starts_none) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.link_lost = true;
    watch.run_for(10_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::link_lost));
    EXPECT_EQ(watch.state(0), PumpState::on_line);
    EXPECT_EQ(watch.state(1), PumpState::on_drive);

    watch.station.link_lost = false;
    watch.run_for(1_min);
    EXPECT_EQ(watch.advice->service, Service::normal);
    EXPECT_FALSE(watch.alarm(StationAlarm::link_lost));
}

// Staging
// ------------------------------------------------------------

TEST(Staging, holds_the_level_within_the_deadband_with_one_pump) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(60_min);
    const double edge_m = 0.01;  // the trim ends at the edge of the deadband
    EXPECT_NEAR(watch.station.level_m, watch.settings().marks.setpoint_m,
                watch.settings().marks.deadband_m + edge_m);
}

TEST(Staging, starts_all_four_pumps_when_the_inflow_needs_them) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 2.7;
    ASSERT_TRUE(watch.run_until(
        [&] { return watch.advice->pumps_on_line == 3 && watch.advice->drive_pump != no_pump; }, 60_min));
    watch.run_for(30_min);
    EXPECT_EQ(watch.advice->pumps_on_line, 3) << "the last pump stays on the drive";
}

TEST(Staging, takes_the_pumps_back_one_by_one_when_the_inflow_falls) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 2.7;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 3; }, 60_min));
    for (; watch.station.inflow_m3s > 0.6; watch.station.inflow_m3s -= 0.03) watch.run_for(1_min);
    ASSERT_TRUE(watch.run_until(
        [&] { return watch.advice->pumps_on_line == 0 && watch.advice->drive_pump != no_pump; }, 60_min));
    EXPECT_GE(watch.count(EventKind::sequence_done, Sequence::take_back), 3U);
}

TEST(Staging, stages_up_earlier_in_a_cloudburst_with_the_forecast) {
    const auto highest_level = [](bool forecast) {
        Settings settings = doubles::four_pumps();
        settings.staging.forecast = forecast;
        Watch watch(settings);
        EXPECT_TRUE(watch.one_on_drive());
        watch.run_for(30_min);
        double highest_m = 0;
        for (int minute = 0; minute < 60; ++minute) {
            watch.station.inflow_m3s = minute < 10 ? 0.6 + 0.2 * minute : 2.6;
            watch.run_until(
                [&] {
                    highest_m = std::max(highest_m, watch.station.level_m);
                    return false;
                },
                1_min);
        }
        return highest_m;
    };
    EXPECT_LT(highest_level(true), highest_level(false) - 0.1);
}

/// Two pumps run on the line, and a third begins a slow start on the drive, at a small well. The minimum run is over.
bool third_pump_starts(Watch& watch) {
    if (!watch.one_on_drive()) return false;
    watch.station.inflow_m3s = 2.0;
    return watch.run_until(
        [&] { return watch.advice->pumps_on_line == 2 && watch.advice->step == Step::start_run; }, 60_min);
}

Settings slow_starts_at_a_small_well() {
    Settings settings = doubles::four_pumps();
    settings.store = {{{0.0, 0.0}, {5.0, 150.0}}};
    settings.permissives.run_min_ms = 0;
    settings.drive.ramp_up_hz_s = 0.5;
    settings.demand.rate_max_hz_s = 0.5;
    return settings;
}

TEST(Staging, stops_a_line_pump_while_a_pump_starts_on_the_drive_when_the_inflow_collapses) {
    // Source: common practice, a contactor of a line pump opens without the drive.
    Watch watch(slow_starts_at_a_small_well());
    ASSERT_TRUE(third_pump_starts(watch));
    watch.station.inflow_m3s = 0.1;
    ASSERT_TRUE(watch.run_until(
        [&] { return watch.count(EventKind::sequence_begun, Sequence::stop_from_line) > 0; }, 2_min));
    EXPECT_EQ(watch.advice->step, Step::start_run);
    EXPECT_EQ(watch.last(EventKind::sequence_begun)->why, Reason::forecast_empty);
    EXPECT_GT(watch.station.level_m, watch.settings().marks.stop_m);
}

TEST(Staging, keeps_the_line_pumps_while_a_pump_starts_on_the_drive_and_the_inflow_stays) {
    Watch watch(slow_starts_at_a_small_well());
    ASSERT_TRUE(third_pump_starts(watch));
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->drive_pump != no_pump; }, 2_min));
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::stop_from_line), 0U);
}

TEST(Staging, shares_the_hours_among_the_pumps) {
    Watch watch;
    watch.station.inflow_m3s = 0.1;
    watch.run_for(24 * 60_min);
    const auto& figures = watch.advice->figures;
    for (std::size_t pump = 1; pump < 4; ++pump) EXPECT_GT(figures[pump].run_ms, figures[0].run_ms / 2);
}

TEST(Staging, exceeds_no_limit_of_starts) {
    Settings settings = doubles::four_pumps();
    settings.permissives.starts_per_hour_max = 2;
    settings.permissives.rest_min_ms = settings.permissives.run_min_ms = 0;
    settings.store = {{{0.0, 0.0}, {5.0, 100.0}}};
    settings.restart.spacing_ms = 0;
    Watch watch(settings);
    watch.station.inflow_m3s = 0.15;
    for (int minute = 0; minute < 180; ++minute) {
        watch.run_for(1_min);
        for (std::size_t pump = 0; pump < 4; ++pump)
            ASSERT_LE(watch.advice->figures[pump].starts_last_hour, 2);
    }
}

// Journal, time, marks
// ------------------------------------------------------------

TEST(Journal, numbers_its_events_without_a_gap_and_each_cause_before_its_effects) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    std::uint32_t expected = 1;
    for (const Event& event : watch.events) {
        EXPECT_EQ(event.number, expected++);
        EXPECT_LT(event.cause_number, event.number);
        EXPECT_NE(event.why, Reason::none);
    }
}

TEST(Time, that_goes_back_is_refused_and_the_advice_stays) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    const std::uint32_t scans = watch.advice->scan_count;
    watch.station.now_ms -= 10'000;
    watch.scan_once();
    EXPECT_EQ(watch.advice->scan_count, scans);
    EXPECT_EQ(watch.events.back().why, Reason::time_back);
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
}

TEST(Fill, mirrors_every_mark_for_the_filling_of_a_tank) {
    Settings settings = doubles::four_pumps();
    settings.action = Action::reverse;
    settings.marks = {.setpoint_m = 3.0,
                      .deadband_m = 0.1,
                      .start_m = 2.8,
                      .stop_m = 4.0,
                      .stage_up_m = 2.4,
                      .stage_down_m = 3.6,
                      .low_cutoff_m = 4.5,
                      .high_alarm_m = 1.0};
    const NeedMarks marks = need_marks(settings);
    EXPECT_LT(marks.cutoff_m, marks.stop_m);
    EXPECT_LT(marks.stop_m, marks.stage_down_m);
    EXPECT_LT(marks.stage_down_m, 0);
    EXPECT_GT(marks.start_m, 0);
    EXPECT_GT(marks.stage_up_m, marks.start_m);
    EXPECT_GT(need_of(settings, 2.0), 0) << "a low tank needs pumping";
}

}  // namespace
}  // namespace freshet::core
