// The reset after an emergency stop: who resets, when a reset has an effect, and what people are shown.
// One reason to change: what a reset is.
#include "controller/core/emergency_stop.hpp"

#include <gtest/gtest.h>

#include "tests/unit/core/line_starts.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// A station whose line starts are allowed, with one pump that ran when the emergency stop was operated.
struct Stopped : Watch {
    Stopped() : Watch(four_pumps_with_line_starts()) {
        EXPECT_TRUE(one_on_drive());
        station.emergency_stop = true;
        run_for(10_s);
    }
    std::size_t starts() const {
        return count(EventKind::sequence_begun, Sequence::start_on_drive) +
               count(EventKind::sequence_begun, Sequence::line_start);
    }
    /// Starts that begin within the time, while the water calls for pumps.
    std::size_t starts_within(std::int64_t duration_ms) {
        const std::size_t before = starts();
        for (const std::int64_t end = station.now_ms + duration_ms; station.now_ms < end;) {
            station.level_m = settings().marks.stage_up_m + 0.1;
            scan_once();
        }
        return starts() - before;
    }
    void release() { station.emergency_stop = false; }
    void press(std::int64_t duration_ms) {
        station.reset_pressed = true;
        run_for(duration_ms);
        station.reset_pressed = false;
        scan_once();
    }
    bool is_reset() const { return last(EventKind::emergency_stop_reset) != nullptr; }
};

TEST(EmergencyStopReset, is_awaited_after_the_release_with_an_alarm_a_reason_and_no_start) {
    Stopped watch;
    watch.release();
    EXPECT_EQ(watch.starts_within(1_h), 0U);
    EXPECT_TRUE(watch.alarm(StationAlarm::reset_awaited));
    EXPECT_FALSE(watch.alarm(StationAlarm::emergency_stop));
    EXPECT_EQ(watch.advice->next.intention, Intention::none);
    EXPECT_EQ(watch.advice->next.reason, Reason::reset_awaited);
    const Event* raised =
        watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(StationAlarm::reset_awaited));
    ASSERT_NE(raised, nullptr);
    EXPECT_EQ(raised->why, Reason::reset_awaited);
}

TEST(EmergencyStopReset, at_the_panel_permits_the_next_start_and_ends_the_alarm) {
    Stopped watch;
    watch.release();
    watch.run_for(10_s);
    watch.reset_emergency_stop();
    watch.scan_once();
    ASSERT_TRUE(watch.is_reset());
    EXPECT_EQ(watch.last(EventKind::emergency_stop_reset)->why, Reason::reset_at_controller);
    EXPECT_FALSE(watch.alarm(StationAlarm::reset_awaited));
    EXPECT_GT(watch.starts_within(2_min), 0U);
}

TEST(EmergencyStopReset, by_the_button_permits_the_next_start) {
    Stopped watch;
    watch.release();
    watch.run_for(10_s);
    const std::size_t before = watch.starts();
    watch.press(1_s);
    ASSERT_TRUE(watch.is_reset());
    EXPECT_EQ(watch.last(EventKind::emergency_stop_reset)->why, Reason::reset_at_station);
    watch.starts_within(2_min);
    EXPECT_GT(watch.starts(), before);
}

TEST(EmergencyStopReset, in_the_scan_that_reads_the_release_is_refused) {
    Stopped watch;
    watch.release();
    watch.reset_emergency_stop();
    watch.scan_once();
    ASSERT_NE(watch.last(EventKind::reset_refused), nullptr);
    EXPECT_EQ(watch.last(EventKind::reset_refused)->why, Reason::emergency_stop);
    EXPECT_EQ(watch.starts_within(5_min), 0U);
}

TEST(EmergencyStopReset, while_the_emergency_stop_is_operated_is_refused_and_does_not_count_later) {
    Stopped watch;
    watch.reset_emergency_stop();
    watch.scan_once();
    ASSERT_NE(watch.last(EventKind::reset_refused), nullptr);
    EXPECT_EQ(watch.last(EventKind::reset_refused)->why, Reason::emergency_stop);
    watch.release();
    EXPECT_EQ(watch.starts_within(5_min), 0U);
}

TEST(EmergencyStopReset, while_the_emergency_stop_is_not_read_is_refused) {
    Stopped watch;
    watch.release();
    watch.run_for(2_s);
    bool unread = true;
    watch.on_the_way = [&unread](Inputs& inputs) {
        if (unread) inputs.emergency_stop.quality = Quality::bad;
    };
    watch.reset_emergency_stop();
    watch.scan_once();
    ASSERT_NE(watch.last(EventKind::reset_refused), nullptr);
    EXPECT_EQ(watch.last(EventKind::reset_refused)->why, Reason::emergency_stop_unread);
    unread = false;
    EXPECT_EQ(watch.starts_within(5_min), 0U);
}

TEST(EmergencyStop, that_is_no_longer_read_is_not_released) {
    Stopped watch;
    bool unread = true;
    watch.on_the_way = [&unread](Inputs& inputs) {
        if (unread) inputs.emergency_stop.quality = Quality::bad;
    };
    EXPECT_EQ(watch.starts_within(5_min), 0U);
    EXPECT_FALSE(watch.alarm(StationAlarm::reset_awaited)) << "nobody knows of a release";
    watch.release();
    unread = false;
    watch.run_for(2_s);
    EXPECT_TRUE(watch.alarm(StationAlarm::reset_awaited));
}

TEST(ResetButton, that_is_held_through_the_release_resets_nothing_until_the_next_press) {
    Stopped watch;
    watch.station.reset_pressed = true;
    watch.run_for(5_s);
    watch.release();
    EXPECT_EQ(watch.starts_within(5_min), 0U);
    watch.station.reset_pressed = false;
    watch.run_for(5_s);
    EXPECT_FALSE(watch.is_reset()) << "the end of a press does not reset";
    watch.press(1_s);
    EXPECT_TRUE(watch.is_reset());
}

TEST(ResetButton, that_is_welded_resets_the_first_emergency_stop_and_no_later_one) {
    Stopped watch;
    watch.release();
    watch.run_for(5_s);
    watch.station.reset_pressed = true;
    watch.run_for(5_s);
    ASSERT_TRUE(watch.is_reset());
    watch.station.emergency_stop = true;
    watch.run_for(10_s);
    watch.release();
    EXPECT_EQ(watch.starts_within(5_min), 0U);
    EXPECT_TRUE(watch.alarm(StationAlarm::reset_awaited));
}

TEST(ResetButton, that_is_welded_and_not_read_for_a_time_resets_nothing) {
    Stopped watch;
    watch.station.reset_pressed = true;
    watch.run_for(5_s);
    watch.release();
    bool unread = true;
    watch.on_the_way = [&unread](Inputs& inputs) {
        if (unread) inputs.emergency_stop_reset.quality = Quality::bad;
    };
    watch.run_for(5_s);
    unread = false;
    EXPECT_EQ(watch.starts_within(5_min), 0U);
}

TEST(ResetButton, that_is_pressed_when_the_controller_starts_resets_nothing) {
    Stopped watch;
    watch.release();
    watch.run_for(5_s);
    watch.station.reset_pressed = true;
    const Retained kept = watch.retained();
    watch.restart(&kept);
    EXPECT_EQ(watch.starts_within(5_min), 0U);
}

TEST(ResetButton, without_an_emergency_stop_has_no_effect) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    const std::size_t events = watch.events.size();
    watch.station.reset_pressed = true;
    watch.run_for(2_s);
    watch.reset_emergency_stop();
    watch.run_for(2_s);
    EXPECT_EQ(watch.events.size(), events);
}

TEST(EmergencyStop, is_kept_over_a_restart_of_the_controller_until_a_person_resets) {
    Stopped watch;
    watch.release();
    watch.run_for(5_s);
    const Retained kept = watch.retained();
    ASSERT_TRUE(kept.reset_awaited);
    watch.restart(&kept);
    EXPECT_EQ(watch.starts_within(5_min), 0U);
    EXPECT_TRUE(watch.alarm(StationAlarm::reset_awaited));
    watch.reset_emergency_stop();
    EXPECT_GT(watch.starts_within(2_min), 0U);
    EXPECT_FALSE(watch.retained().reset_awaited);
}

TEST(EmergencyStop, that_was_released_while_no_controller_ran_still_awaits_the_reset) {
    Stopped watch;
    const Retained kept = watch.retained();
    ASSERT_TRUE(kept.reset_awaited);
    watch.go_unattended(1_min);
    watch.release();
    watch.restart(&kept);
    EXPECT_EQ(watch.starts_within(5_min), 0U);
}

TEST(EmergencyStop, that_is_operated_again_before_the_reset_awaits_one_reset_more) {
    Stopped watch;
    watch.release();
    watch.run_for(5_s);
    watch.station.emergency_stop = true;
    watch.reset_emergency_stop();
    watch.run_for(5_s);
    watch.release();
    EXPECT_EQ(watch.starts_within(5_min), 0U) << "the reset came in the scan of the second stop";
}

TEST(EmergencyStop, while_the_controller_waits_for_its_picture_awaits_the_reset_after_the_take_over) {
    Watch watch(four_pumps_with_line_starts());
    watch.station.emergency_stop = true;
    watch.run_for(1_s);
    ASSERT_EQ(watch.advice->service, Service::waiting);
    watch.station.emergency_stop = false;
    watch.station.level_m = watch.settings().marks.stage_up_m + 0.1;
    watch.station.inflow_m3s = 0.2;
    watch.run_for(2_min);
    EXPECT_NE(watch.advice->service, Service::waiting);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 0U);
}

}  // namespace
}  // namespace freshet::core
