// A climb to more pumps without gaps, and no pump too many on its way.
// One reason to change: when the next pump of a climb starts, or a float brings one more.
#include <gtest/gtest.h>

#include "controller/core/stage.hpp"
#include "controller/core/staging_situation.hpp"
#include "tests/unit/core/line_starts.hpp"
#include "tests/unit/core/staging_given.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Two pumps on the line and a free drive after a hand-over, which the controller began to start one more pump.
/// The level is below the stage-down mark.
struct AfterHandOver : Given {
    AfterHandOver() : Given(2, false) {
        staging.start_wanted = true;
        staging.drive_free_since_ms = now_ms;
        staging.wanted_why = Reason::forecast_short;
        set_value(settings.marks.stage_down_m - 0.05);
    }
    double line_m3s() const { return flows.total_m3s(2, 0, settings.marks.stage_up_m); }
};

TEST(NextPump, of_a_climb_starts_below_the_stage_down_mark_while_the_line_pumps_do_not_carry_the_inflow) {
    AfterHandOver station;
    station.set_inflow(station.line_m3s() + 0.3);
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
}

TEST(NextPump, of_a_climb_is_cancelled_below_the_stage_down_mark_when_the_line_pumps_carry_the_inflow) {
    AfterHandOver station;
    station.set_inflow(station.line_m3s() - 0.3);
    EXPECT_NE(station.decide_now().intention, Intention::start_on_drive);
    EXPECT_FALSE(station.staging.start_wanted);
}

TEST(NextPump, starts_sooner_when_two_more_are_needed_than_when_one_is) {
    constexpr double below_mark_m = 0.06, one_m3s = 0.3, two_m3s = 1.0;
    Given one(1, false);
    one.in.mode = WaterMode::fill_and_draw;  // the store may fill
    one.set_value(one.settings.marks.stage_up_m - below_mark_m);
    one.set_area(400);
    Given two = one;
    const double line_m3s = one.flows.total_m3s(1, 0, one.settings.marks.stage_up_m);
    one.set_inflow(line_m3s + one_m3s);
    two.set_inflow(line_m3s + two_m3s);
    EXPECT_EQ(one.decide_now().intention, Intention::none) << "one pump is in time at the mark";
    EXPECT_EQ(two.decide_now().intention, Intention::start_on_drive);
}

TEST(NextPump, that_is_the_first_counts_the_rise_of_the_inflow_during_its_start) {
    Given station(0, false);
    station.set_area(20);
    station.set_inflow(station.full_m3s(0) - 0.2);
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "one pump carries the inflow";
    station.in.water.rise_m3s2 = 0.02;
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
}

/// One pump on the drive at full speed, with a level above the stage-up mark that falls while the inflow rises.
struct FallsAboveTheMark : Given {
    FallsAboveTheMark() : Given(0) {
        set_value(settings.marks.stage_up_m + 0.05);
        in.demand_hz = in.highest_hz;
        set_inflow(0.97 * flows.total_m3s(0, in.highest_hz, in.value_m));
        in.water.rise_m3s2 = 0.002;
    }
};

TEST(NextPump, above_the_stage_up_mark_waits_until_a_foreseen_rise_has_come) {
    FallsAboveTheMark station;
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::none);
    station.set_inflow(station.full_m3s(0) + 0.05);
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::hand_over);
}

TEST(NextPump, above_the_high_mark_does_not_wait_for_a_foreseen_rise) {
    FallsAboveTheMark station;
    const double above_m = value_of(station.settings, station.in.marks.high_m + 0.01);
    station.set_value(above_m);
    station.set_inflow(0.97 * station.flows.total_m3s(0, station.in.highest_hz, above_m));
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::hand_over);
}

/// One pump on the drive at full speed under a high float that calls, after the run-on time.
struct FloatCalls : Given {
    FloatCalls() : Given(0) {
        set_value(settings.marks.stage_up_m + 0.3);
        in.float_calls = true;
        in.demand_hz = in.highest_hz;
        staging.last_float_step_ms = now_ms - settings.floats.run_on_ms;
    }
    double full_now_m3s() const { return flows.total_m3s(0, in.highest_hz, in.value_m); }
};

TEST(CallingFloat, brings_no_pump_while_the_value_shows_the_same_water_and_falls) {
    FloatCalls station;
    station.set_inflow(station.full_now_m3s() - 0.05);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.set_inflow(station.full_now_m3s() + 0.05);
    EXPECT_EQ(station.decide_now().intention, Intention::hand_over);
}

TEST(CallingFloat, brings_a_pump_when_the_transmitter_shows_less_water) {
    FloatCalls station;
    station.set_inflow(station.full_now_m3s() - 0.05);
    station.in.float_against_level = true;
    EXPECT_EQ(station.decide_now().intention, Intention::hand_over);
}

TEST(CallingFloat, with_a_free_drive_brings_no_pump_while_the_value_shows_the_same_water_and_falls) {
    Given station(1, false);
    station.set_value(station.settings.marks.stage_up_m + 0.3);
    station.in.float_calls = true;
    const double line_m3s = station.flows.total_m3s(1, 0, station.in.value_m);
    station.set_inflow(line_m3s - 0.05);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.set_inflow(line_m3s + 0.05);
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
}

TEST(CallingFloat, without_the_drive_leaves_the_decision_to_the_value_that_shows_the_same_water) {
    Given station(1, false);
    station.settings.line_start = four_pumps_with_line_starts().line_start;
    station.state.drive_locked_out = true;
    station.in.service = Service::fixed_speed;
    station.in.float_calls = true;
    station.set_value(station.settings.marks.stage_up_m + 0.3);
    station.set_inflow(station.flows.total_m3s(1, 0, station.in.value_m) + 0.2);
    ASSERT_LT(station.settings.staging.up_delay_ms, station.settings.floats.run_on_ms);
    EXPECT_TRUE(station.decide_after(station.settings.staging.up_delay_ms).now);
}

TEST(Danger, is_seen_below_the_setpoint_so_that_the_transfers_of_the_hour_give_way) {
    Settings settings = doubles::four_pumps();
    settings.permissives.transfers_per_hour_max = 1;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    ASSERT_EQ(watch.last(EventKind::limit_yielded), nullptr);
    watch.station.level_m = settings.marks.setpoint_m - 0.2;
    watch.run_for(30_s);
    watch.station.inflow_m3s = 8;
    ASSERT_TRUE(watch.run_until([&] { return watch.last(EventKind::limit_yielded) != nullptr; }, 2_min));
    EXPECT_LT(watch.station.level_m, settings.marks.setpoint_m);
}

TEST(FullFlow, is_read_again_when_the_drive_pump_joins_or_leaves) {
    const Given station(1);
    StagingState staging;
    const Situation at{station.state, station.picture,  station.in,
                       station.flows, station.settings, staging.since};
    const double with_drive_m3s = full_flow_m3s(staging, at, station.in.highest_hz);
    EXPECT_LT(full_flow_m3s(staging, at, 0), with_drive_m3s);
}

/// One pump on the drive that ramps down at the stop mark, because no water comes.
struct StopsAtTheMark : Watch {
    bool ramps_down() {
        if (!one_on_drive()) return false;
        station.inflow_m3s = 0;
        return run_until_step(Step::stop_ramp, 60_min);
    }
    std::size_t called_off() const { return count(EventKind::sequence_withdrawn, Sequence::stop_on_drive); }
};

TEST(StoppingDrivePump, keeps_running_when_the_inflow_returns_while_the_drive_ramps_down) {
    StopsAtTheMark watch;
    ASSERT_TRUE(watch.ramps_down());
    watch.station.inflow_m3s = 8;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 30_s));
    EXPECT_EQ(watch.called_off(), 1U);
    EXPECT_TRUE(watch.advice->drive_run);
    EXPECT_TRUE(watch.advice->pumps[0].drive_side_close);
}

TEST(StoppingDrivePump, stops_when_the_store_lasts_until_another_pump_runs) {
    StopsAtTheMark watch;
    ASSERT_TRUE(watch.ramps_down());
    watch.station.inflow_m3s = 0.7;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::off, 2_min));
    EXPECT_EQ(watch.called_off(), 0U);
}

TEST(StoppingDrivePump, stops_when_people_set_its_selector_to_off_although_the_inflow_returns) {
    StopsAtTheMark watch;
    ASSERT_TRUE(watch.ramps_down());
    watch.station.selector[0] = Selector::off;
    watch.station.inflow_m3s = 8;
    EXPECT_FALSE(watch.run_until_state(0, PumpState::on_drive, 2_min));
    EXPECT_EQ(watch.state(0), PumpState::unavailable);
}

}  // namespace
}  // namespace freshet::core
