// A line start of one pump while another pump runs on the drive.
// One reason to change: what a line start leaves alone, or what ends a line start.
#include <gtest/gtest.h>

#include "controller/core/permissives.hpp"
#include "controller/core/staging_situation.hpp"
#include "controller/core/transfer_impossible.hpp"
#include "tests/unit/core/line_starts.hpp"
#include "tests/unit/core/step_stand.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

constexpr std::uint8_t drive_pump = 1;

/// Pump 1 is being started on the line. Pump 2 runs steadily on the drive.
struct BesideDrivePump : StepStand {
    BesideDrivePump() : StepStand(row_of(Step::line_start_close)) {
        state.drive_pump = drive_pump;
        state.pumps[drive_pump].state = PumpState::on_drive;
        doubles::compose(state, {picture, sync(), stand_minimum_hz}, stand_minimum_hz, settings, advice);
        settle();
    }
    bool drive_pump_is_fed() const {
        return advice.drive_run && advice.output_close && advice.pumps[drive_pump].drive_side_close &&
               advice.speed_hz == stand_minimum_hz;
    }
    int events(EventKind what) const {
        int count = 0;
        for (std::size_t i = 0; i < advice.event_count; ++i) count += advice.events[i].what == what ? 1 : 0;
        return count;
    }
};

TEST(FailedDrive, is_not_tried_again_while_the_water_is_in_danger_and_line_starts_serve) {
    Watch watch(four_pumps_with_line_starts());
    watch.station.output.fault.does_not_close = true;
    watch.station.level_m = watch.settings().marks.high_alarm_m + 0.1;
    watch.station.inflow_m3s = 5.0;  // more than all pumps carry
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::output_does_not_close); }, 1_min));
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 3; }, 5_min));
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 1U);
}

TEST(LineStart, leaves_the_drive_and_its_pump_alone) {
    BesideDrivePump stand;
    stand.scan_without_confirmation();
    EXPECT_TRUE(stand.advice.pumps[stand_pump].line_side_close);
    EXPECT_FALSE(stand.advice.pumps[stand_pump].drive_side_close);
    EXPECT_TRUE(stand.drive_pump_is_fed());
    EXPECT_EQ(stand.advice.drive_pump, drive_pump);
}

TEST(LineStart, is_the_sequence_that_the_advice_names_while_no_sequence_of_the_drive_is_under_way) {
    BesideDrivePump stand;
    stand.scan_without_confirmation();
    EXPECT_EQ(stand.advice.sequence, Sequence::line_start);
    EXPECT_EQ(stand.advice.step, Step::line_start_close);
    EXPECT_EQ(stand.advice.sequence_pump, stand_pump);
}

TEST(LineStart, ends_with_both_pumps_running) {
    BesideDrivePump stand;
    EXPECT_TRUE(stand.recover());
    EXPECT_EQ(stand.state.pumps[stand_pump].state, PumpState::on_line);
    EXPECT_EQ(stand.state.pumps[drive_pump].state, PumpState::on_drive);
    EXPECT_TRUE(stand.drive_pump_is_fed());
    EXPECT_EQ(stand.advice.sequence, Sequence::none);
}

TEST(LineStart, counts_as_a_start_and_as_a_line_start_of_its_pump) {
    BesideDrivePump stand;
    stand.scan_without_confirmation();
    EXPECT_EQ(stand.state.pumps[stand_pump].starts_total, 1U);
    EXPECT_EQ(stand.state.pumps[stand_pump].line_starts_total, 1U);
    EXPECT_EQ(stand.state.last_line_start_ms, start_ms);
    EXPECT_EQ(stand.state.pumps[drive_pump].starts_total, 0U);
}

TEST(LineStart, that_fails_leaves_the_drive_pump_running) {
    BesideDrivePump stand;
    constexpr std::int64_t most_ms = 2_min;
    while (stand.step() == Step::line_start_close && stand.now_ms - start_ms < most_ms)
        stand.scan_without_confirmation();
    EXPECT_EQ(stand.step(), Step::line_start_withdraw);
    EXPECT_FALSE(stand.advice.pumps[stand_pump].line_side_close);
    EXPECT_TRUE(stand.drive_pump_is_fed());
}

TEST(LineStart, continues_while_the_lost_drive_stops_its_pump) {
    BesideDrivePump stand;
    stand.pass();
    stand.settle();
    stand.deny(Condition::running_on_line);
    stand.picture.drive_tripped = true;
    stand.scan();
    EXPECT_FALSE(stand.advice.drive_run);
    EXPECT_EQ(stand.state.main.sequence, Sequence::stop_on_drive);
    EXPECT_EQ(stand.advice.sequence, Sequence::stop_on_drive) << "the sequence of the drive is named first";
    EXPECT_TRUE(stand.advice.pumps[stand_pump].line_side_close);
    EXPECT_EQ(stand.state.pumps[stand_pump].state, PumpState::starting);
}

TEST(LineStart, is_withdrawn_when_the_drive_side_of_its_motor_is_read_closed) {
    StepStand stand(row_of(Step::line_start_close));
    stand.pass();
    stand.settle();
    stand.picture.drive_side_closed = bit_of(stand_pump);
    stand.picture.drive_side_open = static_cast<PumpMask>(0x0F & ~bit_of(stand_pump));
    stand.scan();
    EXPECT_EQ(stand.step(), Step::line_start_withdraw);
    EXPECT_FALSE(stand.advice.pumps[stand_pump].line_side_close);
}

TEST(LineStart, is_withdrawn_by_an_emergency_stop_in_the_scan_that_stops_the_drive_pump) {
    BesideDrivePump stand;
    stand.pass();
    stand.settle();
    stand.deny(Condition::running_on_line);
    stand.stop_all_pumps(Permissive::emergency_stop, Reason::emergency_stop);
    EXPECT_FALSE(stand.advice.pumps[stand_pump].line_side_close);
    EXPECT_FALSE(stand.advice.drive_run);
    EXPECT_EQ(stand.step(), Step::line_start_withdraw);
    EXPECT_EQ(stand.state.main.sequence, Sequence::stop_on_drive);
    EXPECT_EQ(stand.events(EventKind::protective_stop), 1) << "all stops share one event";
    EXPECT_TRUE(stand.recover());
    EXPECT_EQ(stand.state.pumps[stand_pump].attempts, 0) << "a protective stop is no failure of the pump";
}

TEST(LinePumps, include_a_pump_that_starts_on_the_line_and_exclude_a_pump_that_stops) {
    BesideDrivePump stand;
    stand.pass();
    stand.settle();
    stand.picture.on_line = 1;  // the contact of the starting pump reads closed
    const StagingInputs inputs;
    const FlowTable flows(stand.settings);
    const StagingTimers before;
    const Situation at{stand.state, stand.picture, inputs, flows, stand.settings, before};
    EXPECT_EQ(at.line_pumps(), 1);
    stand.state.line_run[stand_pump].step = Step::line_start_withdraw;
    stand.state.pumps[stand_pump].state = PumpState::stopping;
    EXPECT_EQ(at.line_pumps(), 0);
}

/// A station at rest with a usable drive.
struct AtRest {
    Settings settings = doubles::four_pumps();
    SequencerState state;
    Picture picture;

    AtRest() {
        picture.time_ms = start_ms;
        picture.drive_side_open = picture.line_side_open = 0x0F;
        picture.output_open = picture.drive_stopped = picture.drive_known = true;
    }
    void put_on_drive(std::uint8_t which) {
        state.drive_pump = which;
        state.pumps[which].state = PumpState::on_drive;
        picture.drive_side_closed = bit_of(which);
        picture.drive_side_open = static_cast<PumpMask>(0x0F & ~bit_of(which));
        picture.output_open = picture.drive_stopped = false;
        picture.output_closed = picture.drive_running = true;
    }
    bool serves() const { return line_start_serves(state, picture, settings); }
};

TEST(LineStartServes, only_while_the_free_drive_cannot_take_a_motor) {
    EXPECT_FALSE(AtRest{}.serves());
    const auto with = [](void (*change)(AtRest&)) {
        AtRest station;
        change(station);
        return station.serves();
    };
    EXPECT_TRUE(with([](AtRest& s) { s.picture.drive_tripped = true; }));
    EXPECT_TRUE(with([](AtRest& s) { s.picture.drive_known = false; }));
    EXPECT_TRUE(with([](AtRest& s) { s.state.drive_locked_out = true; }));
    EXPECT_TRUE(with([](AtRest& s) { s.state.drive_retry_after_ms = start_ms + 1; }));
    EXPECT_TRUE(with([](AtRest& s) { s.picture.output_open = false; }));
    EXPECT_TRUE(with([](AtRest& s) { s.picture.drive_stopped = false; }));
}

TEST(LineStartServes, next_to_a_drive_pump_only_after_a_failed_transfer) {
    AtRest station;
    station.put_on_drive(0);
    EXPECT_FALSE(station.serves());
    station.state.transfer_attempts = 1;
    EXPECT_TRUE(station.serves());
}

TEST(LineStartServes, next_to_a_drive_pump_whose_line_side_is_stuck_until_its_transfer_pause_is_over) {
    AtRest station;
    station.put_on_drive(0);
    for (PumpRecord& one : station.state.pumps) one.hand_over_after_ms = start_ms + 1;
    station.state.latched_pump[1] = alarm_bit(PumpAlarm::line_side_does_not_close);
    EXPECT_FALSE(station.serves()) << "the line side of another pump does not matter";
    station.state.latched_pump[0] = alarm_bit(PumpAlarm::line_side_does_not_close);
    EXPECT_TRUE(station.serves());
    station.state.pumps[0].hand_over_after_ms = start_ms;
    EXPECT_FALSE(station.serves());
}

TEST(Transfers, are_impossible_after_as_many_failures_as_the_settings_name_until_the_pause_is_over) {
    AtRest station;
    const auto impossible = [&](int attempts, std::int64_t retry_after_ms) {
        station.state.transfer_attempts = static_cast<std::uint8_t>(attempts);
        station.state.transfer_retry_after_ms = retry_after_ms;
        return transfers_are_impossible(station.state, station.settings, start_ms);
    };
    const int most = station.settings.step.attempts_max;
    EXPECT_TRUE(impossible(most, start_ms + 1));
    EXPECT_FALSE(impossible(most - 1, start_ms + 1));
    EXPECT_FALSE(impossible(most, start_ms));
}

}  // namespace
}  // namespace freshet::core
