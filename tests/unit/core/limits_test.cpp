// Limits beyond the plain timers: starts in succession from cold and from warm, the discharge pressure, the
// exercise of idle pumps. One reason to change: one of these limits.
#include <gtest/gtest.h>

#include "controller/core/permissives.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/succession.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

constexpr std::int64_t now_ms = doubles::odd_start_ms;

/// Two starts from cold and one from warm (NEMA MG 1-2016 12.54.1); cold after an hour at rest, evenly warm
/// after half an hour's run, a quarter of an hour's rest when the starts are used up (invented).
Settings two_cold_one_warm() {
    Settings settings = doubles::four_pumps();
    settings.succession = {.cold_starts_max = 2,
                           .warm_starts_max = 1,
                           .cool_ms = 60_min,
                           .rest_ms = 15_min,
                           .even_run_ms = 30_min,
                           .drive_starts_count = true};
    return settings;
}

/// A motor of which starts, runs and rests are told one after another.
struct Motor {
    Settings settings = two_cold_one_warm();
    PumpRecord record;
    std::int64_t at_ms = now_ms;

    void rests(std::int64_t duration_ms) { at_ms += duration_ms; }
    void starts_and_runs(std::int64_t duration_ms) {
        record.succession = succession_with_start(settings, record, at_ms);
        record.started_ms = at_ms;
        at_ms += duration_ms;
        record.released_ms = record.fed_ms = at_ms;
    }
    std::int64_t waits_ms() const { return succession_wait_ms(settings, record, at_ms); }
};

TEST(Succession, admits_two_starts_from_cold_and_then_asks_for_the_rest) {
    Motor motor;
    motor.record.released_ms = motor.at_ms - 61_min;
    EXPECT_EQ(motor.waits_ms(), 0);
    motor.starts_and_runs(1_min);
    motor.rests(2_min);
    EXPECT_EQ(motor.waits_ms(), 0) << "the second from cold";
    motor.starts_and_runs(1_min);
    motor.rests(2_min);
    EXPECT_EQ(motor.waits_ms(), 13_min) << "a quarter of an hour from the stop";
    motor.rests(13_min);
    EXPECT_EQ(motor.waits_ms(), 0);
}

TEST(Succession, admits_one_start_from_warm) {
    Motor motor;
    motor.record.released_ms = motor.at_ms - 61_min;
    motor.starts_and_runs(45_min);
    motor.rests(5_min);
    EXPECT_EQ(motor.waits_ms(), 0) << "one from rated temperature";
    motor.starts_and_runs(1_min);
    motor.rests(5_min);
    EXPECT_EQ(motor.waits_ms(), 10_min);
}

TEST(Succession, begins_anew_from_cold_after_a_long_rest) {
    Motor motor;
    motor.record.released_ms = motor.at_ms - 61_min;
    motor.starts_and_runs(45_min);
    motor.rests(60_min);
    motor.starts_and_runs(1_min);
    motor.rests(2_min);
    EXPECT_EQ(motor.waits_ms(), 0) << "the second from cold";
}

TEST(Succession, of_a_motor_of_which_nothing_is_known_is_one_start_as_from_warm) {
    Motor motor;
    motor.record.released_ms = motor.at_ms;
    motor.rests(1_min);
    EXPECT_EQ(motor.waits_ms(), 0);
    motor.starts_and_runs(1_min);
    motor.rests(1_min);
    EXPECT_EQ(motor.waits_ms(), 14_min);
}

TEST(Succession, takes_a_contact_that_is_not_read_for_no_run) {
    Motor motor;
    motor.record.released_ms = motor.at_ms - 16_min;
    motor.starts_and_runs(10_min);
    motor.rests(25_min);
    motor.record.released_ms = motor.at_ms;  // nobody saw it stand until now
    motor.rests(5_min);
    EXPECT_EQ(motor.waits_ms(), 10_min) << "it did not run itself even";
}

TEST(Succession, counts_a_motor_as_fed_only_by_contacts_that_are_seen_closed) {
    const Settings settings = two_cold_one_warm();
    SequencerState state;
    Picture picture;
    picture.line_side_open = picture.drive_side_open = static_cast<PumpMask>(0x0F & ~bit_of(1));
    picture.line_side_closed = bit_of(1);
    picture.drive_side_open |= bit_of(1);
    Advice advice;
    std::uint32_t number = 0;
    const auto scan_at = [&](std::int64_t at_ms) {
        picture.time_ms = at_ms;
        Journal journal(advice, number);
        carry_on(state, {picture, {}, 0}, settings, journal);
    };
    scan_at(now_ms);
    EXPECT_EQ(state.pumps[1].fed_ms, now_ms);
    EXPECT_EQ(state.pumps[0].fed_ms, never_ms);
    picture.line_side_closed = 0;  // and not open either
    scan_at(now_ms + 20_min);
    EXPECT_EQ(state.pumps[1].fed_ms, now_ms);
    EXPECT_EQ(state.pumps[1].released_ms, now_ms + 20_min) << "for its rest it counts as running";
}

TEST(Succession, is_not_judged_where_the_station_sets_no_rule) {
    Motor motor;
    motor.settings.succession.cold_starts_max = 0;
    for (int start = 0; start < 5; ++start) {
        EXPECT_EQ(motor.waits_ms(), 0);
        motor.starts_and_runs(1000);
    }
}

TEST(Succession, is_a_ground_for_refusing_a_start_with_its_wait) {
    SequencerState state;
    Picture picture;
    picture.time_ms = now_ms;
    picture.automatic = picture.drive_side_open = picture.line_side_open = 0x0F;
    const StationPermit permit{.settled = true, .data_starts = true};
    Settings settings = two_cold_one_warm();
    PumpRecord& record = state.pumps[0];
    record.started_ms = now_ms - 5_min;
    record.released_ms = now_ms - 4_min;
    record.succession = {2, false};
    std::int64_t wait_ms = 0;
    EXPECT_EQ(why_not_start(state, picture, permit, settings, 0, false, wait_ms), Permissive::succession);
    EXPECT_EQ(wait_ms, 11_min);
    settings.succession.drive_starts_count = false;
    EXPECT_EQ(why_not_start(state, picture, permit, settings, 0, false, wait_ms), Permissive::none)
        << "the drive starts softly";
}

/// A station whose pump 1 runs itself even on the drive, with nothing that stirs; the others are out of
/// service from then on.
struct LongQuietRun : Watch {
    LongQuietRun() : Watch(with_short_rests()) {
        one_on_drive();
        run_for(2_h);
        for (std::size_t pump = 1; pump < 4; ++pump) station.selector[pump] = Selector::off;
    }
    static Settings with_short_rests() {
        Settings settings = two_cold_one_warm();
        settings.succession.cool_ms = 4_h;
        settings.succession.rest_ms = 1_h;
        settings.permissives.rest_min_ms = 0;
        return settings;
    }
    void expect_one_start_from_warm() {
        station.level_m = 2.5;
        EXPECT_TRUE(run_until_state(0, PumpState::on_drive, 5_min));
        EXPECT_EQ(retained().pumps[0].succession_starts, 1);
        EXPECT_TRUE(retained().pumps[0].succession_warm);
    }
};

TEST(Succession, knows_a_long_run_without_an_event_as_long_when_its_contactor_drops_out) {
    LongQuietRun at;
    at.station.drive_side[0].fault.lies_open = true;
    at.run_for(1_s);
    at.station.drive_side[0].fault.lies_open = false;
    at.expect_one_start_from_warm();
}

TEST(Succession, knows_a_long_run_without_an_event_as_long_when_the_drive_stands_at_once_with_its_trip) {
    LongQuietRun at;
    at.station.drive_fault.trips = true;
    at.on_the_way = [](Inputs& inputs) { inputs.drive.running.on = false; };
    at.run_for(20_s);
    at.station.drive_fault.trips = false;
    at.on_the_way = nullptr;
    at.expect_one_start_from_warm();
}

TEST(Succession, holds_for_a_whole_station_whose_only_pump_trips_again_and_again) {
    Settings settings = two_cold_one_warm();
    settings.permissives.starts_per_hour_max = 12;
    Watch watch(settings);
    for (std::size_t pump = 1; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.3;
    std::int64_t stopped_ms = watch.station.now_ms - 1_h;
    for (int start = 0; start < 2; ++start) {
        ASSERT_TRUE(watch.run_until_step(Step::start_run, 20_min)) << start;
        EXPECT_GE(watch.station.now_ms - stopped_ms, 15_min) << start;
        watch.run_for(2_s);
        watch.station.pump_tripped[0] = true;
        ASSERT_TRUE(watch.run_until_state(0, PumpState::unavailable, 1_min));
        stopped_ms = watch.station.now_ms;
        watch.station.pump_tripped[0] = false;
    }
}

// Discharge pressure
// ----------------------------------------------------------------------------------------------------------

Settings with_pressure_limit() {
    Settings settings = doubles::four_pumps();
    settings.pressure_transmitter = {true, 0, 50};
    settings.permissives.discharge_pressure_max_m = 30;
    return settings;
}

TEST(DischargePressure, past_its_limit_is_alarmed_and_holds_the_speed) {
    Watch watch(with_pressure_limit());
    watch.station.header_pressure_m = 20;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(1_min);
    ASSERT_LT(watch.advice->speed_hz, watch.settings().drive.speed_max_hz);
    watch.station.header_pressure_m = 31;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::discharge_pressure_high); }, 10_s));
    const double held_hz = watch.advice->speed_hz;
    watch.station.inflow_m3s = 1.4;
    for (const std::int64_t end = watch.station.now_ms + 10_min; watch.station.now_ms < end;) {
        watch.scan_once();
        ASSERT_LE(watch.advice->speed_hz, held_hz + 0.011);
    }
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::hand_over), 0U)
        << "nothing more is brought on";
    EXPECT_EQ(watch.state(0), PumpState::on_drive) << "the last pump stays";

    watch.station.header_pressure_m = 29.7;
    watch.run_for(1_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_high)) << "within the deadband";
    watch.station.header_pressure_m = 25;
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 1; }, 10_min));
}

TEST(DischargePressure, that_stays_past_its_limit_takes_a_pump_off) {
    Watch watch(with_pressure_limit());
    watch.station.header_pressure_m = 20;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.run_for(2_min);
    watch.station.header_pressure_m = 31;
    ASSERT_TRUE(watch.run_until(
        [&] {
            return watch.last(EventKind::sequence_begun, static_cast<std::uint8_t>(Sequence::stop_on_drive));
        },
        2_min));
    const Event* begun =
        watch.last(EventKind::sequence_begun, static_cast<std::uint8_t>(Sequence::stop_on_drive));
    EXPECT_EQ(begun->why, Reason::pressure_high);
    EXPECT_DOUBLE_EQ(begun->values[0], 31);
    EXPECT_DOUBLE_EQ(begun->values[1], 30);
}

TEST(DischargePressure, that_is_not_known_is_not_judged_but_alarmed) {
    Watch watch(with_pressure_limit());
    watch.station.header_pressure_m = 31;
    watch.station.header_pressure_quality = Quality::bad;
    EXPECT_TRUE(watch.one_on_drive());
    EXPECT_FALSE(watch.alarm(StationAlarm::discharge_pressure_high));
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_unknown));

    watch.station.header_pressure_m = 20;
    watch.station.header_pressure_quality = Quality::good;
    watch.run_for(1_min);
    EXPECT_FALSE(watch.alarm(StationAlarm::discharge_pressure_unknown));
}

/// A station with one pump on the drive whose discharge pressure is past a limit near the end of its range.
struct PastTheLimit : Watch {
    PastTheLimit() : Watch(near_the_end()) {
        station.header_pressure_m = 20;
        one_on_drive();
        run_for(1_min);
        station.header_pressure_m = 46;
        run_for(10_s);
        held_hz = advice->speed_hz;
    }
    static Settings near_the_end() {
        Settings settings = with_pressure_limit();
        settings.permissives.discharge_pressure_max_m = 45;
        return settings;
    }
    void expect_held_for(std::int64_t duration_ms) {
        station.inflow_m3s = 1.4;
        for (const std::int64_t end = station.now_ms + duration_ms; station.now_ms < end;) {
            scan_once();
            ASSERT_TRUE(alarm(StationAlarm::discharge_pressure_high));
            ASSERT_LE(advice->speed_hz, held_hz + 0.011);
        }
        EXPECT_EQ(count(EventKind::sequence_begun, Sequence::hand_over), 0U) << "nothing more is brought on";
    }
    double held_hz = 0;
};

TEST(DischargePressure, in_metres_stays_past_its_limit_however_far_it_rises) {
    for (const double pressure_m : {46.0, 53.0, 54.0, 60.0, 99.0}) {  // of 0 to 50 m
        PastTheLimit at;
        at.station.header_pressure_m = pressure_m;
        at.expect_held_for(5_min);
        EXPECT_FALSE(at.alarm(StationAlarm::discharge_pressure_unknown)) << pressure_m;
    }
}

TEST(DischargePressure, off_the_range_from_the_start_is_past_its_limit) {
    Watch watch(PastTheLimit::near_the_end());
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    watch.station.header_pressure_m = 60;
    watch.run_for(3_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_high));
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 0U);
}

TEST(DischargePressure, that_is_past_its_limit_does_not_release_itself_as_its_reading_fails_upwards) {
    for (const bool by_loop : {false, true}) {
        PastTheLimit at;
        if (by_loop) {
            at.on_the_way = [](Inputs& inputs) { inputs.header_pressure.loop_ma = 21.5; };
        } else {
            at.station.header_pressure_m = 101;
        }
        at.expect_held_for(5_min);
        EXPECT_TRUE(at.alarm(StationAlarm::discharge_pressure_unknown));

        at.on_the_way = nullptr;
        at.station.header_pressure_m = 20;
        EXPECT_TRUE(at.run_until([&] { return !at.alarm(StationAlarm::discharge_pressure_high); }, 1_min));
        EXPECT_FALSE(at.alarm(StationAlarm::discharge_pressure_unknown));
    }
}

TEST(DischargePressure, that_fails_upwards_before_its_time_past_the_limit_is_over_is_past_it) {
    Watch watch(PastTheLimit::near_the_end());
    watch.station.header_pressure_m = 20;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.header_pressure_m = 46;
    watch.scan_once();
    watch.station.header_pressure_m = 200;
    watch.run_for(10_s);
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_high));
}

TEST(DischargePressure, that_was_within_its_limit_and_fails_upwards_is_not_known) {
    Watch watch(PastTheLimit::near_the_end());
    watch.station.header_pressure_m = 20;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.header_pressure_m = 200;
    watch.run_for(20_s);
    EXPECT_FALSE(watch.alarm(StationAlarm::discharge_pressure_high));
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_unknown));
}

TEST(DischargePressure, that_was_past_its_limit_and_is_not_read_is_not_known) {
    PastTheLimit at;
    at.station.header_pressure_quality = Quality::bad;
    at.run_for(30_s);
    EXPECT_FALSE(at.alarm(StationAlarm::discharge_pressure_high));
    EXPECT_TRUE(at.alarm(StationAlarm::discharge_pressure_unknown));
}

TEST(DischargePressure, without_a_limit_is_nobodys_concern) {
    Watch watch;
    watch.station.header_pressure_quality = Quality::bad;
    EXPECT_TRUE(watch.one_on_drive());
    EXPECT_FALSE(watch.alarm(StationAlarm::discharge_pressure_unknown));
}

TEST(DischargePressure, that_is_the_measured_value_is_alarmed_once_when_it_is_not_known) {
    Settings settings = with_pressure_limit();
    settings.measured = Measured::header_pressure;
    Watch watch(settings);
    watch.station.header_pressure_quality = Quality::bad;
    watch.run_for(1_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::value_bad));
    EXPECT_FALSE(watch.alarm(StationAlarm::discharge_pressure_unknown));
}

// Supply, seal, winding
// ----------------------------------------------------------------------------------------------------------

TEST(PumpsAtOnce, keep_to_what_a_generator_carries_and_shed_what_is_too_much) {
    Settings settings = doubles::four_pumps();
    settings.permissives.pumps_max_on_generator = 1;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.on_generator = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 0; }, 1_s))
        << "at once, whatever the minimum run";
    EXPECT_EQ(watch.last(EventKind::sequence_begun, static_cast<std::uint8_t>(Sequence::stop_from_line))->why,
              Reason::pumps_max_reached);
    EXPECT_EQ(watch.state(1), PumpState::on_drive) << "one goes on";
    watch.station.inflow_m3s = 1.4;
    watch.run_for(10_min);
    EXPECT_EQ(watch.advice->pumps_on_line, 0);

    watch.station.on_generator = false;
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 1; }, 20_min));
}

TEST(PumpsAtOnce, shed_no_more_than_is_too_much) {
    Settings settings = doubles::four_pumps();
    settings.permissives.pumps_max_on_generator = 2;
    Watch watch(settings);
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 2.6;
    ASSERT_TRUE(watch.run_until(
        [&] { return watch.advice->pumps_on_line == 3 && watch.advice->step == Step::idle; }, 60_min));
    const bool on_drive = watch.advice->drive_pump != no_pump;
    watch.station.on_generator = true;
    watch.run_for(3_s);
    EXPECT_EQ(watch.advice->pumps_on_line, on_drive ? 1 : 2);
}

TEST(Winding, too_hot_and_a_seal_that_leaks_keep_an_idle_pump_from_starting) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    watch.station.hot[0] = true;
    watch.station.seal_leak[1] = true;
    ASSERT_TRUE(watch.run_until_state(2, PumpState::on_drive, 3_min));
    EXPECT_EQ(watch.state(0), PumpState::unavailable);
    EXPECT_EQ(watch.state(1), PumpState::unavailable);
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::winding_hot));
    EXPECT_TRUE(watch.alarm(1, PumpAlarm::seal_leak));
}

TEST(Winding, too_hot_on_a_running_pump_is_alarmed_and_left_to_its_protection) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.hot[0] = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(0, PumpAlarm::winding_hot); }, 10_s));
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
}

// Exercise
// ----------------------------------------------------------------------------------------------------------

TEST(Exercise, lets_the_pump_that_stood_idle_longest_go_first) {
    Settings settings = doubles::four_pumps();
    settings.exercise_ms = 24_h;
    SequencerState state;
    for (std::size_t pump = 0; pump < 4; ++pump) state.pumps[pump].released_ms = now_ms - 1_h;
    state.pumps[2].run_ms = 1000_h;
    state.pumps[2].released_ms = now_ms - 30_h;
    state.pumps[3].released_ms = now_ms - 25_h;
    EXPECT_EQ(exercise_due(0x0F, state, settings, now_ms), bit_of(2) | bit_of(3));
    EXPECT_EQ(next_to_start(0x0F, state, settings, now_ms), 2) << "though it has run most";
    settings.preference[2] = Preference::last;
    EXPECT_EQ(next_to_start(0x0F, state, settings, now_ms), 2) << "a pump declared last is exercised, too";
    settings.exercise_ms = 0;
    EXPECT_EQ(exercise_due(0x0F, state, settings, now_ms), 0);
    EXPECT_EQ(next_to_start(0x0F, state, settings, now_ms), 0);
}

TEST(Exercise, takes_the_place_of_a_pump_that_would_run_on_for_ever) {
    Settings settings = doubles::four_pumps();
    settings.exercise_ms = 2_h;
    settings.preference[0] = Preference::preferred;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(100_min);
    ASSERT_EQ(watch.state(0), PumpState::on_drive) << "not idle for long enough yet";
    ASSERT_TRUE(watch.run_until_state(1, PumpState::on_drive, 60_min));
    const Event* stop =
        watch.last(EventKind::sequence_begun, static_cast<std::uint8_t>(Sequence::stop_on_drive));
    ASSERT_NE(stop, nullptr);
    EXPECT_EQ(stop->why, Reason::exercise_due);
    EXPECT_GE(stop->values[0], 2.0) << "hours idle";
    EXPECT_EQ(watch.state(0), PumpState::off);
}

TEST(Exercise, is_left_where_it_is_not_asked_for) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(300_min);
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::stop_on_drive), 0U);
}

}  // namespace
}  // namespace freshet::core
