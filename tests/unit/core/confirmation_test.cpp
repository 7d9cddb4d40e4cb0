// What confirms a step and what contradicts a running pump, in single scans of the sequencer.
// One reason to change: what counts as a confirmation or a contradiction.
#include <gtest/gtest.h>

#include "controller/core/judgement.hpp"
#include "tests/unit/core/step_stand.hpp"

namespace freshet::core {
namespace {

/// A pump that runs steadily on the drive.
struct Steady : StepStand {
    Steady() : StepStand(row_of(Step::start_run)) {
        state.main = core::Run{};
        state.drive_pump = stand_pump;
        state.pumps[stand_pump].state = PumpState::on_drive;
        doubles::compose(state, {picture, sync(), stand_minimum_hz}, stand_minimum_hz, settings, advice);
        pass();
        settle();
    }
};
void close(PumpMask& closed, PumpMask& open, std::size_t which) {
    closed = static_cast<PumpMask>(closed | bit_of(which));
    open = static_cast<PumpMask>(open & ~bit_of(which));
}

TEST(PumpOnTheDrive, keeps_running_while_no_signal_contradicts_it) {
    Steady stand;
    stand.scan();
    EXPECT_EQ(stand.step(), Step::idle);
    EXPECT_TRUE(stand.advice.drive_run && stand.advice.output_close);
}

TEST(PumpOnTheDrive, whose_bus_feeds_another_motor_too_is_stopped_with_the_output_first) {
    Steady stand;
    close(stand.picture.drive_side_closed, stand.picture.drive_side_open, stand_pump + 1);
    stand.scan();
    EXPECT_EQ(stand.step(), Step::stop_open_output);
    EXPECT_TRUE(stand.run().drive_failed);
    EXPECT_FALSE(stand.advice.output_close);
}

TEST(PumpOnTheDrive, whose_line_side_is_closed_is_stopped_with_the_output_first) {
    Steady stand;
    close(stand.picture.line_side_closed, stand.picture.line_side_open, stand_pump);
    stand.scan();
    EXPECT_EQ(stand.step(), Step::stop_open_output);
    EXPECT_FALSE(stand.run().drive_failed) << "the contactor failed, not the drive";
}

TEST(PumpOnTheDrive, whose_drive_side_or_output_is_open_is_stopped) {
    Steady side;
    close(side.picture.drive_side_open, side.picture.drive_side_closed, stand_pump);
    side.scan();
    EXPECT_EQ(side.step(), Step::stop_drive);
    EXPECT_FALSE(side.advice.drive_run);

    Steady output;
    output.picture.output_closed = false;
    output.picture.output_open = true;
    output.scan();
    EXPECT_EQ(output.step(), Step::stop_drive);
    EXPECT_FALSE(output.advice.drive_run);
}

TEST(StartOnDrive, whose_bus_feeds_another_motor_too_ends_by_the_way_of_a_lost_drive) {
    StepStand stand(row_of(Step::start_run));
    stand.pass();
    stand.settle();
    close(stand.picture.drive_side_closed, stand.picture.drive_side_open, stand_pump + 1);
    stand.scan();
    EXPECT_EQ(stand.step(), row_of(Step::start_run).on_drive_lost.step);
    EXPECT_TRUE(stand.run().drive_failed);
}

// What confirms a step
// --------------------

TEST(MinimumFlowSpeed, is_not_confirmed_by_an_unknown_speed) {
    StepStand stand(row_of(Step::start_run));
    stand.pass();
    stand.settle();
    stand.picture.drive_hz_known = false;
    stand.scan();
    EXPECT_EQ(stand.step(), Step::start_run);
}

TEST(LineFrequency, is_not_confirmed_by_a_drive_whose_running_signal_is_unknown) {
    StepStand stand(row_of(Step::over_line_frequency));
    stand.pass();
    stand.settle();
    stand.picture.drive_running = stand.picture.drive_stopped = false;
    stand.scan();
    EXPECT_EQ(stand.step(), Step::over_line_frequency);
}

TEST(LineFrequency, is_not_confirmed_by_an_unknown_speed_or_a_higher_speed) {
    StepStand stand(row_of(Step::over_line_frequency));
    stand.pass();
    stand.settle();
    stand.picture.drive_hz_known = false;
    stand.scan();
    EXPECT_EQ(stand.step(), Step::over_line_frequency);

    stand.pass();
    stand.settle();
    stand.picture.drive_hz = stand_line_hz + 2;
    stand.scan();
    EXPECT_EQ(stand.step(), Step::over_line_frequency);
}

TEST(RampDown, ends_when_the_drive_is_stopped_although_its_speed_is_unknown) {
    StepStand stand(row_of(Step::stop_ramp));
    stand.pass();
    stand.settle();
    stand.picture.drive_hz_known = stand.picture.drive_stopped = false;
    stand.scan();
    EXPECT_EQ(stand.step(), Step::stop_ramp);

    stand.pass();
    stand.settle();
    stand.picture.drive_hz_known = false;
    stand.picture.drive_stopped = true;
    stand.scan();
    EXPECT_NE(stand.step(), Step::stop_ramp);
}

TEST(LineStart, does_not_close_a_line_side_again_that_opened_while_the_motor_has_residual_voltage) {
    StepStand stand(row_of(Step::line_start_close));
    stand.settings.permissives.residual_voltage_ms = 2000;
    stand.scan_without_confirmation();
    ASSERT_EQ(stand.step(), Step::line_start_close);

    stand.pass();
    stand.settle();
    stand.deny(Condition::running_on_line);
    stand.deny(Condition::line_side_closed);
    stand.scan();
    EXPECT_EQ(stand.step(), Step::line_start_withdraw);
    EXPECT_FALSE(stand.advice.pumps[stand_pump].line_side_close);
}

TEST(Synchronism, that_begins_too_late_to_be_held_raises_not_in_sync_and_no_disagreement) {
    StepStand stand(row_of(Step::over_synchronise));
    stand.state.transfer_attempts = static_cast<std::uint8_t>(stand.settings.step.attempts_max - 1);
    while (stand.now_ms - start_ms < stand.settings.step.synchronise_ms - stand_scan_ms)
        stand.scan_without_confirmation();
    ASSERT_EQ(stand.step(), Step::over_synchronise);

    stand.pass();
    stand.in_sync = true;
    stand.settle();
    stand.scan();
    EXPECT_NE(stand.step(), Step::over_synchronise);
    EXPECT_TRUE(stand.raised(alarm(StationAlarm::not_in_sync)));
    EXPECT_FALSE(stand.raised(alarm(StationAlarm::sync_check_disagrees)));
}

TEST(TakeBack, withdrawn_with_a_drive_side_that_stays_closed_alarms_the_drive_side_and_not_the_output) {
    StepStand stand(row_of(Step::back_withdraw_output));
    while (stand.step() == Step::back_withdraw_output && stand.now_ms - start_ms < 1_min) {
        stand.pass();
        stand.settle();
        close(stand.picture.drive_side_closed, stand.picture.drive_side_open, stand_pump);
        stand.scan();
    }
    EXPECT_EQ(stand.state.pumps[stand_pump].state, PumpState::on_line);
    EXPECT_TRUE(stand.raised(alarm(PumpAlarm::drive_side_does_not_open)));
    EXPECT_FALSE(stand.raised(alarm(StationAlarm::output_does_not_open)));
}

TEST(LockOut, remains_when_the_stop_of_the_pump_fails_too) {
    StepStand stand(row_of(Step::stop_open_drive_side));
    stand.state.latched_pump[stand_pump] = alarm_bit(PumpAlarm::locked_out);
    while (stand.step() == Step::stop_open_drive_side && stand.now_ms - start_ms < 1_min)
        stand.scan_without_confirmation();
    EXPECT_EQ(stand.state.pumps[stand_pump].state, PumpState::locked_out);
    EXPECT_TRUE(stand.raised(alarm(PumpAlarm::drive_side_does_not_open)));
}

TEST(Run, that_is_idle_is_not_judged) {
    StepStand stand(row_of(Step::stop_ramp));
    stand.picture.tripped = 0x0F;
    const SequencerInputs inputs{stand.picture, stand.sync(), stand_minimum_hz};
    EXPECT_TRUE(judge(stand.run(), stand.state, inputs, stand.settings).leave);
    EXPECT_FALSE(judge(core::Run{}, stand.state, inputs, stand.settings).leave);
}

TEST(Drive, is_free_only_when_every_drive_side_and_its_output_are_known_to_be_open) {
    const Settings settings = doubles::four_pumps();
    Picture picture;
    picture.drive_side_open = 0x0F;
    picture.output_open = picture.drive_stopped = true;
    EXPECT_TRUE(drive_is_free(picture, settings));
    EXPECT_TRUE(drive_can_take(picture, settings));

    Picture unread = picture;
    unread.drive_side_open = 0x0B;
    EXPECT_FALSE(drive_is_free(unread, settings));
    EXPECT_FALSE(drive_can_take(unread, settings));
    Picture fed = picture;
    fed.output_open = false;
    EXPECT_FALSE(drive_is_free(fed, settings));
    Picture turning = picture;
    turning.drive_stopped = false;
    EXPECT_TRUE(drive_is_free(turning, settings));
    EXPECT_FALSE(drive_can_take(turning, settings));
}

TEST(StopAll, does_not_restart_the_stop_of_a_pump_that_is_being_stopped_from_the_line) {
    StepStand stand(row_of(Step::start_close_drive_side));
    constexpr std::uint8_t other = 1;
    stand.state.pumps[other].state = PumpState::on_line;
    core::Run& stop = stand.state.line_run[other];
    stop.sequence = Sequence::stop_from_line;
    stop.step = Step::line_stop_open;
    stop.pump = other;
    stop.entered_ms = start_ms;
    stand.pass();
    stand.settle();
    stand.picture.line_side_closed = bit_of(other);
    stand.picture.line_side_open = static_cast<PumpMask>(stand.picture.line_side_open & ~bit_of(other));
    stand.stop_all_pumps(Permissive::emergency_stop, Reason::emergency_stop);
    EXPECT_EQ(stop.entered_ms, start_ms);
}

}  // namespace
}  // namespace freshet::core
