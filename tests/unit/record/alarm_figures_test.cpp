// Figures about alarms: peaks, floods, chatter, and how long an alarm was active.
#include "controller/record/alarm_figures.hpp"

#include <gtest/gtest.h>

#include "controller/core/alarms.hpp"
#include "tests/unit/record/invented_run.hpp"

namespace freshet::record {
namespace {

using core::EventKind;
using core::PumpAlarm;
using core::StationAlarm;
using invented::odd_ms;

constexpr std::int64_t minute_ms = 60'000;

/// A run in which alarms come and go at given minutes.
class RunWithAlarms {
  public:
    void tell(double minute, EventKind what, StationAlarm code) {
        tell(minute, what, static_cast<std::uint8_t>(code), core::no_pump);
    }
    void tell(double minute, EventKind what, PumpAlarm code, std::uint8_t pump) {
        tell(minute, what, static_cast<std::uint8_t>(code), pump);
    }
    RunSummary ended_at(double minute) const {
        RunSummary summary;
        figures_.sum_up(summary, at(minute));
        return summary;
    }

  private:
    static std::int64_t at(double minute) {
        return odd_ms + static_cast<std::int64_t>(minute * static_cast<double>(minute_ms));
    }
    void tell(double minute, EventKind what, std::uint8_t code, std::uint8_t pump) {
        core::Advice advice;
        advice.time_ms = at(minute);
        advice.event_count = 1;
        advice.events[0].what = what;
        advice.events[0].detail = code;
        advice.events[0].pump = pump;
        figures_.add(advice);
    }
    AlarmFigures figures_;
};

TEST(AlarmFigures, of_a_run_without_alarms_are_zero_and_name_no_alarm) {
    const RunSummary summary = RunWithAlarms().ended_at(60);
    EXPECT_EQ(summary.alarms, 0U);
    EXPECT_EQ(summary.alarms_peak_10_min, 0U);
    EXPECT_TRUE(summary.alarm_longest.empty());
}

TEST(AlarmFigures, count_by_name_over_all_pumps_and_name_the_alarm_that_was_active_longest) {
    RunWithAlarms run;
    run.tell(0, EventKind::alarm_raised, StationAlarm::supply);
    run.tell(3, EventKind::alarm_returned, StationAlarm::supply);
    run.tell(1, EventKind::alarm_raised, PumpAlarm::tripped, 0);
    run.tell(2, EventKind::alarm_raised, PumpAlarm::tripped, 3);
    run.tell(9, EventKind::alarm_returned, PumpAlarm::tripped, 0);
    const RunSummary summary = run.ended_at(30);
    EXPECT_EQ(summary.alarms, 3U);
    ASSERT_EQ(summary.alarms_by_name.size(), 2U);
    EXPECT_EQ(summary.alarms_by_name[1], (std::pair<std::string, std::uint32_t>{"tripped", 2}));
    EXPECT_EQ(summary.alarms_standing, 1U);
    EXPECT_EQ(summary.alarm_longest, "pump_4.tripped");
    EXPECT_DOUBLE_EQ(summary.alarm_longest_s, 28 * 60);
}

TEST(AlarmFigures, give_the_most_within_any_ten_minutes_not_within_those_of_a_clock) {
    RunWithAlarms run;
    for (const double minute : {0.0, 8.0, 9.0, 11.0, 12.0, 17.9, 40.0})
        run.tell(minute, EventKind::alarm_raised, StationAlarm::not_in_sync);
    EXPECT_EQ(run.ended_at(60).alarms_peak_10_min, 5U);
}

// A flood: more than 10 alarms in 10 minutes, over when fewer than about 5 come in 10 minutes (ANSI/ISA-18.2,
// as quoted in a public course text on alarm management).
TEST(AlarmFigures, count_a_flood_once_until_it_is_over) {
    RunWithAlarms run;
    for (int i = 0; i < 11; ++i) run.tell(0.5 * i, EventKind::alarm_raised, StationAlarm::supply);
    EXPECT_EQ(run.ended_at(10).alarm_floods, 1U);
    for (int i = 0; i < 11; ++i) run.tell(6 + 0.5 * i, EventKind::alarm_raised, StationAlarm::supply);
    EXPECT_EQ(run.ended_at(20).alarm_floods, 1U) << "still the same";
    for (int i = 0; i < 11; ++i) run.tell(60 + 0.5 * i, EventKind::alarm_raised, StationAlarm::supply);
    EXPECT_EQ(run.ended_at(70).alarm_floods, 2U);
    RunWithAlarms calm;
    for (int i = 0; i < 10; ++i) calm.tell(0.5 * i, EventKind::alarm_raised, StationAlarm::supply);
    EXPECT_EQ(calm.ended_at(10).alarm_floods, 0U);
}

// Chattering: three or more of the same alarm in a minute; stale: active for more than 24 hours (the same
// source).
TEST(AlarmFigures, name_the_chattering_and_the_stale_alarms) {
    RunWithAlarms run;
    for (const double minute : {1.0, 1.4, 1.9})
        run.tell(minute, EventKind::alarm_raised, PumpAlarm::seal_leak, 1);
    for (const double minute : {1.0, 1.6, 2.1})
        run.tell(minute, EventKind::alarm_raised, PumpAlarm::seal_leak, 2);
    const RunSummary summary = run.ended_at(2.1 + 24 * 60);
    EXPECT_EQ(summary.alarms_chattering, 1U);
    EXPECT_EQ(summary.alarms_stale, 1U);
}

TEST(AlarmFigures, do_not_count_a_shelved_alarm_as_active) {
    RunWithAlarms run;
    run.tell(0, EventKind::alarm_raised, StationAlarm::transmitter_2);
    run.tell(5, EventKind::alarm_shelved, StationAlarm::transmitter_2);
    const RunSummary summary = run.ended_at(600);
    EXPECT_EQ(summary.alarms_standing, 0U);
    EXPECT_DOUBLE_EQ(summary.alarm_longest_s, 5 * 60);
}

}  // namespace
}  // namespace freshet::record
