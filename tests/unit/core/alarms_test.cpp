// Alarms: delays, acknowledgement, shelving, out of service, suppression by design, first-out.
// One reason to change: the life of an alarm.
#include "controller/core/alarms.hpp"

#include <gtest/gtest.h>

#include <vector>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

using S = StationAlarm;
using P = PumpAlarm;

/// A desk with alarm conditions, and an operator who answers the alarms.
class Desk {
  public:
    std::int64_t now_ms = doubles::odd_start_ms;
    AlarmConditions conditions;
    AlarmState state;
    Advice advice;
    std::vector<Event> events;

    void judge(const OperatorInputs& people = {}) {
        Journal journal(advice, number_);
        judge_alarms(state, conditions, people, 4, now_ms, journal, advice);
        events.assign(advice.events.begin(), advice.events.begin() + advice.event_count);
    }
    void judge_after(std::int64_t wait_ms, const OperatorInputs& people = {}) {
        now_ms += wait_ms;
        judge(people);
    }
    void set(S code, bool on = true) {
        conditions.station =
            on ? conditions.station | alarm_bit(code) : conditions.station & ~alarm_bit(code);
    }
    void set(std::size_t pump, P code, bool on = true) {
        std::uint16_t& word = conditions.pump[pump];
        word = static_cast<std::uint16_t>(on ? word | alarm_bit(code) : word & ~alarm_bit(code));
    }
    bool active(S code) const { return (advice.station_alarms & alarm_bit(code)) != 0; }
    bool unacknowledged(S code) const {
        return (advice.station_alarms_unacknowledged & alarm_bit(code)) != 0;
    }
    bool first_out(S code) const { return (advice.station_alarm_marks.first_out & alarm_bit(code)) != 0; }
    std::size_t count(EventKind what) const {
        std::size_t found = 0;
        for (const Event& event : events) found += event.what == what ? 1U : 0U;
        return found;
    }

  private:
    std::uint32_t number_ = 0;
};

OperatorInputs order(AlarmOrder what, S code, std::int64_t shelve_ms = 0) {
    return {false, what, static_cast<std::uint8_t>(code), no_pump, static_cast<std::int32_t>(shelve_ms)};
}
OperatorInputs order(AlarmOrder what, std::size_t pump, P code, std::int64_t shelve_ms = 0) {
    return {false, what, static_cast<std::uint8_t>(code), static_cast<std::uint8_t>(pump),
            static_cast<std::int32_t>(shelve_ms)};
}

TEST(AlarmDelay, raises_an_alarm_when_its_condition_has_lasted) {
    Desk desk;
    desk.set(S::drive_not_ready);
    desk.judge();
    desk.judge_after(1900);
    EXPECT_FALSE(desk.active(S::drive_not_ready));
    desk.judge_after(100);
    EXPECT_TRUE(desk.active(S::drive_not_ready));
    desk.set(S::drive_not_ready, false);
    desk.judge_after(100);
    desk.judge_after(4900);
    EXPECT_TRUE(desk.active(S::drive_not_ready));
    desk.judge_after(100);
    EXPECT_FALSE(desk.active(S::drive_not_ready));
}

TEST(Alarm, stays_unacknowledged_after_its_return_until_an_operator_acknowledges_it) {
    AlarmState state;
    Advice advice;
    std::uint32_t number = 0;
    AlarmConditions conditions;
    const auto judge = [&](bool holds, std::int64_t now_ms, bool acknowledge) {
        Journal journal(advice, number);
        conditions.station = holds ? alarm_bit(StationAlarm::emergency_stop) : 0;
        judge_alarms(state, conditions, {.acknowledge_all = acknowledge}, 4, now_ms, journal, advice);
    };
    judge(true, doubles::odd_start_ms, false);
    EXPECT_NE(advice.station_alarms_unacknowledged, 0U);
    judge(false, doubles::odd_start_ms + 100, false);
    EXPECT_EQ(advice.station_alarms, 0U);
    EXPECT_NE(advice.station_alarms_unacknowledged, 0U);
    judge(false, doubles::odd_start_ms + 200, true);
    EXPECT_EQ(advice.station_alarms_unacknowledged, 0U);
}

TEST(Alarm, that_chatters_within_its_off_delay_is_one_alarm) {
    AlarmState state;
    Advice advice;
    std::uint32_t number = 0;
    AlarmConditions conditions;
    for (int i = 0; i < 40; ++i) {
        Journal journal(advice, number);
        conditions.station = i % 2 == 0 ? alarm_bit(StationAlarm::high_float) : 0;
        judge_alarms(state, conditions, {}, 4, doubles::odd_start_ms + 100 * i, journal, advice);
    }
    EXPECT_EQ(number, 1U);
}

TEST(Acknowledgement, of_one_alarm_leaves_the_others_and_has_an_event) {
    Desk desk;
    desk.set(S::drive_tripped);
    desk.set(S::supply);
    desk.judge();
    desk.judge_after(1000, order(AlarmOrder::acknowledge, S::supply));
    EXPECT_FALSE(desk.unacknowledged(S::supply));
    EXPECT_TRUE(desk.unacknowledged(S::drive_tripped));
    EXPECT_TRUE(desk.active(S::supply)) << "an acknowledged alarm is still active";
    ASSERT_EQ(desk.events.size(), 1U);
    EXPECT_EQ(desk.events[0].what, EventKind::alarm_acknowledged);
    EXPECT_EQ(desk.events[0].why, Reason::acknowledged);
}

TEST(Acknowledgement, of_all_has_an_event_for_each_alarm_and_a_second_one_has_none) {
    Desk desk;
    desk.set(S::drive_tripped);
    desk.set(2, P::tripped);
    desk.judge();
    desk.judge_after(1000, {.acknowledge_all = true});
    EXPECT_EQ(desk.count(EventKind::alarm_acknowledged), 2U);
    EXPECT_EQ(desk.advice.pump_alarms_unacknowledged[2], 0);
    desk.judge_after(1000, {.acknowledge_all = true});
    EXPECT_TRUE(desk.events.empty());
}

TEST(Acknowledgement, of_more_alarms_than_one_scan_has_events_for_loses_no_event) {
    Desk desk;
    desk.state.station.unacknowledged = (1U << station_alarm_count) - 1U;
    for (auto& pump : desk.state.pump) pump.unacknowledged = (1U << pump_alarm_count) - 1U;
    std::size_t noted = 0;
    for (int i = 0; i < 3; ++i) {
        desk.judge_after(1000, {.acknowledge_all = true});
        EXPECT_FALSE(desk.advice.events_lost);
        noted += desk.events.size();
    }
    EXPECT_EQ(noted, station_alarm_count + 4 * pump_alarm_count);
}

TEST(ShelvedAlarm, is_not_shown_and_is_raised_again_when_its_time_is_over) {
    Desk desk;
    desk.set(S::drive_tripped);
    desk.judge();
    desk.judge_after(1000, order(AlarmOrder::shelve, S::drive_tripped, 10_min));
    EXPECT_FALSE(desk.active(S::drive_tripped));
    EXPECT_FALSE(desk.unacknowledged(S::drive_tripped));
    EXPECT_EQ(desk.count(EventKind::alarm_shelved), 1U);
    EXPECT_EQ(desk.advice.station_alarm_marks.shelved, alarm_bit(S::drive_tripped));
    desk.judge_after(10_min - 1);
    EXPECT_FALSE(desk.active(S::drive_tripped));
    desk.judge_after(1);
    EXPECT_TRUE(desk.active(S::drive_tripped));
    EXPECT_TRUE(desk.unacknowledged(S::drive_tripped));
    EXPECT_EQ(desk.count(EventKind::alarm_unshelved), 1U);
    EXPECT_EQ(desk.count(EventKind::alarm_raised), 1U);
    EXPECT_EQ(desk.advice.station_alarm_marks.shelved, 0U);
}

TEST(ShelvedAlarm, has_no_events_when_its_condition_comes_and_goes) {
    Desk desk;
    desk.judge(order(AlarmOrder::shelve, 1, P::seal_leak, 30_min));
    EXPECT_EQ(desk.count(EventKind::alarm_shelved), 1U);
    for (int i = 0; i < 5; ++i) {
        desk.set(1, P::seal_leak, i % 2 == 0);
        desk.judge_after(1_min);
        desk.judge_after(1_min);
        EXPECT_TRUE(desk.events.empty());
        EXPECT_EQ(desk.advice.pump_alarms[1], 0);
    }
    desk.judge_after(1000, order(AlarmOrder::unshelve, 1, P::seal_leak));
    EXPECT_EQ(desk.advice.pump_alarms[1], alarm_bit(P::seal_leak))
        << "the condition holds, and the alarm is no longer shelved";
}

TEST(ShelvedAlarm, may_be_unshelved_before_its_time_and_only_once) {
    Desk desk;
    desk.set(S::drive_tripped);
    desk.judge();
    desk.judge_after(1000, order(AlarmOrder::shelve, S::drive_tripped, 30_min));
    ASSERT_FALSE(desk.active(S::drive_tripped));
    desk.judge_after(1000, order(AlarmOrder::unshelve, S::drive_tripped));
    EXPECT_TRUE(desk.active(S::drive_tripped));
    EXPECT_EQ(desk.count(EventKind::alarm_unshelved), 1U);
    desk.judge_after(1000, order(AlarmOrder::unshelve, S::drive_tripped));
    EXPECT_TRUE(desk.events.empty()) << "the alarm is not shelved";
}

TEST(ShelvedAlarm, lasts_a_minute_at_least_and_a_shift_at_most) {
    Desk desk;
    desk.judge(order(AlarmOrder::shelve, S::drive_tripped, 1));
    EXPECT_EQ(desk.state.station.shelved_until_ms[static_cast<std::size_t>(S::drive_tripped)],
              desk.now_ms + 1_min);
    desk.judge(order(AlarmOrder::shelve, S::drive_tripped, 24 * 60_min));
    EXPECT_EQ(desk.state.station.shelved_until_ms[static_cast<std::size_t>(S::drive_tripped)],
              desk.now_ms + 8 * 60_min);
}

TEST(AlarmOfHighPriority, can_be_neither_shelved_nor_taken_out_of_service) {
    Desk desk;
    desk.set(S::high_float);
    desk.judge();
    desk.judge_after(1000, order(AlarmOrder::shelve, S::high_float, 10_min));
    EXPECT_TRUE(desk.active(S::high_float));
    desk.judge_after(1000, order(AlarmOrder::take_out_of_service, S::high_float));
    EXPECT_TRUE(desk.active(S::high_float));
    EXPECT_TRUE(desk.events.empty());
}

TEST(AlarmOutOfService, is_not_raised_until_it_is_returned_to_service) {
    Desk desk;
    desk.set(S::transmitter_2);
    desk.judge();
    desk.judge_after(1000, order(AlarmOrder::take_out_of_service, S::transmitter_2));
    desk.judge_after(100 * 60_min);
    EXPECT_FALSE(desk.active(S::transmitter_2));
    desk.judge_after(1000, order(AlarmOrder::return_to_service, S::transmitter_2));
    EXPECT_TRUE(desk.active(S::transmitter_2));
    EXPECT_EQ(desk.count(EventKind::alarm_in_service), 1U);
}

TEST(AlarmOrder, for_an_alarm_that_does_not_exist_is_ignored) {
    Desk desk;
    desk.judge({false, AlarmOrder::shelve, 200, no_pump, 600'000});
    desk.judge({false, AlarmOrder::shelve, 0, 7, 600'000});
    desk.judge({false, AlarmOrder::acknowledge, 0, 200, 0});
    EXPECT_TRUE(desk.events.empty());
}

TEST(AlarmThatFollowsFromAnother, is_raised_only_after_the_other_has_ended) {
    Desk desk;
    desk.set(S::link_lost);
    desk.set(S::transmitter_1);
    desk.set(S::value_bad);
    desk.judge();
    EXPECT_TRUE(desk.active(S::link_lost));
    EXPECT_FALSE(desk.active(S::transmitter_1));
    EXPECT_EQ(desk.advice.station_alarm_marks.suppressed,
              alarm_bit(S::transmitter_1) | alarm_bit(S::value_bad));
    EXPECT_EQ(desk.events.size(), 1U) << "one cause, one alarm";
    desk.set(S::link_lost, false);
    desk.set(S::value_bad, false);
    desk.judge_after(1000);
    desk.judge_after(5000);
    EXPECT_FALSE(desk.active(S::link_lost));
    desk.judge_after(100);
    EXPECT_TRUE(desk.active(S::transmitter_1));
    EXPECT_EQ(desk.advice.station_alarm_marks.suppressed, 0U);
}

TEST(AlarmThatFollowsFromAnother, is_raised_when_the_other_is_shelved) {
    Desk desk;
    desk.set(S::link_lost);
    desk.set(S::transmitter_1);
    desk.judge();
    desk.judge_after(1000, order(AlarmOrder::shelve, S::link_lost, 10_min));
    EXPECT_FALSE(desk.active(S::link_lost));
    EXPECT_TRUE(desk.active(S::transmitter_1)) << "an operator must see that the measurement is lost";
    EXPECT_EQ(desk.advice.station_alarm_marks.suppressed, 0U);
}

TEST(AlarmThatFollowsFromAnother, is_raised_while_the_other_is_out_of_service) {
    Desk desk;
    desk.judge(order(AlarmOrder::take_out_of_service, S::drive_tripped));
    desk.set(S::drive_tripped);
    desk.set(S::drive_not_ready);
    desk.judge_after(1000);
    desk.judge_after(2000);
    EXPECT_FALSE(desk.active(S::drive_tripped));
    EXPECT_TRUE(desk.active(S::drive_not_ready));
}

TEST(AlarmThatFollowsFromAnother, is_suppressed_only_after_it_has_returned_to_normal) {
    Desk desk;
    desk.set(S::link_lost);
    desk.set(S::transmitter_1);
    desk.judge(order(AlarmOrder::shelve, S::link_lost, 1_min));
    ASSERT_TRUE(desk.active(S::transmitter_1));
    desk.judge_after(1_min);
    EXPECT_TRUE(desk.active(S::link_lost));
    EXPECT_TRUE(desk.active(S::transmitter_1)) << "a raised alarm stays active until its condition ends";
    desk.set(S::transmitter_1, false);
    desk.judge_after(1000);
    desk.judge_after(5000);
    desk.set(S::transmitter_1);
    desk.judge_after(1000);
    EXPECT_FALSE(desk.active(S::transmitter_1));
    EXPECT_EQ(desk.advice.station_alarm_marks.suppressed, alarm_bit(S::transmitter_1));
}

TEST(FirstOut, is_the_alarm_whose_condition_came_first_in_its_group) {
    Desk desk;
    desk.set(S::output_does_not_open);
    desk.set(S::supply);
    desk.judge();
    desk.set(S::drive_tripped);
    desk.judge_after(100);
    EXPECT_TRUE(desk.first_out(S::output_does_not_open));
    EXPECT_FALSE(desk.first_out(S::drive_tripped));
    EXPECT_TRUE(desk.first_out(S::supply)) << "another group";
}

TEST(FirstOut, counts_from_the_onset_of_the_condition_and_not_from_the_end_of_the_delay) {
    Desk desk;
    desk.set(S::drive_not_ready);
    desk.judge();
    desk.set(S::drive_does_not_run);
    desk.judge_after(1000);
    EXPECT_TRUE(desk.first_out(S::drive_does_not_run));
    desk.judge_after(1000);
    EXPECT_TRUE(desk.first_out(S::drive_not_ready)) << "its condition began a second earlier";
    EXPECT_FALSE(desk.first_out(S::drive_does_not_run));
}

TEST(FirstOut, of_two_alarms_in_the_same_scan_are_both) {
    Desk desk;
    desk.set(3, P::drive_side_does_not_open);
    desk.set(3, P::line_side_does_not_open);
    desk.judge();
    EXPECT_EQ(desk.advice.pump_alarm_marks[3].first_out,
              alarm_bit(P::drive_side_does_not_open) | alarm_bit(P::line_side_does_not_open));
}

TEST(FirstOut, is_cleared_when_every_alarm_of_the_group_has_ended_and_is_acknowledged) {
    Desk desk;
    desk.set(S::drive_tripped);
    desk.judge();
    desk.set(S::drive_tripped, false);
    desk.judge_after(1000);
    desk.judge_after(5000);
    EXPECT_TRUE(desk.first_out(S::drive_tripped)) << "an operator must still see which alarm came first";
    desk.judge_after(1000, {.acknowledge_all = true});
    EXPECT_FALSE(desk.first_out(S::drive_tripped));
    desk.set(S::drive_does_not_run);
    desk.judge_after(1000);
    EXPECT_TRUE(desk.first_out(S::drive_does_not_run));
}

TEST(AlarmOfAValue, stays_as_it_is_while_the_value_is_unknown) {
    Desk desk;
    desk.set(S::value_high);
    desk.judge();
    desk.set(S::value_high, false);
    desk.conditions.station_unknown = alarms_of_value;
    desk.judge_after(60_s);
    desk.judge_after(60_s);
    EXPECT_TRUE(desk.active(S::value_high));
    desk.conditions.station_unknown = 0;
    desk.judge_after(1000);
    desk.judge_after(15_s);
    EXPECT_FALSE(desk.active(S::value_high));
}

TEST(AlarmOfAValue, stays_active_when_both_transmitters_are_lost) {
    Watch watch;
    watch.station.level_m = 3.5;
    watch.station.inflow_m3s = 6;
    watch.run_for(20_s);
    ASSERT_TRUE(watch.alarm(S::value_high));
    watch.station.level_quality = {Quality::bad, Quality::bad};
    watch.run_for(60_s);
    EXPECT_TRUE(watch.alarm(S::value_bad));
    EXPECT_TRUE(watch.alarm(S::value_high)) << "an unknown value has not returned to normal";
}

TEST(ShelvedAlarm, of_a_whole_controller_ends_in_the_scan_in_which_its_time_is_over) {
    const Settings settings = doubles::four_pumps();
    Controller controller(settings);
    doubles::StationDouble station(settings);
    station.seal_leak[3] = true;
    // Odd numbers of scans: the end falls between two runs of the slow task.
    constexpr int leak_shelved_for = 673, supply_shelved_for = 617;
    std::vector<int> ended, expected;
    for (int scan = 0; scan < 3000; ++scan) {
        Inputs inputs = station.look();
        if (scan == 703) {
            inputs.people = order(AlarmOrder::shelve, 3, P::seal_leak, leak_shelved_for * settings.scan_ms);
            expected.push_back(scan + leak_shelved_for);
        }
        if (scan == 1711) {
            inputs.people = order(AlarmOrder::shelve, S::supply, supply_shelved_for * settings.scan_ms);
            expected.push_back(scan + supply_shelved_for);
        }
        const Advice& advice = controller.scan(inputs);
        for (std::size_t i = 0; i < advice.event_count; ++i)
            if (advice.events[i].what == EventKind::alarm_unshelved) ended.push_back(scan);
        station.step(advice);
    }
    EXPECT_EQ(ended, expected);
}

TEST(LatchedAlarms, are_those_that_a_step_of_a_sequence_can_raise) {
    for (const StepRow& row : tables::rows) {
        const AlarmRef alarm = row.time_out_alarm;
        if (alarm.of == AlarmRef::Of::station) {
            EXPECT_TRUE(station_alarm_rules[alarm.code].traits.latched);
        }
        if (alarm.of == AlarmRef::Of::pump) {
            EXPECT_TRUE(pump_alarm_rules[alarm.code].traits.latched);
        }
    }
}

}  // namespace
}  // namespace freshet::core
