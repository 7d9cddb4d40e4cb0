// What a repair resets. People repair a pump with its selector at off (lock out, tag out: common practice),
// so the selector at off resets the latched faults. One reason to change: what resets a latched fault.
#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Pump 1 runs on the drive, and its line-side contactor does not close.
struct Stuck : Watch {
    bool found() {
        if (!one_on_drive()) return false;
        station.line_side[0].fault.does_not_close = true;
        station.inflow_m3s = 1.4;
        return run_until([&] { return alarm(0, PumpAlarm::line_side_does_not_close); }, 30_min);
    }
};

TEST(Repair, with_the_selector_at_off_resets_a_line_side_that_did_not_close) {
    Stuck watch;
    ASSERT_TRUE(watch.found());
    watch.station.selector[0] = Selector::off;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::unavailable, 2_min));
    watch.run_for(1_s);
    EXPECT_FALSE(watch.alarm(0, PumpAlarm::line_side_does_not_close));
    watch.station.selector[0] = Selector::automatic;
    watch.run_for(1_min);
    EXPECT_FALSE(watch.alarm(0, PumpAlarm::line_side_does_not_close));
}

TEST(Repair, resets_the_alarm_of_failed_hand_overs) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.drive_fault.never_in_sync = true;
    watch.station.inflow_m3s = 1.4;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(0, PumpAlarm::hand_over_failed); }, 60_min));
    watch.station.drive_fault.never_in_sync = false;
    watch.station.selector[0] = Selector::off;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::unavailable, 2_min));
    watch.run_for(1_s);
    EXPECT_FALSE(watch.alarm(0, PumpAlarm::hand_over_failed));
}

TEST(Repair, is_not_assumed_with_the_selector_at_hand) {
    Stuck watch;
    ASSERT_TRUE(watch.found());
    watch.station.selector[0] = Selector::hand;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::unavailable, 2_min));
    watch.run_for(1_min);
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::line_side_does_not_close));
}

TEST(Repair, leaves_the_faults_of_other_pumps_as_they_are) {
    Stuck watch;
    ASSERT_TRUE(watch.found());
    watch.station.selector[2] = Selector::off;
    watch.run_for(1_min);
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::line_side_does_not_close));
}

TEST(Repair, resets_the_count_of_failed_starts_before_a_lock_out) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.drive_side[0].fault.does_not_close = true;
    for (std::size_t pump = 1; pump < 4; ++pump) watch.station.pump_tripped[pump] = true;
    const auto fail = [&] {
        const std::size_t before = watch.count(EventKind::sequence_withdrawn, Sequence::start_on_drive);
        return watch.run_until(
            [&] { return watch.count(EventKind::sequence_withdrawn, Sequence::start_on_drive) > before; },
            5_min);
    };
    ASSERT_EQ(watch.settings().step.attempts_max, 3);
    ASSERT_TRUE(fail() && fail());
    watch.station.selector[0] = Selector::off;
    watch.run_for(10_s);
    watch.station.selector[0] = Selector::automatic;
    ASSERT_TRUE(fail() && fail());
    EXPECT_NE(watch.state(0), PumpState::locked_out);
    ASSERT_TRUE(fail());
    EXPECT_EQ(watch.state(0), PumpState::locked_out);
}

}  // namespace
}  // namespace freshet::core
