// Limits beyond the minimum times: discharge pressure, pumps at once, winding and seal, exercise of idle
// pumps.
// One reason to change: one of these limits.
#include <gtest/gtest.h>

#include "controller/core/rotation.hpp"
#include "tests/unit/core/instants.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

// Discharge pressure
// ------------------------------------------------------------

Settings with_pressure_limit() {
    Settings settings = doubles::four_pumps();
    settings.pressure_transmitter = {true, 0, 50};
    settings.permissives.discharge_pressure_max_m = 30;
    return settings;
}

TEST(DischargePressure, beyond_its_limit_is_alarmed_and_holds_the_speed) {
    Watch watch(with_pressure_limit());
    watch.station.header_pressure_m = 20;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(20_min);
    ASSERT_LT(watch.advice->speed_hz, watch.settings().drive.speed_max_hz);
    watch.station.header_pressure_m = 31;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::discharge_pressure_high); }, 10_s));
    const double held_hz = watch.advice->speed_hz;
    watch.station.inflow_m3s = 1.4;
    for (const std::int64_t end = watch.station.now_ms + 10_min; watch.station.now_ms < end;) {
        watch.scan_once();
        ASSERT_LE(watch.advice->speed_hz, held_hz + 0.011);
    }
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::hand_over), 0U) << "no other pump is started";
    EXPECT_EQ(watch.state(0), PumpState::on_drive) << "the last pump keeps running";

    watch.station.header_pressure_m = 29.7;
    watch.run_for(1_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_high)) << "within the deadband";
    watch.station.header_pressure_m = 25;
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 1; }, 10_min));
}

TEST(DischargePressure, that_stays_beyond_its_limit_stops_a_pump) {
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

TEST(DischargePressure, that_is_unknown_is_alarmed_and_not_judged) {
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

/// A station with one pump on the drive. Its discharge pressure is beyond a limit near the end of its range.
struct BeyondTheLimit : Watch {
    BeyondTheLimit() : Watch(near_the_end()) {
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
        EXPECT_EQ(count(EventKind::sequence_begun, Sequence::hand_over), 0U) << "no other pump is started";
    }
    double held_hz = 0;
};

TEST(DischargePressure, in_metres_stays_beyond_its_limit_at_every_higher_value) {
    for (const double pressure_m : {46.0, 53.0, 54.0, 60.0, 99.0}) {  // of 0 to 50 m
        BeyondTheLimit at;
        at.station.header_pressure_m = pressure_m;
        at.expect_held_for(5_min);
        EXPECT_FALSE(at.alarm(StationAlarm::discharge_pressure_unknown)) << pressure_m;
    }
}

TEST(DischargePressure, above_its_range_from_the_first_scan_is_beyond_its_limit) {
    Watch watch(BeyondTheLimit::near_the_end());
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    watch.station.header_pressure_m = 60;
    watch.run_for(3_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_high));
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 0U);
}

TEST(DischargePressure, beyond_its_limit_stays_so_when_its_reading_fails_upwards) {
    for (const bool by_loop : {false, true}) {
        BeyondTheLimit at;
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

TEST(DischargePressure, that_fails_upwards_during_the_hold_time_is_beyond_its_limit) {
    Watch watch(BeyondTheLimit::near_the_end());
    watch.station.header_pressure_m = 20;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.header_pressure_m = 46;
    watch.scan_once();
    watch.station.header_pressure_m = 200;
    watch.run_for(10_s);
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_high));
}

TEST(DischargePressure, within_its_limit_is_unknown_when_its_reading_fails_upwards) {
    Watch watch(BeyondTheLimit::near_the_end());
    watch.station.header_pressure_m = 20;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.header_pressure_m = 200;
    watch.run_for(20_s);
    EXPECT_FALSE(watch.alarm(StationAlarm::discharge_pressure_high));
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_unknown));
}

TEST(DischargePressure, beyond_its_limit_is_unknown_when_it_is_not_read) {
    BeyondTheLimit at;
    at.station.header_pressure_quality = Quality::bad;
    at.run_for(30_s);
    EXPECT_FALSE(at.alarm(StationAlarm::discharge_pressure_high));
    EXPECT_TRUE(at.alarm(StationAlarm::discharge_pressure_unknown));
}

TEST(DischargePressure, without_a_limit_is_not_alarmed) {
    Watch watch;
    watch.station.header_pressure_quality = Quality::bad;
    EXPECT_TRUE(watch.one_on_drive());
    EXPECT_FALSE(watch.alarm(StationAlarm::discharge_pressure_unknown));
}

TEST(DischargePressure, that_is_the_measured_value_has_one_alarm_when_it_is_unknown) {
    Settings settings = with_pressure_limit();
    settings.measured = Measured::header_pressure;
    Watch watch(settings);
    watch.station.header_pressure_quality = Quality::bad;
    watch.run_for(1_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::value_bad));
    EXPECT_FALSE(watch.alarm(StationAlarm::discharge_pressure_unknown));
}

// Supply, seal, winding
// ------------------------------------------------------------

TEST(PumpsAtOnce, are_shed_down_to_the_number_that_a_generator_carries) {
    Settings settings = doubles::four_pumps();
    settings.permissives.pumps_max_on_generator = 1;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.on_generator = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 0; }, 1_s))
        << "at once and within the minimum run";
    EXPECT_EQ(watch.last(EventKind::sequence_begun, static_cast<std::uint8_t>(Sequence::stop_from_line))->why,
              Reason::pumps_max_reached);
    EXPECT_EQ(watch.state(1), PumpState::on_drive) << "one pump keeps running";
    watch.station.inflow_m3s = 1.4;
    watch.run_for(10_min);
    EXPECT_EQ(watch.advice->pumps_on_line, 0);

    watch.station.on_generator = false;
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 1; }, 20_min));
}

TEST(PumpsAtOnce, are_not_shed_below_the_number_that_a_generator_carries) {
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

TEST(Winding, that_is_hot_and_a_seal_that_leaks_prevent_the_start_of_an_idle_pump) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    watch.station.hot[0] = true;
    watch.station.seal_leak[1] = true;
    ASSERT_TRUE(watch.run_until_state(2, PumpState::on_drive, 3_min));
    EXPECT_EQ(watch.state(0), PumpState::unavailable);
    EXPECT_EQ(watch.state(1), PumpState::off) << "the leak is a warning, and the water is in no danger";
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::winding_hot));
    EXPECT_TRUE(watch.alarm(1, PumpAlarm::seal_leak));
}

TEST(Winding, that_is_hot_on_a_running_pump_is_alarmed_and_does_not_stop_the_pump) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.hot[0] = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(0, PumpAlarm::winding_hot); }, 10_s));
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
}

// Exercise
// ------------------------------------------------------------

TEST(Exercise, starts_the_pump_first_that_was_idle_longest) {
    Settings settings = doubles::four_pumps();
    settings.exercise_ms = 24_h;
    SequencerState state;
    for (std::size_t pump = 0; pump < 4; ++pump) state.pumps[pump].released_ms = now_ms - 1_h;
    state.pumps[2].run_ms = 1000_h;
    state.pumps[2].released_ms = now_ms - 30_h;
    state.pumps[3].released_ms = now_ms - 25_h;
    EXPECT_EQ(exercise_due(0x0F, state, settings, now_ms), bit_of(2) | bit_of(3));
    EXPECT_EQ(next_to_start(0x0F, state, settings, now_ms).pump, 2) << "although it has run the most hours";
    settings.preference[2] = Preference::last;
    EXPECT_EQ(next_to_start(0x0F, state, settings, now_ms).pump, 2)
        << "a pump with preference last is exercised too";
    settings.exercise_ms = 0;
    EXPECT_EQ(exercise_due(0x0F, state, settings, now_ms), 0);
    EXPECT_EQ(next_to_start(0x0F, state, settings, now_ms).pump, 0);
}

TEST(Exercise, is_not_due_for_a_pump_whose_rest_is_unknown) {
    Settings settings = doubles::four_pumps();
    settings.exercise_ms = 12_h;
    SequencerState state;
    for (PumpRecord& pump : state.pumps) pump.released_ms = now_ms - 24_h;
    state.pumps[1].released_ms = never_ms;
    EXPECT_EQ(exercise_due(0x0F, state, settings, now_ms), 0x0D);
}

TEST(Exercise, exchanges_a_pump_that_would_keep_running) {
    Settings settings = doubles::four_pumps();
    settings.exercise_ms = 2_h;
    settings.preference[0] = Preference::preferred;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(100_min);
    ASSERT_EQ(watch.state(0), PumpState::on_drive) << "the others are not idle for long enough yet";
    ASSERT_TRUE(watch.run_until_state(1, PumpState::on_drive, 60_min));
    const Event* stop =
        watch.last(EventKind::sequence_begun, static_cast<std::uint8_t>(Sequence::stop_on_drive));
    ASSERT_NE(stop, nullptr);
    EXPECT_EQ(stop->why, Reason::exercise_due);
    EXPECT_NEAR(stop->values[0], 2.0, 1e-3) << "hours idle";
    EXPECT_EQ(watch.state(0), PumpState::off);
}

}  // namespace
}  // namespace freshet::core
