// The sequences and their failures at a whole station: advice, alarms and recovery as people expect them,
// without a look at the table. One reason to change: what a station sees of a sequence.
#include <gtest/gtest.h>

#include "tests/unit/core/line_starts.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

// Start on drive
// ------------------------------------------------------------

TEST(StartOnDrive, closes_both_contactors_before_the_drive_runs) {
    Watch watch;
    watch.station.level_m = 2.3;
    ASSERT_TRUE(watch.run_until_step(Step::start_close_drive_side, 3_min));
    EXPECT_TRUE(watch.advice->pumps[0].drive_side_close);
    EXPECT_FALSE(watch.advice->output_close);
    EXPECT_FALSE(watch.advice->drive_run);

    ASSERT_TRUE(watch.run_until_step(Step::start_close_output, 3_min));
    EXPECT_TRUE(watch.advice->output_close);
    EXPECT_FALSE(watch.advice->drive_run);

    ASSERT_TRUE(watch.run_until_step(Step::start_run, 3_min));
    EXPECT_TRUE(watch.advice->drive_run);
    EXPECT_NEAR(watch.advice->speed_hz, watch.advice->minimum_flow_hz, 0.01);
}

TEST(StartOnDrive, whose_drive_side_does_not_close_is_withdrawn_and_another_pump_starts) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    watch.station.drive_side[0].fault.does_not_close = true;

    ASSERT_TRUE(watch.run_until_state(1, PumpState::on_drive, 3_min));

    EXPECT_EQ(watch.state(0), PumpState::off);
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::drive_side_does_not_close));
}

TEST(StartOnDrive, that_fails_three_times_locks_the_pump_out) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    watch.station.drive_side[0].fault.does_not_close = true;
    for (std::size_t pump = 1; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;

    ASSERT_TRUE(watch.run_until_state(0, PumpState::locked_out, 10_min));
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::locked_out));
}

TEST(LockOut, is_reset_by_the_selector_at_the_pump) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    watch.station.drive_side[0].fault.does_not_close = true;
    for (std::size_t pump = 1; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::locked_out, 10_min));

    watch.station.drive_side[0].fault.does_not_close = false;
    watch.station.selector[0] = Selector::off;
    watch.run_for(1_s);
    watch.station.selector[0] = Selector::automatic;

    EXPECT_TRUE(watch.run_until_state(0, PumpState::on_drive, 3_min));
    EXPECT_FALSE(watch.alarm(0, PumpAlarm::locked_out));
}

TEST(StartOnDrive, whose_output_does_not_close_counts_against_the_drive_and_not_the_pump) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.output.fault.does_not_close = true;

    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::output_does_not_close); }, 3_min));
    ASSERT_TRUE(watch.run_until_state(0, PumpState::off, 1_min));
    EXPECT_FALSE(watch.advice->pumps[0].drive_side_close);

    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::drive_locked_out); }, 10_min));
    watch.scan_once();
    EXPECT_EQ(watch.advice->service, Service::fixed_speed);
}

TEST(StartOnDrive, whose_drive_does_not_run_is_stopped_and_opened) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.drive_fault.does_not_run = true;

    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::drive_does_not_run); }, 2_min));
    EXPECT_FALSE(watch.advice->drive_run);
    ASSERT_TRUE(watch.run_until_state(0, PumpState::off, 30_s));
    EXPECT_FALSE(watch.advice->output_close);
}

TEST(StartOnDrive, is_left_in_the_same_scan_when_the_pump_trips) {
    Watch watch;
    watch.station.level_m = 2.3;
    ASSERT_TRUE(watch.run_until_step(Step::start_run, 3_min));

    watch.station.pump_tripped[0] = true;
    watch.scan_once();

    EXPECT_FALSE(watch.advice->drive_run);
    ASSERT_TRUE(watch.run_until_state(0, PumpState::unavailable, 30_s));
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::tripped));
}

TEST(StartOnDrive, of_a_pump_taken_out_of_automatic_is_not_counted_as_a_failure) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    for (std::size_t pump = 1; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;
    for (int i = 0; i < 4; ++i) {
        ASSERT_TRUE(watch.run_until_step(Step::start_run, 10_min)) << "attempt " << i;
        watch.station.selector[0] = Selector::hand;
        ASSERT_TRUE(watch.run_until_state(0, PumpState::unavailable, 30_s));
        watch.station.selector[0] = Selector::automatic;
        watch.station.level_m = 2.3;
    }
    EXPECT_FALSE(watch.alarm(0, PumpAlarm::locked_out));
}

// Hand-over
// ------------------------------------------------------------

TEST(HandOver, closes_the_line_side_then_opens_the_output_then_the_drive_side) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;

    ASSERT_TRUE(watch.run_until_step(Step::over_close_line_side, 30_min));
    EXPECT_TRUE(watch.advice->pumps[0].line_side_close && watch.advice->pumps[0].drive_side_close);
    EXPECT_TRUE(watch.advice->output_close && watch.advice->synchronise && watch.advice->drive_run);
    ASSERT_TRUE(watch.run_until_step(Step::over_open_output, 1_s));
    EXPECT_FALSE(watch.advice->output_close);
    EXPECT_TRUE(watch.advice->pumps[0].drive_side_close);
    ASSERT_TRUE(watch.run_until_step(Step::over_open_drive_side, 1_s));
    EXPECT_FALSE(watch.advice->pumps[0].drive_side_close);
    EXPECT_TRUE(watch.advice->pumps[0].line_side_close);
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 1_s));
}

TEST(HandOver, without_synchronism_returns_to_speed_control_and_is_tried_again_after_a_pause) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    watch.station.drive_fault.never_in_sync = true;

    ASSERT_TRUE(watch.run_until_step(Step::over_synchronise, 30_min));
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 1_min));
    EXPECT_FALSE(watch.advice->synchronise);
    EXPECT_TRUE(watch.advice->drive_run);
    EXPECT_FALSE(watch.alarm(StationAlarm::not_in_sync)) << "one failure is no alarm yet";

    const std::int64_t failed_ms = watch.station.now_ms;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::to_line, 5_min));
    EXPECT_GE(watch.station.now_ms - failed_ms, watch.settings().step.retry_pause_ms);

    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::not_in_sync); }, 10_min));
    EXPECT_EQ(watch.count(EventKind::sequence_withdrawn, Sequence::hand_over),
              watch.settings().step.attempts_max);
}

TEST(HandOver, without_synchronism_gives_way_to_a_line_start_while_the_water_is_in_danger) {
    Settings settings = four_pumps_with_line_starts();
    settings.step.synchronise_ms = 4 * settings.step.synchronise_expected_ms;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    watch.station.drive_fault.never_in_sync = true;
    ASSERT_TRUE(watch.run_until_step(Step::over_synchronise, 30_min));
    const std::int64_t begun_ms = watch.station.now_ms;
    watch.station.level_m = 3.9;  // past the high mark

    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 1; }, 2_min));

    EXPECT_LT(watch.station.now_ms - begun_ms, settings.step.synchronise_ms);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::line_start), 1U);
}

TEST(HandOver, does_not_close_when_only_the_drive_claims_synchronism) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    watch.station.drive_fault.never_in_sync = true;
    watch.station.drive_fault.claims_falsely = true;

    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::sync_check_disagrees); }, 30_min));
    EXPECT_EQ(watch.last(Step::over_close_line_side), nullptr);
}

TEST(HandOver, whose_line_side_does_not_close_stays_on_the_drive_with_an_alarm) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    watch.station.line_side[0].fault.does_not_close = true;

    ASSERT_TRUE(watch.run_until_step(Step::over_withdraw_line_side, 30_min));
    EXPECT_TRUE(watch.advice->synchronise) << "in sync until the line side is seen open";
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 5_s));
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::line_side_does_not_close));
    EXPECT_TRUE(watch.advice->drive_run);
}

TEST(HandOver, that_loses_synchronism_before_the_contact_closes_is_withdrawn) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    watch.station.line_side[0].fault.extra_ms = 500;
    ASSERT_TRUE(watch.run_until_step(Step::over_close_line_side, 30_min));

    watch.station.drive_fault.never_in_sync = true;
    ASSERT_TRUE(watch.run_until_step(Step::over_withdraw_line_side, 2_s));

    EXPECT_EQ(watch.last(Step::over_withdraw_line_side)->why, Reason::sync_lost);
    EXPECT_FALSE(watch.advice->pumps[0].line_side_close);
}

TEST(HandOver, whose_output_does_not_open_opens_the_drive_side_and_stops_the_drive) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    watch.station.output.fault.does_not_open = true;

    ASSERT_TRUE(watch.run_until_step(Step::over_fallback_drive_side, 30_min));
    EXPECT_FALSE(watch.advice->pumps[0].drive_side_close);
    EXPECT_FALSE(watch.advice->drive_run);
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 2_s));
    EXPECT_TRUE(watch.alarm(StationAlarm::output_does_not_open));
    watch.run_for(5_min);
    EXPECT_EQ(watch.advice->drive_pump, no_pump) << "no other motor joins a bus whose output is stuck";
}

TEST(HandOver, whose_drive_side_does_not_open_leaves_the_motor_on_the_line_and_blocks_the_drive) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    watch.station.drive_side[0].fault.does_not_open = true;

    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 30_min));
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::drive_side_does_not_open));
    watch.run_for(5_min);
    EXPECT_FALSE(watch.advice->drive_run);
    EXPECT_FALSE(watch.advice->output_close);
    EXPECT_EQ(watch.advice->service, Service::fixed_speed);
}

TEST(HandOver, whose_drive_trips_before_the_line_side_closes_stops_the_pump) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    ASSERT_TRUE(watch.run_until_step(Step::over_synchronise, 30_min));

    watch.station.drive_fault.trips = true;
    watch.scan_once();

    EXPECT_FALSE(watch.advice->drive_run);
    EXPECT_FALSE(watch.advice->pumps[0].line_side_close);
    EXPECT_TRUE(watch.run_until_state(0, PumpState::off, 30_s));
}

TEST(HandOver, whose_drive_trips_in_the_overlap_ends_on_the_line) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    ASSERT_TRUE(watch.run_until_step(Step::over_open_output, 30_min));

    watch.station.drive_fault.trips = true;

    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 5_s));
    EXPECT_TRUE(watch.alarm(StationAlarm::drive_tripped));
}

// Take-back
// ------------------------------------------------------------

/// Pump 1 runs on the line, pump 2 on the drive, and the inflow falls so far that pump 1 will be taken back.
void bring_to_take_back(Watch& watch) {
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.inflow_m3s = 0.5;
}

TEST(TakeBack, brings_the_drive_to_line_frequency_then_closes_the_drive_side_in_sync) {
    Watch watch;
    bring_to_take_back(watch);
    ASSERT_TRUE(watch.run_until_step(Step::back_close_output, 60_min));
    EXPECT_TRUE(watch.advice->output_close);
    EXPECT_FALSE(watch.advice->pumps[0].drive_side_close);
    ASSERT_TRUE(watch.run_until_step(Step::back_close_drive_side, 2_min));
    EXPECT_TRUE(watch.advice->pumps[0].drive_side_close && watch.advice->pumps[0].line_side_close);
    ASSERT_TRUE(watch.run_until_step(Step::back_open_line_side, 2_s));
    EXPECT_FALSE(watch.advice->pumps[0].line_side_close);
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 2_s));
}

TEST(TakeBack, continues_from_line_frequency_downwards_without_a_bump) {
    Watch watch;
    bring_to_take_back(watch);
    ASSERT_TRUE(watch.run_until_state(0, PumpState::to_drive, 60_min));
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 2_min));
    EXPECT_NEAR(watch.advice->speed_hz, doubles::StationDouble::line_hz, 0.3);
}

TEST(TakeBack, without_synchronism_leaves_the_motor_on_the_line_and_stops_the_drive) {
    Watch watch;
    bring_to_take_back(watch);
    ASSERT_TRUE(watch.run_until_step(Step::back_close_output, 60_min));
    watch.station.drive_fault.never_in_sync = true;

    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 2_min));
    EXPECT_FALSE(watch.advice->drive_run);
    EXPECT_FALSE(watch.advice->output_close);
    EXPECT_TRUE(watch.advice->pumps[0].line_side_close);
}

TEST(TakeBack, whose_drive_side_does_not_close_is_withdrawn_with_the_motor_on_the_line) {
    Watch watch;
    bring_to_take_back(watch);
    ASSERT_TRUE(watch.run_until_step(Step::back_close_output, 60_min));
    watch.station.drive_side[0].fault.does_not_close = true;

    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 2_min));
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::drive_side_does_not_close));
}

TEST(TakeBack, whose_line_side_does_not_open_opens_the_drive_side_again_and_locks_the_pump_out) {
    Watch watch;
    bring_to_take_back(watch);
    ASSERT_TRUE(watch.run_until_step(Step::back_close_output, 60_min));
    watch.station.line_side[0].fault.does_not_open = true;

    ASSERT_TRUE(watch.run_until_state(0, PumpState::locked_out, 2_min));
    EXPECT_FALSE(watch.advice->pumps[0].drive_side_close);
    EXPECT_FALSE(watch.advice->pumps[0].line_side_close) << "a closing needs synchronism";
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::line_side_does_not_open));
    watch.run_for(5_s);
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::runs_unadvised));
}

TEST(TakeBack, whose_drive_trips_before_the_drive_side_closes_leaves_the_motor_on_the_line) {
    Watch watch;
    bring_to_take_back(watch);
    ASSERT_TRUE(watch.run_until_step(Step::back_synchronise, 60_min));

    watch.station.drive_fault.trips = true;

    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 10_s));
    EXPECT_TRUE(watch.advice->pumps[0].line_side_close);
}

// Stops
// ------------------------------------------------------------

TEST(StopOnDrive, ramps_down_stops_and_opens_the_output_before_the_drive_side) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until_step(Step::stop_ramp, 60_min));
    ASSERT_TRUE(watch.run_until_step(Step::stop_drive, 1_min));
    EXPECT_FALSE(watch.advice->drive_run);
    ASSERT_TRUE(watch.run_until_step(Step::stop_open_output, 1_min));
    EXPECT_TRUE(watch.advice->pumps[0].drive_side_close);
    ASSERT_TRUE(watch.run_until_step(Step::stop_open_drive_side, 1_s));
    ASSERT_TRUE(watch.run_until_state(0, PumpState::off, 1_s));
}

TEST(StopOnDrive, whose_drive_side_does_not_open_locks_the_pump_out_and_blocks_the_drive) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0;
    watch.station.drive_side[0].fault.does_not_open = true;

    ASSERT_TRUE(watch.run_until_state(0, PumpState::locked_out, 60_min));
    watch.station.level_m = 2.5;
    watch.run_for(3_min);
    EXPECT_FALSE(watch.advice->drive_run) << "no other motor joins a drive bus with a closed drive side";
}

TEST(RunningPump, that_trips_on_the_line_is_opened_in_the_same_scan) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.pump_tripped[0] = true;
    watch.scan_once();
    EXPECT_FALSE(watch.advice->pumps[0].line_side_close);
    EXPECT_TRUE(watch.run_until_state(0, PumpState::unavailable, 5_s));
}

TEST(RunningPump, without_current_is_alarmed_although_its_contact_shows_closed) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.line_side[0].closed = false;
    watch.station.line_side[0].fault.does_not_close = true;
    watch.station.line_side[0].fault.lies_closed = true;

    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(0, PumpAlarm::not_running); }, 30_s));
    EXPECT_FALSE(watch.advice->pumps[0].line_side_close);
}

TEST(RestingPump, without_current_counts_as_no_flow_although_its_line_side_lies_closed) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(1_min);
    const double pumped_m3s = watch.advice->pumped_m3s, inflow_m3s = watch.advice->inflow_m3s;
    watch.station.line_side[2].fault.lies_closed = true;

    watch.run_for(30_s);

    constexpr double near = 0.1;
    EXPECT_NEAR(watch.advice->pumped_m3s, pumped_m3s, near * pumped_m3s);
    EXPECT_NEAR(watch.advice->inflow_m3s, inflow_m3s, near * inflow_m3s);
}

TEST(RunningPump, on_a_drive_that_trips_is_stopped_and_a_line_pump_keeps_running) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.drive_fault.trips = true;
    watch.scan_once();
    EXPECT_FALSE(watch.advice->drive_run);
    EXPECT_FALSE(watch.advice->output_close);
    EXPECT_TRUE(watch.advice->pumps[0].line_side_close);
    EXPECT_TRUE(watch.run_until_state(1, PumpState::off, 5_s));
}

}  // namespace
}  // namespace freshet::core
