// What a controller takes over from the controller before: hours, counts, rests, lock-outs, shelved alarms.
// One reason to change: what is kept over a restart.
#include "controller/core/retained.hpp"

#include <gtest/gtest.h>

#include <optional>

#include "tests/unit/core/instants.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Time until a pump starts, ms; no value when none starts within the limit.
std::optional<std::int64_t> time_to_a_start_ms(Watch& watch, std::int64_t limit_ms) {
    const std::int64_t begin_ms = watch.station.now_ms;
    const auto starts = [&watch] {
        for (const PumpAdvice& pump : watch.advice->pumps)
            if (pump.state == PumpState::starting) return true;
        return false;
    };
    if (!watch.run_until(starts, limit_ms)) return std::nullopt;
    return watch.station.now_ms - begin_ms;
}

/// Four pumps that were seen a second ago and have been at rest for a day.
Retained seen_a_second_ago() {
    Retained kept;
    kept.seen_ms = now_ms - 1_s;
    for (RetainedPump& pump : kept.pumps) pump.released_ms = now_ms - 24_h;
    return kept;
}

TEST(Retained, is_kept_as_it_was_restored) {
    Retained kept = seen_a_second_ago();
    std::int64_t different = 1;
    for (RetainedPump& pump : kept.pumps) {
        pump.run_ms = 1000 + different;
        pump.starts = static_cast<std::uint32_t>(10 + different);
        pump.line_starts = static_cast<std::uint32_t>(different);
        pump.started_ms = now_ms - 7000 - different;
        pump.retry_after_ms = now_ms + different;
        pump.attempts = 2;
        pump.succession_starts = 1;
        pump.succession_warm = false;
        pump.fed_ms = now_ms - 6000 - different;
        pump.recent_starts_ms.back() = now_ms - 7000 - different;
        pump.recent_trips_ms.back() = now_ms - 8000 - different;
        pump.alarms.latched = alarm_bit(PumpAlarm::not_running);
        pump.alarms.unacknowledged = alarm_bit(PumpAlarm::tripped);
        ++different;
    }
    kept.pumps[1].locked_out = true;
    kept.pumps[1].alarms.latched |= alarm_bit(PumpAlarm::locked_out);
    kept.recent_transfers_ms.back() = now_ms - 500;
    kept.last_start_ms = now_ms - 7001;
    kept.transfer_retry_after_ms = now_ms + 2000;
    kept.drive_attempts = 1;
    kept.drive_locked_out = kept.drive_trips_spent = true;
    kept.drive_trips_ms.back() = now_ms - 600;
    kept.alarms.out_of_service = alarm_bit(StationAlarm::transmitter_2);
    kept.alarms.shelved_until_ms[static_cast<std::size_t>(StationAlarm::supply)] = now_ms + 600_s;

    SequencerState sequencer;
    AlarmState alarms;
    restore(kept, now_ms, doubles::four_pumps(), sequencer, alarms);
    sequencer.were_de_energised = 0xFF;
    Retained given = retain(sequencer, alarms, now_ms);
    given.seen_ms = kept.seen_ms;
    EXPECT_EQ(given, kept);
}

TEST(Retained, counts_future_times_as_now_because_a_clock_may_have_been_set_back) {
    Retained kept = seen_a_second_ago();
    const std::int64_t next_year_ms = now_ms + 365LL * 24_h;
    kept.pumps[0].started_ms = kept.pumps[0].recent_starts_ms.back() = next_year_ms;
    kept.pumps[0].retry_after_ms = kept.drive_retry_after_ms = next_year_ms;
    kept.alarms.shelved_until_ms[0] = next_year_ms;
    const Settings settings = doubles::four_pumps();
    SequencerState sequencer;
    AlarmState alarms;
    restore(kept, now_ms, settings, sequencer, alarms);
    EXPECT_EQ(sequencer.pumps[0].started_ms, now_ms);
    EXPECT_EQ(sequencer.pumps[0].starts.within_hour(now_ms), 1);
    EXPECT_EQ(sequencer.pumps[0].starts.within_hour(now_ms + 1_h), 0);
    EXPECT_EQ(sequencer.pumps[0].retry_after_ms, now_ms + settings.step.retry_pause_ms);
    EXPECT_EQ(sequencer.drive_retry_after_ms, now_ms + settings.step.retry_pause_ms);
    EXPECT_EQ(alarms.station.shelved_until_ms[0], now_ms + shelve_max_ms);
}

TEST(Retained, is_not_believed_when_it_was_kept_at_a_future_time) {
    Retained kept = seen_a_second_ago();
    kept.seen_ms = now_ms + 1_s;
    SequencerState sequencer;
    AlarmState alarms;
    restore(kept, now_ms, doubles::four_pumps(), sequencer, alarms);
    EXPECT_EQ(sequencer.pumps[0].released_ms, now_ms) << "its rest restarts";
}

TEST(Retained, counts_all_starts_in_succession_as_used_after_a_long_absence) {
    Retained kept = seen_a_second_ago();
    kept.pumps[0].started_ms = now_ms - 20_min;
    kept.pumps[0].succession_starts = 1;
    SequencerState sequencer;
    AlarmState alarms;
    restore(kept, now_ms, doubles::four_pumps(), sequencer, alarms);
    EXPECT_EQ(sequencer.pumps[0].succession.starts, 1);
    restore(kept, now_ms + absence_max_ms, doubles::four_pumps(), sequencer, alarms);
    EXPECT_GT(sequencer.pumps[0].succession.starts, 100);
    EXPECT_EQ(sequencer.pumps[1].succession.starts, 0) << "this pump never started";
}

TEST(Retained, ends_a_run_when_the_motor_was_last_seen_fed) {
    Retained kept = seen_a_second_ago();
    kept.pumps[0].started_ms = now_ms - 40_min;
    kept.pumps[0].fed_ms = now_ms - 39_min;
    kept.pumps[0].released_ms = never_ms;
    kept.pumps[1].started_ms = now_ms - 40_min;
    kept.pumps[1].fed = true;
    kept.pumps[2].started_ms = now_ms - 40_min;  // its contactor never closed
    kept.pumps[3].fed_ms = now_ms + 1_h;
    SequencerState sequencer;
    AlarmState alarms;
    restore(kept, now_ms, doubles::four_pumps(), sequencer, alarms);
    EXPECT_EQ(sequencer.pumps[0].fed_ms, now_ms - 39_min);
    EXPECT_EQ(sequencer.pumps[1].fed_ms, kept.seen_ms) << "the pump was still running";
    EXPECT_EQ(sequencer.pumps[2].fed_ms, never_ms);
    EXPECT_EQ(sequencer.pumps[3].fed_ms, now_ms) << "the clock was set back";
}

TEST(Restart, does_not_count_the_time_with_an_unread_contact_as_a_run) {
    Settings settings = doubles::four_pumps();
    settings.succession = {.cold_starts_max = 2,
                           .warm_starts_max = 1,
                           .cool_ms = 8_h,
                           .rest_ms = 1_h,
                           .even_run_ms = 30_min,
                           .drive_starts_count = true};
    settings.permissives.rest_min_ms = settings.permissives.run_min_ms = 0;
    Watch at(settings);
    ASSERT_TRUE(at.one_on_drive());
    at.run_for(5_s);
    at.station.pump_tripped[0] = true;
    at.run_for(2_s);
    for (std::size_t pump = 1; pump < 4; ++pump) at.station.selector[pump] = Selector::off;
    at.station.line_side[0].fault.silent = true;
    at.station.inflow_m3s = 0;
    at.run_for(40_min);
    at.station.line_side[0].fault.silent = false;
    at.run_for(2_s);
    at.station.pump_tripped[0] = false;
    at.run_for(5_s);
    const Retained kept = at.retained();
    at.restart(&kept);
    at.run_for(5_s);
    at.station.level_m = 2.5;
    const auto waited_ms = time_to_a_start_ms(at, 2_h);
    ASSERT_TRUE(waited_ms);
    EXPECT_GE(*waited_ms, 59_min) << "after one start from warm the motor must rest";
}

TEST(Retained, has_the_fed_state_of_a_running_pump_and_no_time) {
    Watch at;
    at.station.inflow_m3s = 0.6;
    at.run_for(10_min);
    const std::uint8_t running = at.advice->drive_pump;
    ASSERT_NE(running, no_pump);
    EXPECT_TRUE(at.retained().pumps[running].fed);
    EXPECT_EQ(at.retained().pumps[running].fed_ms, never_ms);
    at.station.pump_tripped[running] = true;
    at.run_for(10_s);
    EXPECT_FALSE(at.retained().pumps[running].fed);
    EXPECT_GE(at.retained().pumps[running].fed_ms, at.station.now_ms - 10_s);
}

TEST(Restart, continues_the_hours_and_starts) {
    Watch at;
    at.station.inflow_m3s = 0.6;
    at.run_for(30_min);
    const PumpFigures before = at.advice->figures[0];
    ASSERT_GT(before.run_ms, 15_min);
    ASSERT_EQ(before.starts, 1U);
    const Retained kept = at.retained();
    at.go_unattended(20_s);
    at.restart(&kept);
    at.run_for(10_min);
    const PumpFigures after = at.advice->figures[0];
    EXPECT_GE(after.run_ms, before.run_ms + 9_min);
    EXPECT_LE(after.run_ms, before.run_ms + 10_min + 1_s);
    EXPECT_EQ(after.starts, 1U);
    EXPECT_EQ(after.starts_last_hour, 1) << "the start was within the hour";
}

TEST(Restart, without_anything_kept_begins_with_the_settings_hours_and_starts) {
    Settings settings = doubles::four_pumps();
    settings.run_ms_initial[2] = 77_h;
    settings.starts_initial[2] = 12;
    Watch at(settings);
    at.run_for(10_s);
    EXPECT_EQ(at.advice->figures[2].run_ms, 77 * 1_h);
    EXPECT_EQ(at.advice->figures[2].starts, 12U);
    const Retained kept = seen_a_second_ago();
    Watch again(settings, &kept);
    again.run_for(10_s);
    EXPECT_EQ(again.advice->figures[2].run_ms, 0) << "the kept figures come before the settings";
}

TEST(Restart, does_not_forget_the_starts_of_the_last_hour) {
    const Settings settings = doubles::four_pumps();
    Retained kept = seen_a_second_ago();
    for (RetainedPump& pump : kept.pumps)
        for (std::size_t i = 0; i < settings.permissives.starts_per_hour_max; ++i)
            pump.recent_starts_ms[hourly_max - 1 - i] = now_ms - 30_min;
    Watch fresh;
    fresh.station.level_m = 2.5;
    EXPECT_TRUE(time_to_a_start_ms(fresh, 2_min)) << "no other limit prevents the start";
    Watch at;
    at.station.level_m = 2.5;
    at.restart(&kept);
    const auto waited_ms = time_to_a_start_ms(at, 60_min);
    ASSERT_TRUE(waited_ms);
    EXPECT_GE(*waited_ms, 30_min);
    EXPECT_LE(*waited_ms, 31_min);
}

TEST(Restart, does_not_forget_the_trips_of_a_pump_within_the_last_hour) {
    Watch at;
    const auto trip = [&at] {
        at.run_for(10_s);
        at.station.pump_tripped[1] = true;
        at.run_for(2_s);
        at.station.pump_tripped[1] = false;
        at.run_for(10_s);
    };
    trip();
    trip();
    ASSERT_EQ(at.state(1), PumpState::off);
    const Retained kept = at.retained();
    at.restart(&kept);
    trip();
    EXPECT_EQ(at.state(1), PumpState::locked_out) << "the third trip within the hour";
}

TEST(Restart, during_a_trip_keeps_the_drive_locked_out_for_its_trips) {
    Watch at;
    const auto set_trip = [&at](bool trips) {
        at.station.drive_fault.trips = at.station.drive_fault.not_ready = trips;
        at.run_for(10_s);
    };
    for (int i = 0; i < 3; ++i) {
        set_trip(false);
        set_trip(true);
    }
    ASSERT_TRUE(at.alarm(StationAlarm::drive_locked_out));
    const Retained kept = at.retained();
    at.restart(&kept);
    at.run_for(1_min);
    EXPECT_TRUE(at.alarm(StationAlarm::drive_locked_out)) << "the trip itself makes the drive not ready";
}

TEST(Restart, continues_a_rest_and_does_not_restart_it) {
    Retained kept = seen_a_second_ago();
    for (RetainedPump& pump : kept.pumps) pump.released_ms = now_ms - 10_s;
    Watch at;
    at.station.level_m = 2.5;
    at.restart(&kept);
    const auto waited_ms = time_to_a_start_ms(at, 5_min);
    ASSERT_TRUE(waited_ms);
    EXPECT_GE(*waited_ms, 50_s);
    EXPECT_LE(*waited_ms, 52_s);

    const Retained rested = seen_a_second_ago();
    Watch again;
    again.station.level_m = 2.5;
    again.restart(&rested);
    const auto soon_ms = time_to_a_start_ms(again, 5_min);
    ASSERT_TRUE(soon_ms);
    EXPECT_LE(*soon_ms, 12_s) << "only settling and residual voltage remain";
}

TEST(Restart, waits_for_the_whole_residual_voltage_time_because_people_may_have_run_the_pump) {
    Settings settings = doubles::four_pumps();
    settings.permissives.residual_voltage_ms = 30_s;
    const Retained rested = seen_a_second_ago();
    Watch at(settings);
    at.station.level_m = 2.5;
    at.restart(&rested);
    const auto waited_ms = time_to_a_start_ms(at, 5_min);
    ASSERT_TRUE(waited_ms);
    EXPECT_GE(*waited_ms, 30_s);
}

TEST(Restart, restarts_every_rest_after_a_long_absence) {
    Retained kept = seen_a_second_ago();
    kept.seen_ms = now_ms - absence_max_ms - 1;
    Watch at;
    at.station.level_m = 2.5;
    at.restart(&kept);
    const auto waited_ms = time_to_a_start_ms(at, 5_min);
    ASSERT_TRUE(waited_ms);
    EXPECT_GE(*waited_ms, 60_s);
}

TEST(Restart, restarts_the_rest_of_a_pump_that_was_running_when_last_seen) {
    Watch at;
    at.station.inflow_m3s = 0.6;
    at.run_for(10_min);
    const std::uint8_t running = at.advice->drive_pump;
    ASSERT_NE(running, no_pump);
    const Retained kept = at.retained();
    const std::int64_t back_ms = kept.seen_ms + absence_max_ms;
    SequencerState sequencer;
    AlarmState alarms;
    restore(kept, back_ms, doubles::four_pumps(), sequencer, alarms);
    for (std::uint8_t pump = 0; pump < doubles::four_pumps().pump_count; ++pump) {
        if (pump == running) {
            EXPECT_EQ(sequencer.pumps[pump].released_ms, back_ms);
        } else {
            EXPECT_LT(sequencer.pumps[pump].released_ms, kept.seen_ms) << "a rest that was seen continues";
        }
    }
}

TEST(Retained, has_no_time_of_release_of_a_running_pump) {
    Watch at;
    at.station.inflow_m3s = 0.6;
    at.run_for(10_min);
    ASSERT_NE(at.advice->drive_pump, no_pump);
    EXPECT_EQ(at.retained().pumps[at.advice->drive_pump].released_ms, never_ms);
}

TEST(Restart, keeps_a_pump_locked_out_until_its_selector_goes_to_off) {
    Retained kept = seen_a_second_ago();
    kept.pumps[0].locked_out = true;
    kept.pumps[0].attempts = 3;
    kept.pumps[0].alarms.latched = alarm_bit(PumpAlarm::locked_out);
    Watch at;
    at.restart(&kept);
    at.run_for(1_min);
    EXPECT_EQ(at.advice->pumps[0].state, PumpState::locked_out);
    EXPECT_NE(at.advice->pump_alarms[0] & alarm_bit(PumpAlarm::locked_out), 0);
    at.station.selector[0] = Selector::off;
    at.run_for(10_s);
    at.station.selector[0] = Selector::automatic;
    at.run_for(10_s);
    EXPECT_EQ(at.advice->pumps[0].state, PumpState::off);
    EXPECT_FALSE(at.retained().pumps[0].locked_out);
}

/// A pump that was locked out when last seen, and is found with closed contactors.
struct LockedOut : Watch {
    Retained kept = seen_a_second_ago();
    LockedOut() {
        kept.pumps[1].locked_out = true;
        kept.pumps[1].attempts = 3;
        restart(&kept);
    }
    void close(doubles::Contactor& contactor) { contactor.closed = contactor.ordered = true; }
    void expect_stopped_and_locked_out() {
        run_for(1_min);
        EXPECT_EQ(advice->pumps[1].state, PumpState::locked_out);
        EXPECT_FALSE(station.line_side[1].closed || station.drive_side[1].closed);
        EXPECT_NE(advice->pump_alarms[1] & alarm_bit(PumpAlarm::locked_out), 0);
        station.level_m = 3.0;
        run_for(10_min);
        EXPECT_EQ(advice->pumps[1].state, PumpState::locked_out) << "only people reset the lock-out";
    }
};

TEST(Restart, takes_a_locked_out_pump_off_the_line_and_keeps_it_locked_out) {
    LockedOut at;
    at.close(at.station.line_side[1]);
    at.expect_stopped_and_locked_out();
}

TEST(Restart, stops_a_locked_out_pump_on_the_drive_and_keeps_it_locked_out) {
    LockedOut at;
    at.close(at.station.drive_side[1]);
    at.close(at.station.output);
    Advice runs;
    runs.service = Service::normal;
    runs.drive_run = runs.output_close = runs.pumps[1].drive_side_close = true;
    runs.speed_hz = 50;
    at.station.step(runs);
    at.expect_stopped_and_locked_out();
}

TEST(Restart, takes_a_locked_out_pump_off_both_sources_and_keeps_it_locked_out) {
    LockedOut at;
    at.close(at.station.drive_side[1]);
    at.close(at.station.line_side[1]);
    at.close(at.station.output);
    at.run_for(1_min);
    EXPECT_NE(at.advice->station_alarms & alarm_bit(StationAlarm::restarted_in_transfer), 0U);
    at.expect_stopped_and_locked_out();
}

TEST(Restart, keeps_a_lock_out_over_a_second_restart_while_the_pump_is_being_taken_off) {
    LockedOut at;
    at.close(at.station.drive_side[1]);
    at.close(at.station.output);
    while (at.station.now_ms - now_ms < 30_s && (at.advice == nullptr || at.advice->step == Step::idle))
        at.scan_once();
    ASSERT_EQ(at.advice->pumps[1].state, PumpState::stopping);
    at.kept = at.retained();
    at.restart(&at.kept);
    at.expect_stopped_and_locked_out();
}

TEST(Restart, alarms_a_locked_out_pump_whose_line_side_does_not_open_and_does_not_count_it) {
    LockedOut at;
    at.close(at.station.line_side[1]);
    at.station.line_side[1].fault.does_not_open = true;
    at.run_for(1_min);
    EXPECT_EQ(at.advice->pumps[1].state, PumpState::locked_out);
    EXPECT_FALSE(at.advice->pumps[1].line_side_close);
    EXPECT_EQ(at.advice->pumps_on_line, 0);
    EXPECT_NE(at.advice->pump_alarms[1] & alarm_bit(PumpAlarm::runs_unadvised), 0);
}

TEST(Restart, keeps_the_drive_locked_out_and_runs_at_fixed_speed) {
    Settings settings = doubles::four_pumps();
    settings.line_start.allowed = false;
    Retained kept = seen_a_second_ago();
    kept.drive_locked_out = true;
    Watch at(settings, &kept);
    at.run_for(1_min);
    EXPECT_EQ(at.advice->service, Service::fixed_speed);
    EXPECT_NE(at.advice->station_alarms & alarm_bit(StationAlarm::drive_locked_out), 0U);
}

TEST(Restart, keeps_shelved_out_of_service_and_unacknowledged_alarms) {
    Retained kept = seen_a_second_ago();
    kept.alarms.shelved_until_ms[static_cast<std::size_t>(StationAlarm::drive_tripped)] = now_ms + 120_s;
    kept.alarms.unacknowledged = alarm_bit(StationAlarm::supply);
    kept.pumps[1].alarms.out_of_service = alarm_bit(PumpAlarm::seal_leak);
    Watch at;
    at.station.drive_fault.trips = true;
    at.station.seal_leak[1] = true;
    at.restart(&kept);
    at.run_for(60_s);
    EXPECT_EQ(at.advice->station_alarms & alarm_bit(StationAlarm::drive_tripped), 0U);
    EXPECT_EQ(at.advice->pump_alarms[1] & alarm_bit(PumpAlarm::seal_leak), 0);
    EXPECT_EQ(at.advice->station_alarms_unacknowledged & alarm_bit(StationAlarm::supply),
              alarm_bit(StationAlarm::supply));
    at.run_for(70_s);
    EXPECT_NE(at.advice->station_alarms & alarm_bit(StationAlarm::drive_tripped), 0U)
        << "the time for which it was shelved is over";
}

TEST(Restart, shows_an_alarm_that_was_set_aside_before_its_priority_became_high) {
    Retained kept = seen_a_second_ago();
    const auto code = static_cast<std::size_t>(StationAlarm::transmitters_disagree);
    kept.alarms.shelved_until_ms[code] = now_ms + 600_s;
    kept.alarms.out_of_service = alarm_bit(StationAlarm::transmitters_disagree);
    Watch at;
    at.station.level_error_m[1] = 0.5;
    at.restart(&kept);
    at.run_for(60_s);
    EXPECT_TRUE(at.alarm(StationAlarm::transmitters_disagree));
}

}  // namespace
}  // namespace freshet::core
