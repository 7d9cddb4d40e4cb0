// Rare cases of the scan: values outside their range, speeds that a controller adopts or raises, floats that
// contradict each other, signals that were never read. One reason to change: the order of the rules of a
// scan.
#include "controller/core/controller.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

TEST(ValueOverItsRange, is_used_and_starts_a_pump) {
    Watch watch;
    for (doubles::TransmitterFault& fault : watch.station.level_fault) fault.loop_ma = 20.7;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 3_min));
    EXPECT_EQ(watch.advice->measured_quality, Quality::uncertain);
    EXPECT_EQ(watch.advice->measured_cause, Cause::over_range);
}

/// Gives a fixed level in metres instead of the station's level.
void give_m(Watch& watch, double level_m) {
    watch.on_the_way = [level_m](Inputs& inputs) {
        for (Transmitter& level : inputs.level) {
            level.loop_ma = std::nan("");
            level.reading.value = level_m;
        }
    };
}

TEST(ValueOverItsRange, in_metres_starts_more_pumps_in_a_flood) {
    Watch watch;
    give_m(watch, 5.6);  // of 0 to 5 m
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 2; }, 20_min));
    EXPECT_EQ(watch.advice->service, Service::normal);
    EXPECT_EQ(watch.advice->measured_quality, Quality::uncertain);
    EXPECT_EQ(watch.advice->measured_cause, Cause::over_range);
    EXPECT_EQ(watch.advice->measured_m, 5.6);
    EXPECT_TRUE(watch.alarm(StationAlarm::value_high));
    EXPECT_FALSE(watch.alarm(StationAlarm::transmitter_1));
}

TEST(ValueUnderItsRange, of_a_tank_starts_a_pump) {
    Settings settings = doubles::four_pumps_filling_a_tank();
    settings.floats.fitted = false;
    Watch watch(settings);
    give_m(watch, -0.3);
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 3_min));
    EXPECT_EQ(watch.advice->measured_quality, Quality::uncertain);
    EXPECT_EQ(watch.advice->measured_cause, Cause::under_range);
}

TEST(ValueUnderItsRange, of_a_well_starts_no_pump) {
    Watch watch;
    give_m(watch, -0.3);
    watch.run_for(3_min);
    EXPECT_EQ(watch.advice->measured_cause, Cause::under_range);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 0U);
    EXPECT_TRUE(watch.alarm(StationAlarm::value_low_cutoff));
}

TEST(UncertainValue, of_another_cause_starts_no_pump) {
    Watch watch;
    watch.station.level_m = 2.5;
    watch.on_the_way = [](Inputs& inputs) {
        for (Transmitter& level : inputs.level) {
            level.reading.quality = Quality::uncertain;
            level.reading.cause = Cause::device_exception;
        }
    };
    watch.run_for(3_min);
    EXPECT_EQ(watch.advice->measured_cause, Cause::device_exception);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 0U);
}

TEST(Floats, that_call_and_stop_at_once_start_a_pump_because_the_float_that_calls_outvotes_the_other) {
    Watch watch;
    watch.station.level_quality = {Quality::bad, Quality::bad};
    watch.station.high_float_fault.stuck_on = true;
    watch.station.low_float_fault.stuck_off = true;
    watch.run_for(5_min);
    EXPECT_EQ(watch.advice->service, Service::floats);
    EXPECT_GE(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 1U);
    EXPECT_TRUE(watch.alarm(StationAlarm::witnesses_contradict));
}

TEST(AlarmValues, have_no_age_for_a_value_that_was_never_read) {
    Watch watch;
    for (doubles::TransmitterFault& fault : watch.station.level_fault) fault.stops_reading = true;
    watch.run_for(10_s);
    for (const StationAlarm code : {StationAlarm::value_bad, StationAlarm::transmitter_1}) {
        const Event* event = watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(code));
        ASSERT_NE(event, nullptr);
        EXPECT_TRUE(std::isnan(event->values[1]));
    }
}

// Contacts that are not read
// ------------------------------------------------------------

TEST(SilentContact, of_an_idle_pump_prevents_every_start_and_is_alarmed_until_it_is_read) {
    Watch watch;
    watch.run_for(1_min);
    ASSERT_EQ(watch.advice->service, Service::normal);
    watch.station.drive_side[2].fault.silent = true;
    watch.station.level_m = 2.5;
    watch.station.inflow_m3s = 0.6;
    watch.run_for(14_s);
    EXPECT_FALSE(watch.alarm(StationAlarm::picture_inconsistent));
    watch.run_for(3_s);
    EXPECT_TRUE(watch.alarm(StationAlarm::picture_inconsistent));
    watch.run_for(10_min);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 0U);
    EXPECT_EQ(watch.state(2), PumpState::unavailable);

    watch.station.drive_side[2].fault.silent = false;
    EXPECT_TRUE(watch.run_until([&] { return !watch.alarm(StationAlarm::picture_inconsistent); }, 10_s));
    EXPECT_TRUE(watch.run_until_state(0, PumpState::on_drive, 3_min));
}

TEST(SilentDrive, is_alarmed_until_it_is_read) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.drive_fault.silent = true;
    EXPECT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::picture_inconsistent); }, 20_s));
    watch.station.drive_fault.silent = false;
    EXPECT_TRUE(watch.run_until([&] { return !watch.alarm(StationAlarm::picture_inconsistent); }, 10_s));
}

TEST(LostLink, is_one_alarm_though_no_contact_is_read) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.link_lost = true;
    watch.run_for(1_min);
    EXPECT_EQ(watch.advice->station_alarms, alarm_bit(StationAlarm::link_lost));
}

// Minimum-flow speed
// ------------------------------------------------------------

Settings with_pressure_limit_of_40_m() {
    Settings settings = doubles::four_pumps();
    settings.pressure_transmitter = {true, 0, 50};
    settings.permissives.discharge_pressure_max_m = 40;
    settings.permissives.discharge_pressure_hold_ms = 2'000;
    return settings;
}

TEST(PressureLimit, holds_the_speed_at_or_above_the_minimum_flow_speed) {
    Watch watch(with_pressure_limit_of_40_m());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->speed_hz < watch.advice->minimum_flow_hz + 0.05; },
                                30_min));
    watch.station.header_pressure_m = 45;
    watch.run_for(5_s);
    ASSERT_TRUE(watch.alarm(StationAlarm::discharge_pressure_high));
    const double before_hz = watch.advice->minimum_flow_hz;
    watch.station.inflow_m3s = -0.5;  // the well falls faster than the pump draws, and the lift grows
    watch.run_for(1_min);
    ASSERT_EQ(watch.state(0), PumpState::on_drive);
    EXPECT_GT(watch.advice->minimum_flow_hz, before_hz + 0.05);
    EXPECT_NEAR(watch.advice->speed_hz, watch.advice->minimum_flow_hz, 0.05);
}

TEST(PressureLimit, exceeded_at_a_restart_leaves_the_drive_pump_at_its_speed) {
    Watch watch(with_pressure_limit_of_40_m());
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(2_min);
    const double found_hz = watch.station.drive_hz;
    watch.station.header_pressure_m = 45;
    watch.restart();
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 10_s));
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_high));
    EXPECT_NEAR(watch.advice->speed_hz, found_hz, 0.3);
    const double adopted_hz = watch.advice->speed_hz;
    watch.station.inflow_m3s = 2;
    watch.run_for(1_min);
    EXPECT_LE(watch.advice->speed_hz, adopted_hz) << "the speed does not rise";
}

TEST(Hold, raises_the_speed_of_the_drive_pump_when_another_pump_raises_the_header_head) {
    Settings settings = doubles::four_pumps();
    settings.floats.fitted = false;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->speed_hz < watch.advice->minimum_flow_hz + 0.05; },
                                30_min));
    watch.station.level_quality = {Quality::bad, Quality::bad};
    watch.run_for(10_s);
    ASSERT_EQ(watch.advice->service, Service::hold);
    const double before_hz = watch.advice->speed_hz;
    watch.station.selector[3] = Selector::hand;
    watch.on_the_way = [](Inputs& inputs) {  // an operator runs pump 4 by hand
        inputs.pumps[3].line_side_closed.on = true;
    };
    watch.run_for(30_s);
    ASSERT_EQ(watch.advice->service, Service::hold);
    EXPECT_GT(watch.advice->minimum_flow_hz, before_hz);
    EXPECT_NEAR(watch.advice->speed_hz, watch.advice->minimum_flow_hz, 0.02);
}

// The duty holds a pressure, and the pressure has a limit
// ------------------------------------------------------------

Settings holding_a_pressure() {
    Settings settings = doubles::four_pumps_holding_a_pressure();
    settings.marks.low_cutoff_m = 48;
    settings.permissives.discharge_pressure_max_m = 40;
    return settings;
}

TEST(PressureLimit, is_judged_by_the_measured_value_where_a_pressure_is_held) {
    Watch watch(holding_a_pressure());
    watch.station.header_pressure_m = 26;
    watch.run_for(20_s);
    EXPECT_FALSE(watch.alarm(StationAlarm::discharge_pressure_high));
    watch.station.header_pressure_m = 41;
    watch.run_for(20_s);
    EXPECT_TRUE(watch.alarm(StationAlarm::discharge_pressure_high));
    const Event* event =
        watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(StationAlarm::discharge_pressure_high));
    EXPECT_NEAR(event->values[0], 41, 0.01);
}

TEST(AllPumpsRunning, is_alarmed_with_its_reason_when_the_inflow_needs_more) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 6;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::all_pumps_running); }, 60 * 60_s));
    EXPECT_EQ(
        watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(StationAlarm::all_pumps_running))->why,
        Reason::no_pump_left);
}

}  // namespace
}  // namespace freshet::core
