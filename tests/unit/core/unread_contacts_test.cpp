// Sequences whose confirmation is not read, because the link or a contact is lost. An unread contact is
// neither a fault of the contactor nor a permission to start. One reason to change: how a step without
// readings ends.
#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Number of active alarms of the station and of every pump.
int active_alarms(const Watch& watch) {
    int active = __builtin_popcount(watch.advice->station_alarms);
    for (const std::uint16_t word : watch.advice->pump_alarms) active += __builtin_popcount(word);
    return active;
}

TEST(LostLink, in_an_emergency_stop_locks_out_no_pump_whose_contactors_opened) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.run_for(3_min);
    watch.station.emergency_stop = true;
    watch.scan_once();
    watch.scan_once();
    watch.station.link_lost = true;
    watch.run_for(10_s);
    EXPECT_EQ(watch.advice->station_alarms, alarm_bit(StationAlarm::link_lost));
    EXPECT_EQ(active_alarms(watch), 1);
    watch.station.link_lost = false;
    watch.station.emergency_stop = false;
    watch.scan_once();
    watch.reset_emergency_stop();
    watch.run_for(10_s);
    for (const std::size_t pump : {0U, 1U}) {
        EXPECT_EQ(watch.state(pump), PumpState::off) << pump;
        EXPECT_FALSE(watch.alarm(pump, PumpAlarm::locked_out)) << pump;
    }
    EXPECT_EQ(watch.advice->station_alarms, alarm_bit(StationAlarm::limit_yields))
        << "the well fills, so that another pump starts before its rest is over";
    EXPECT_EQ(active_alarms(watch), 1);
}

TEST(LostLink, in_a_stop_on_the_drive_leaves_the_pump_unavailable_until_it_is_read) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until_step(Step::stop_open_output, 60_min));
    watch.station.link_lost = true;
    watch.run_for(40_s);
    EXPECT_EQ(watch.state(0), PumpState::unavailable);
    EXPECT_FALSE(watch.advice->output_close || watch.advice->pumps[0].drive_side_close);
    EXPECT_EQ(active_alarms(watch), 1) << "the lost link";
    watch.station.link_lost = false;
    watch.run_for(2_s);
    EXPECT_EQ(watch.state(0), PumpState::off);
}

TEST(LostLink, in_a_start_has_one_alarm_and_withdraws_the_start) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    ASSERT_TRUE(watch.run_until_step(Step::start_run, 2_min));
    watch.station.link_lost = true;
    watch.run_for(3_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::link_lost));
    EXPECT_EQ(active_alarms(watch), 1);
    EXPECT_FALSE(watch.advice->drive_run || watch.advice->output_close);
    watch.station.link_lost = false;
    watch.run_for(2_s);
    EXPECT_EQ(watch.state(0), PumpState::off);
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->drive_pump != no_pump; }, 2_min))
        << "the start is repeated";
}

TEST(LostLink, leaves_a_pump_unavailable_whose_contactor_did_not_open_meanwhile) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.line_side[0].fault.does_not_open = true;
    watch.station.emergency_stop = true;
    watch.scan_once();
    watch.station.link_lost = true;
    watch.run_for(10_s);
    watch.station.link_lost = watch.station.emergency_stop = false;
    watch.run_for(10_s);
    EXPECT_EQ(watch.state(0), PumpState::unavailable);
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::runs_unadvised));
}

TEST(SilentContact, does_not_prevent_the_lock_out_for_a_contactor_that_is_seen_closed) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until_step(Step::stop_open_output, 60_min));
    const std::uint8_t pump = watch.advice->sequence_pump;
    watch.station.drive_side[pump].fault.silent = true;
    watch.station.line_side[pump].closed = watch.station.line_side[pump].ordered = true;
    watch.station.line_side[pump].fault.does_not_open = true;
    ASSERT_TRUE(watch.run_until_state(pump, PumpState::locked_out, 1_min));
    EXPECT_TRUE(watch.alarm(pump, PumpAlarm::line_side_does_not_open)) << "the line side is seen closed";
    EXPECT_FALSE(watch.alarm(pump, PumpAlarm::drive_side_does_not_open));
}

TEST(SilentContact, of_a_stopped_pump_prevents_its_start_in_every_scan) {
    Settings settings = doubles::four_pumps();
    settings.line_start = {.allowed = true,
                           .spacing_ms = 0,
                           .supply_dip_max_ratio = 0.15,
                           .short_circuit_va = 100e6,
                           .locked_rotor_current_ratio = 6};
    settings.permissives.rest_min_ms = settings.permissives.residual_voltage_ms = 0;
    settings.restart.spacing_ms = 0;
    for (int later = 0; later < 10; ++later) {
        Watch watch(settings);
        watch.station.drive_fault.not_ready = true;
        watch.station.level_m = 2.5;
        watch.station.inflow_m3s = 0.6;
        for (std::size_t pump = 1; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;
        ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 3_min));
        watch.run_for(10_s);
        for (int scan = 0; scan < later; ++scan) watch.scan_once();
        watch.station.line_side[0].fault.silent = true;
        watch.station.pump_tripped[0] = true;
        watch.scan_once();
        watch.station.pump_tripped[0] = false;
        for (const std::int64_t end = watch.station.now_ms + 10_s; watch.station.now_ms < end;) {
            watch.scan_once();
            ASSERT_FALSE(watch.advice->pumps[0].line_side_close) << later;
            ASSERT_NE(watch.state(0), PumpState::off) << "the pump is never free to start";
        }
        EXPECT_EQ(watch.state(0), PumpState::unavailable);
        EXPECT_FALSE(watch.alarm(0, PumpAlarm::locked_out));
        watch.station.line_side[0].fault.silent = false;
        EXPECT_TRUE(watch.run_until_state(0, PumpState::on_line, 2_min))
            << "the pump starts when its contact is read";
    }
}

/// A link that the field side has just lost: only the cause has changed; value, time and quality are the
/// last.
class LastReadings {
  public:
    explicit LastReadings(Watch& watch) {
        watch.on_the_way = [this](Inputs& inputs) { pass(inputs); };
    }
    bool lost = false;

  private:
    void pass(Inputs& inputs) {
        if (!lost) {
            pumps_ = inputs.pumps;
            drive_ = inputs.drive;
            read_ms_ = inputs.time_ms;
            return;
        }
        inputs.pumps = pumps_;
        inputs.drive = drive_;
        grow_old(inputs, age_at_ms(inputs.time_ms, read_ms_));
        inputs.drive.running.cause = inputs.drive.output_closed.cause = Cause::link_lost;
        for (PumpInputs& pump : inputs.pumps)
            pump.drive_side_closed.cause = pump.line_side_closed.cause = Cause::link_lost;
    }
    static void grow_old(Inputs& inputs, std::int32_t age_ms) {
        const auto grow = [age_ms](auto&... readings) { ((readings.age_ms = age_ms), ...); };
        DriveInputs& drive = inputs.drive;
        grow(drive.ready, drive.running, drive.tripped, drive.in_sync, drive.output_closed,
             drive.frequency_hz, drive.voltage_v, drive.angle_deg);
        for (PumpInputs& pump : inputs.pumps)
            grow(pump.drive_side_closed, pump.line_side_closed, pump.tripped, pump.seal_leak, pump.selector,
                 pump.current_a, pump.winding_temperature_k);
    }

    std::array<PumpInputs, pumps_max> pumps_{};
    DriveInputs drive_;
    std::int64_t read_ms_ = never_ms;
};

bool has_alarm_that_a_contactor_does_not_open(const Watch& watch) {
    constexpr unsigned of_pump =
        alarm_bit(PumpAlarm::drive_side_does_not_open) | alarm_bit(PumpAlarm::line_side_does_not_open);
    bool alarmed = watch.alarm(StationAlarm::output_does_not_open);
    for (const std::uint16_t word : watch.advice->pump_alarms) alarmed = alarmed || (word & of_pump) != 0;
    return alarmed;
}

TEST(LastReading, from_before_an_emergency_stop_does_not_lock_a_pump_out) {
    Watch watch;
    LastReadings link(watch);
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.run_for(3_min);
    watch.station.emergency_stop = true;
    watch.scan_once();
    link.lost = true;
    EXPECT_FALSE(watch.run_until(
        [&] {
            return has_alarm_that_a_contactor_does_not_open(watch) || watch.alarm(0, PumpAlarm::locked_out) ||
                   watch.alarm(1, PumpAlarm::locked_out);
        },
        10_s));
    link.lost = watch.station.emergency_stop = false;
    watch.scan_once();
    watch.reset_emergency_stop();
    watch.run_for(10_s);
    for (const std::size_t pump : {0U, 1U}) EXPECT_EQ(watch.state(pump), PumpState::off) << pump;
    EXPECT_EQ(active_alarms(watch), 0);
}

TEST(LastReading, that_is_renewed_within_the_step_and_shows_closed_locks_the_pump_out) {
    Watch watch;
    LastReadings link(watch);
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.line_side[0].fault.does_not_open = true;
    watch.station.emergency_stop = true;
    watch.scan_once();
    link.lost = true;
    watch.scan_once();
    link.lost = false;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::locked_out, 2_s));
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::line_side_does_not_open));
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::locked_out));
}

/// Disturbs every start on the drive until it ends, as often as a drive may fail.
void fail_starts(Watch& watch, const std::function<void(bool)>& disturb) {
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.2;
    for (int attempt = 0; attempt < watch.settings().step.attempts_max; ++attempt) {
        ASSERT_TRUE(watch.run_until_step(Step::start_run, 5_min)) << attempt;
        disturb(true);
        ASSERT_TRUE(watch.run_until([&] { return watch.advice->sequence == Sequence::none; }, 5_min));
        const std::int64_t ended_ms = watch.station.now_ms;
        disturb(false);
        ASSERT_TRUE(watch.run_until([&] { return watch.advice->sequence != Sequence::none; }, 5_min));
        EXPECT_GE(watch.station.now_ms - ended_ms, watch.settings().step.retry_pause_ms)
            << "the drive pauses";
    }
}

/// After the attempts neither the drive nor a pump has an alarm or a lock-out.
void expect_no_lock_out(Watch& watch) {
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->sequence == Sequence::none; }, 2_min));
    watch.run_for(20_s);  // the alarm that a limit refused the start returns
    EXPECT_EQ(watch.advice->station_alarms, 0U);
    for (const auto word : watch.advice->pump_alarms) EXPECT_EQ(word, 0);
    for (std::size_t pump = 0; pump < 4; ++pump) EXPECT_NE(watch.state(pump), PumpState::locked_out) << pump;
    EXPECT_NE(watch.advice->drive_pump, no_pump) << "the next start succeeds";
}

TEST(LostLink, in_every_attempt_to_start_does_not_lock_the_drive_out) {
    Watch watch;
    fail_starts(watch, [&](bool disturbed) { watch.station.link_lost = disturbed; });
    expect_no_lock_out(watch);
}

TEST(SilentSpeed, of_a_running_drive_does_not_lock_the_drive_out) {
    Watch watch;
    bool silent = false;
    watch.on_the_way = [&](Inputs& inputs) {
        if (silent) inputs.drive.frequency_hz.quality = Quality::bad;
    };
    fail_starts(watch, [&](bool disturbed) { silent = disturbed; });
    expect_no_lock_out(watch);
}

TEST(DriveSide, that_does_not_open_after_a_drive_trip_counts_against_the_drive_too) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.2;
    ASSERT_TRUE(watch.run_until_step(Step::start_run, 2_min));
    watch.station.drive_side[0].fault.does_not_open = true;
    watch.station.drive_fault.trips = true;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::locked_out, 1_min));
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::drive_side_does_not_open));
    EXPECT_EQ(watch.retained().drive_attempts, 1);
}

}  // namespace
}  // namespace freshet::core
