// Sequences whose confirmation is not read: a lost link, or a contact that fell silent. What is not known is
// neither a fault of the contactor nor a ground to start on. One reason to change: what a step does whose
// time is over while it sees nothing.
#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Alarms that stand, of the station and of every pump.
int alarms_standing(const Watch& watch) {
    int standing = __builtin_popcount(watch.advice->station_alarms);
    for (const std::uint16_t word : watch.advice->pump_alarms) standing += __builtin_popcount(word);
    return standing;
}

TEST(LostLink, in_a_stop_of_everything_locks_no_pump_out_whose_contactors_opened) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.run_for(3_min);
    watch.station.emergency_stop = true;
    watch.scan_once();
    watch.scan_once();
    watch.station.link_lost = true;
    watch.run_for(10_s);
    EXPECT_EQ(watch.advice->station_alarms, alarm_bit(StationAlarm::link_lost));
    EXPECT_EQ(alarms_standing(watch), 1);
    watch.station.link_lost = false;
    watch.station.emergency_stop = false;
    watch.run_for(10_s);
    for (const std::size_t pump : {0U, 1U}) {
        EXPECT_EQ(watch.state(pump), PumpState::off) << pump;
        EXPECT_FALSE(watch.alarm(pump, PumpAlarm::locked_out)) << pump;
    }
    EXPECT_EQ(watch.advice->station_alarms, 0U);
    EXPECT_EQ(alarms_standing(watch), 0);
}

TEST(LostLink, in_a_stop_on_the_drive_leaves_the_pump_unavailable_until_it_is_seen_again) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until_step(Step::stop_open_output, 60_min));
    watch.station.link_lost = true;
    watch.run_for(40_s);
    EXPECT_EQ(watch.state(0), PumpState::unavailable);
    EXPECT_FALSE(watch.advice->output_close || watch.advice->pumps[0].drive_side_close);
    EXPECT_EQ(alarms_standing(watch), 1) << "the link";
    watch.station.link_lost = false;
    watch.run_for(2_s);
    EXPECT_EQ(watch.state(0), PumpState::off);
}

TEST(LostLink, in_a_start_is_one_alarm_and_withdraws_it) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    ASSERT_TRUE(watch.run_until_step(Step::start_run, 2_min));
    watch.station.link_lost = true;
    watch.run_for(3_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::link_lost));
    EXPECT_EQ(alarms_standing(watch), 1);
    EXPECT_FALSE(watch.advice->drive_run || watch.advice->output_close);
    watch.station.link_lost = false;
    watch.run_for(2_s);
    EXPECT_EQ(watch.state(0), PumpState::off);
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->drive_pump != no_pump; }, 2_min))
        << "the start is made anew";
}

TEST(LostLink, over_which_a_contactor_did_not_open_leaves_its_pump_unavailable_when_it_is_read_again) {
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

TEST(SilentContact, beside_one_that_is_seen_closed_leaves_the_lock_out_as_it_is) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until_step(Step::stop_open_output, 60_min));
    const std::uint8_t pump = watch.advice->sequence_pump;
    watch.station.drive_side[pump].fault.silent = true;
    watch.station.line_side[pump].closed = watch.station.line_side[pump].ordered = true;
    watch.station.line_side[pump].fault.does_not_open = true;
    ASSERT_TRUE(watch.run_until_state(pump, PumpState::locked_out, 1_min));
    EXPECT_TRUE(watch.alarm(pump, PumpAlarm::line_side_does_not_open)) << "that one is seen closed";
    EXPECT_FALSE(watch.alarm(pump, PumpAlarm::drive_side_does_not_open));
}

TEST(SilentContact, of_a_pump_whose_stop_has_ended_lets_no_start_begin_in_any_scan) {
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
            ASSERT_NE(watch.state(0), PumpState::off) << "in no scan is it one that may be started";
        }
        EXPECT_EQ(watch.state(0), PumpState::unavailable);
        EXPECT_FALSE(watch.alarm(0, PumpAlarm::locked_out));
        watch.station.line_side[0].fault.silent = false;
        EXPECT_TRUE(watch.run_until_state(0, PumpState::on_line, 2_min)) << "it may start when it is read";
    }
}

/// A link that is lost as the field side tells it: the cause says so at once, value, time and quality stand.
class StandingReadings {
  public:
    explicit StandingReadings(Watch& watch) {
        watch.on_the_way = [this](Inputs& inputs) { pass(inputs); };
    }
    bool lost = false;

  private:
    void pass(Inputs& inputs) {
        if (!lost) {
            pumps_ = inputs.pumps;
            drive_ = inputs.drive;
            return;
        }
        inputs.pumps = pumps_;
        inputs.drive = drive_;
        inputs.drive.running.cause = inputs.drive.output_closed.cause = Cause::link_lost;
        for (PumpInputs& pump : inputs.pumps)
            pump.drive_side_closed.cause = pump.line_side_closed.cause = Cause::link_lost;
    }
    std::array<PumpInputs, pumps_max> pumps_{};
    DriveInputs drive_;
};

bool says_that_something_does_not_open(const Watch& watch) {
    constexpr unsigned of_pump =
        alarm_bit(PumpAlarm::drive_side_does_not_open) | alarm_bit(PumpAlarm::line_side_does_not_open);
    bool said = watch.alarm(StationAlarm::output_does_not_open);
    for (const std::uint16_t word : watch.advice->pump_alarms) said = said || (word & of_pump) != 0;
    return said;
}

TEST(StandingReading, made_before_a_stop_of_everything_is_no_evidence_against_a_contactor) {
    Watch watch;
    StandingReadings link(watch);
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.run_for(3_min);
    watch.station.emergency_stop = true;
    watch.scan_once();
    link.lost = true;
    EXPECT_FALSE(watch.run_until(
        [&] {
            return says_that_something_does_not_open(watch) || watch.alarm(0, PumpAlarm::locked_out) ||
                   watch.alarm(1, PumpAlarm::locked_out);
        },
        10_s));
    link.lost = watch.station.emergency_stop = false;
    watch.run_for(10_s);
    for (const std::size_t pump : {0U, 1U}) EXPECT_EQ(watch.state(pump), PumpState::off) << pump;
    EXPECT_EQ(alarms_standing(watch), 0);
}

TEST(StandingReading, that_comes_alive_within_the_step_and_says_closed_locks_the_pump_out) {
    Watch watch;
    StandingReadings link(watch);
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

/// Starts a pump on the drive and lets the attempt end, as often as a drive may fail.
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
        EXPECT_GE(watch.station.now_ms - ended_ms, watch.settings().step.retry_pause_ms) << "the drive rests";
    }
}

/// After the attempts the drive and every pump are as good as before.
void expect_nobody_blamed(Watch& watch) {
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->sequence == Sequence::none; }, 2_min));
    EXPECT_EQ(watch.advice->station_alarms, 0U);
    for (const auto word : watch.advice->pump_alarms) EXPECT_EQ(word, 0);
    for (std::size_t pump = 0; pump < 4; ++pump) EXPECT_NE(watch.state(pump), PumpState::locked_out) << pump;
    EXPECT_NE(watch.advice->drive_pump, no_pump) << "the next start is made";
}

TEST(LostLink, in_every_attempt_to_start_does_not_lock_the_drive_out) {
    Watch watch;
    fail_starts(watch, [&](bool disturbed) { watch.station.link_lost = disturbed; });
    expect_nobody_blamed(watch);
}

TEST(SilentSpeed, of_a_drive_that_runs_is_not_blamed_on_the_drive) {
    Watch watch;
    bool silent = false;
    watch.on_the_way = [&](Inputs& inputs) {
        if (silent) inputs.drive.frequency_hz.quality = Quality::bad;
    };
    fail_starts(watch, [&](bool disturbed) { silent = disturbed; });
    expect_nobody_blamed(watch);
}

TEST(DriveSide, that_does_not_open_after_a_lost_drive_takes_no_blame_off_the_drive) {
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
