// Changing pumps over in a quiet hour: relief after a long run, and exercise of an idle pump.
// One reason to change: when one pump takes the place of another.
#include "controller/core/change_over.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>

#include "tests/unit/core/staging_given.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

// Single decisions: one pump on the drive has run for a day, and the level is at the setpoint
// ------------------------------------------------------------

Given after_a_long_run(std::uint8_t on_line = 0) {
    Given station(on_line);
    station.settings.run_longest_ms = day_ms / 2;
    station.set_inflow(0.3 + station.flows.total_m3s(on_line, 0, station.in.value_m));
    station.in.demand_hz = station.in.highest_hz;
    return station;
}

TEST(Relief, stops_the_drive_pump_after_its_longest_run_and_starts_another_at_once) {
    Given station = after_a_long_run();
    const Decision change = station.decide_now();
    EXPECT_EQ(change.intention, Intention::stop_on_drive);
    EXPECT_EQ(change.pump, 0);
    EXPECT_EQ(change.why, Reason::run_longest);
    EXPECT_NEAR(change.values[0], 24, 1e-9) << "hours of the run";
    EXPECT_TRUE(change.now);
    EXPECT_TRUE(station.staging.start_wanted);
}

TEST(Relief, is_off_where_the_settings_have_no_longest_run) {
    Given station = after_a_long_run();
    station.settings.run_longest_ms = 0;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(Relief, waits_for_the_end_of_the_longest_run) {
    Given station = after_a_long_run();
    station.settings.run_longest_ms = day_ms + 1000;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.picture.time_ms += 1000;
    EXPECT_EQ(station.decide_now().why, Reason::run_longest);
}

TEST(Relief, counts_a_run_as_too_long_when_nobody_knows_its_start) {
    Given station = after_a_long_run();
    station.state.pumps[0].started_ms = never_ms;
    const Decision change = station.decide_now();
    EXPECT_EQ(change.why, Reason::run_longest);
    EXPECT_TRUE(std::isnan(change.values[0]));
}

TEST(Relief, waits_for_a_quiet_hour) {
    Given unknown = after_a_long_run();
    unknown.in.water.inflow_known = false;
    EXPECT_EQ(unknown.decide_now().intention, Intention::none);
    Given rising = after_a_long_run();
    rising.in.water.rise_m3s2 = 1e-5;
    EXPECT_EQ(rising.decide_now().intention, Intention::none);
    Given high = after_a_long_run();
    high.set_value(high.settings.marks.setpoint_m + 2 * high.settings.marks.deadband_m);
    EXPECT_EQ(high.decide_now().intention, Intention::none);
    Given doubtful = after_a_long_run();
    doubtful.in.water.doubt_m3s = 10;
    EXPECT_EQ(doubtful.decide_now().intention, Intention::none) << "nobody knows whether one pump carries it";
    Given floats = after_a_long_run();
    floats.in.float_calls = true;
    EXPECT_NE(floats.decide_now().why, Reason::run_longest);
}

TEST(Relief, stops_no_pump_while_no_other_pump_may_start) {
    Given station = after_a_long_run();
    for (const std::size_t pump : {1U, 2U, 3U}) station.state.pumps[pump].retry_after_ms = now_ms + 60'000;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.picture.time_ms += 60'000;
    EXPECT_EQ(station.decide_now().why, Reason::run_longest);
}

TEST(Relief, hands_the_drive_pump_over_where_the_store_does_not_take_the_inflow_meanwhile) {
    Given small = after_a_long_run();
    small.set_area(8);  // a stop would lift the level past the stage-up mark before another pump runs
    small.settings.permissives.rest_min_ms = 0;
    EXPECT_NE(small.decide_now().intention, Intention::stop_on_drive);
    Given rested = after_a_long_run();
    rested.set_area(60);
    rested.settings.permissives.rest_min_ms = 300'000;  // past the high mark, should no other pump start
    const Decision change = rested.decide_now();
    EXPECT_EQ(change.intention, Intention::hand_over);
    EXPECT_EQ(change.why, Reason::run_longest);
    Given rests_shortly = after_a_long_run();
    rests_shortly.set_area(60);
    EXPECT_EQ(rests_shortly.decide_now().intention, Intention::stop_on_drive);
}

TEST(Relief, hands_nothing_over_after_a_failed_transfer) {
    Given station = after_a_long_run();
    station.set_area(60);
    station.settings.permissives.rest_min_ms = 300'000;
    station.state.transfer_attempts = 1;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(Relief, leaves_time_between_one_change_over_and_the_next) {
    Given station = after_a_long_run();
    ASSERT_TRUE(station.decide_now().now);
    EXPECT_EQ(station.decide_after(10 * 60'000).intention, Intention::none);
    EXPECT_EQ(station.decide_after(6 * 60'000).why, Reason::run_longest);
}

TEST(Relief, of_a_line_pump_begins_with_a_hand_over) {
    Given station = after_a_long_run(1);
    station.state.pumps[1].started_ms = now_ms - 3'600'000;  // the drive pump has run for an hour only
    const Decision change = station.decide_now();
    EXPECT_EQ(change.intention, Intention::hand_over);
    EXPECT_EQ(change.pump, 1);
    EXPECT_EQ(change.why, Reason::run_longest);
    EXPECT_TRUE(station.staging.start_wanted);
}

TEST(Relief, stops_the_line_pump_when_the_other_pumps_carry_the_inflow) {
    Given station = after_a_long_run(2);
    station.state.pumps[2].started_ms = now_ms - 3'600'000;
    station.state.pumps[1].started_ms = now_ms - 3'600'000;
    station.set_inflow(station.full_m3s(1) - 0.2);
    const Decision stop = station.decide_now();
    EXPECT_EQ(stop.intention, Intention::stop_from_line);
    EXPECT_EQ(stop.pump, 0);
    EXPECT_EQ(stop.why, Reason::run_longest);
    station.set_inflow(station.full_m3s(1) + 0.1);
    EXPECT_NE(station.decide_now().intention, Intention::stop_from_line);
}

TEST(Relief, comes_before_hours_when_a_line_pump_stops) {
    Given station = after_a_long_run(2);
    station.state.pumps[1].started_ms = now_ms - 3'600'000;
    station.state.pumps[1].run_ms = 1000 * 3'600'000LL;
    EXPECT_EQ(next_to_stop(bit_of(0) | bit_of(1), station.state, station.settings, now_ms), 0);
    station.settings.run_longest_ms = 0;
    EXPECT_EQ(next_to_stop(bit_of(0) | bit_of(1), station.state, station.settings, now_ms), 1);
}

TEST(Relief, lets_the_drive_pump_take_the_place_of_a_line_pump_when_a_pump_stops_anyway) {
    Given station = after_a_long_run(1);
    station.state.pumps[1].started_ms = now_ms - 3'600'000;
    station.set_value(station.settings.marks.stage_down_m);
    station.in.demand_hz = station.in.lowest_hz;
    // In the band that no combination holds: more than one pump carries, less than two deliver.
    station.set_inflow(0.5 * (station.full_m3s(0) + station.least_m3s(1)));
    const Decision stop = station.decide_after(station.settings.staging.down_delay_ms);
    EXPECT_EQ(stop.intention, Intention::stop_from_line);
    EXPECT_EQ(stop.pump, 0);
    EXPECT_EQ(stop.why, Reason::run_longest);
}

TEST(Exercise, is_no_ground_to_stop_the_only_pump_where_the_store_does_not_take_the_inflow) {
    Given station(0);
    station.settings.exercise_ms = day_ms / 2;
    station.set_inflow(0.3);
    ASSERT_EQ(station.decide_now().intention, Intention::stop_on_drive);
    Given small(0);
    small.settings.exercise_ms = day_ms / 2;
    small.set_inflow(0.3);
    small.set_area(8);
    EXPECT_NE(small.decide_now().intention, Intention::stop_on_drive);
}

TEST(Exercise, waits_while_the_inflow_is_not_known) {
    Given station(0);
    station.settings.exercise_ms = day_ms / 2;
    station.in.water.inflow_known = false;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

// The running station
// ------------------------------------------------------------

int pumps_running(const Watch& watch) {
    int pumps = 0;
    for (std::size_t pump = 0; pump < watch.settings().pump_count; ++pump) {
        const PumpState state = watch.state(pump);
        pumps += state == PumpState::on_line || state == PumpState::on_drive || state == PumpState::to_line
                     ? 1
                     : 0;
    }
    return pumps;
}

struct ExtremesOfARun {
    int pumps = 8;
    double lowest_m = 99, highest_m = 0;
    std::int64_t without_pump_ms = 0;
};

ExtremesOfARun watch_through(Watch& watch, std::int64_t duration_ms) {
    ExtremesOfARun seen;
    for (const std::int64_t end = watch.station.now_ms + duration_ms; watch.station.now_ms < end;) {
        watch.scan_once();
        seen.pumps = std::min(seen.pumps, pumps_running(watch));
        if (pumps_running(watch) == 0) seen.without_pump_ms += watch.settings().scan_ms;
        seen.lowest_m = std::min(seen.lowest_m, watch.station.level_m);
        seen.highest_m = std::max(seen.highest_m, watch.station.level_m);
    }
    return seen;
}

std::size_t begun_for(const Watch& watch, Reason why) {
    std::size_t found = 0;
    for (const Event& event : watch.events)
        found += event.what == EventKind::sequence_begun && event.why == why ? 1U : 0U;
    return found;
}

TEST(ReliefAtARunningStation, changes_the_drive_pump_over_with_a_short_pause_and_keeps_the_level) {
    Settings settings = doubles::four_pumps();
    settings.run_longest_ms = 2_h;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0.5;
    watch.run_for(1_h);
    const ExtremesOfARun seen = watch_through(watch, 8_h);
    EXPECT_GE(begun_for(watch, Reason::run_longest), 6U)
        << "a stop and a start for each of three or more change-overs";
    EXPECT_LE(seen.without_pump_ms, 4 * 60_s);
    EXPECT_LT(seen.highest_m, settings.marks.stage_up_m);
    EXPECT_GT(seen.lowest_m, settings.marks.stop_m);
    for (const PumpFigures& figures : watch.advice->figures)
        if (&figures < watch.advice->figures.data() + settings.pump_count) {
            EXPECT_GE(figures.starts, 1U);
        }
}

TEST(ReliefAtARunningStation, changes_a_line_pump_over_without_a_moment_of_less_pumping) {
    Settings settings = doubles::four_pumps();
    settings.run_longest_ms = 3_h;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.run_for(30_min);
    const ExtremesOfARun seen = watch_through(watch, 8_h);
    EXPECT_GE(seen.pumps, 2);
    EXPECT_GE(watch.count(EventKind::sequence_begun, Sequence::stop_from_line), 2U);
    EXPECT_LT(seen.highest_m, settings.marks.stage_up_m);
    EXPECT_GT(seen.lowest_m, settings.marks.stop_m);
}

TEST(ReliefAtARunningStation, brings_the_stopped_pump_back_when_no_other_pump_starts) {
    Settings settings = doubles::four_pumps();
    settings.run_longest_ms = 2_h;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0.5;
    for (const std::size_t pump : {1U, 2U, 3U}) watch.station.drive_side[pump].fault.does_not_close = true;
    const ExtremesOfARun seen = watch_through(watch, 6_h);
    ASSERT_GE(begun_for(watch, Reason::run_longest), 1U);
    EXPECT_LT(seen.highest_m, settings.marks.high_alarm_m);
    EXPECT_EQ(watch.advice->drive_pump, 0);
}

}  // namespace
}  // namespace freshet::core
