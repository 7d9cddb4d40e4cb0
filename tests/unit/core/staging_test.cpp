// Single decisions of staging on a given picture of the station.
// One reason to change: when the number of running pumps changes.
#include "controller/core/staging.hpp"

#include <gtest/gtest.h>

#include <cstddef>
#include <cstdint>

#include "controller/core/alarms.hpp"
#include "controller/core/delivery.hpp"
#include "tests/unit/core/staging_given.hpp"

namespace freshet::core {
namespace {

// Looking ahead upwards
// ------------------------------------------------------------

TEST(Forecast, hands_over_before_the_mark_when_the_next_pump_would_come_too_late) {
    Given station(0);
    station.set_inflow(station.full_m3s(0) + 3);
    const Decision decision = station.decide_after(staging_hold_ms);
    EXPECT_EQ(decision.intention, Intention::hand_over);
    EXPECT_EQ(decision.why, Reason::forecast_short);
    EXPECT_TRUE(decision.now);
    EXPECT_LT(decision.values[2], decision.values[3]) << "time to the mark, time needed";
}

TEST(Forecast, shows_its_intention_during_the_hold_time) {
    Given station(0);
    station.set_inflow(station.full_m3s(0) + 3);
    const Decision first = station.decide_now();
    EXPECT_EQ(first.intention, Intention::hand_over);
    EXPECT_FALSE(first.now);
    EXPECT_EQ(first.countdown_ms, staging_hold_ms);
    station.set_inflow(0);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(Forecast, leaves_store_for_two_pumps_when_the_next_cannot_carry_the_inflow) {
    constexpr double excess_m3s = 0.4;
    const auto store_m3 = [](bool next_only) {
        Given station(0);
        if (next_only) station.state.pumps[2].state = station.state.pumps[3].state = PumpState::unavailable;
        station.set_inflow(station.full_m3s(1) + excess_m3s);
        station.set_area(1);  // so that the mark is near enough either way
        const Decision decision = station.decide_now();
        return decision.values[3] * (decision.values[0] - decision.values[1]);
    };
    const double synchronising_s = 15;
    EXPECT_GT(store_m3(false), store_m3(true) + excess_m3s * synchronising_s);
}

TEST(Forecast, leaves_no_time_for_pumps_that_do_not_exist) {
    const auto needed_s = [](std::uint8_t on_line, double inflow_m3s) {
        Given station(on_line);
        station.set_inflow(inflow_m3s);
        station.set_area(1);
        return station.decide_now().values[3];
    };
    const double flood_m3s = 100;
    EXPECT_GT(needed_s(0, flood_m3s), needed_s(1, flood_m3s));
    EXPECT_GT(needed_s(1, flood_m3s), needed_s(2, flood_m3s));
    EXPECT_GT(needed_s(2, flood_m3s), 0);
}

TEST(Forecast, that_is_switched_off_or_has_no_inflow_leaves_the_decision_to_the_mark) {
    Given switched_off(0);
    switched_off.settings.staging.forecast = false;
    switched_off.set_inflow(100);
    EXPECT_EQ(switched_off.decide_after(staging_hold_ms).intention, Intention::none);
    Given unknown(0);
    unknown.in.water.inflow_known = false;
    unknown.set_inflow(100);
    EXPECT_EQ(unknown.decide_after(staging_hold_ms).intention, Intention::none);
}

TEST(Forecast, starts_no_pump_while_the_store_lasts_for_the_climb) {
    Given wide(0);
    wide.set_inflow(wide.full_m3s(0) + 0.3);
    EXPECT_EQ(wide.decide_after(staging_hold_ms).intention, Intention::none);
    Given narrow(0);
    narrow.set_inflow(narrow.full_m3s(0) + 0.3);
    narrow.set_area(10);
    EXPECT_EQ(narrow.decide_after(staging_hold_ms).intention, Intention::hand_over);
}

TEST(Forecast, judges_what_the_pumps_carry_at_the_mark_and_not_at_the_present_level) {
    Given station(0);
    station.set_area(10);
    const double at_level_m3s = station.flows.total_m3s(0, station.in.highest_hz, station.in.value_m);
    ASSERT_LT(at_level_m3s, station.full_m3s(0)) << "a higher well lowers the static head";
    station.set_inflow(0.5 * (at_level_m3s + station.full_m3s(0)));
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::none);
}

TEST(Forecast, waits_while_the_doubt_of_the_inflow_is_greater_than_the_surplus) {
    Given station(0);
    station.set_area(10);
    const double surplus_m3s = 0.3;
    station.set_inflow(station.full_m3s(0) + surplus_m3s);
    station.in.water.doubt_m3s = surplus_m3s;
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::none);
    station.in.water.doubt_m3s = 0.5 * surplus_m3s;
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::hand_over);
}

// Looking ahead downwards
// ------------------------------------------------------------

TEST(Forecast, stops_a_line_pump_from_the_line_when_taking_one_back_would_come_too_late) {
    Given station(2);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.set_inflow(0.1);
    const Decision decision = station.decide_after(staging_hold_ms);
    EXPECT_EQ(decision.intention, Intention::stop_from_line);
    EXPECT_EQ(decision.why, Reason::forecast_empty);
    EXPECT_EQ(station.state.pumps[decision.pump].state, PumpState::on_line);
    EXPECT_LT(decision.values[2], decision.values[3]) << "time to the stop mark, time a take-back needs";
}

TEST(Forecast, stops_a_pump_from_the_line_while_the_drive_is_free) {
    Given station(2, false);
    station.set_area(50);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.set_inflow(0.1);
    EXPECT_FALSE(station.decide_now().now) << "within the hold time";
    station.picture.time_ms += staging_hold_ms;
    const Decision decision = station.decide_now();
    EXPECT_EQ(decision.intention, Intention::stop_from_line);
    EXPECT_TRUE(decision.now);
}

TEST(Band, is_ridden_by_the_drive_pump_alone_while_the_line_pumps_are_not_too_many) {
    Given station(2);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.set_inflow(station.least_m3s(2) - 0.05);
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention,
              Intention::stop_on_drive);
    EXPECT_FALSE(station.staging.take_back_wanted);
    Given stopped(2, false);
    stopped.set_value(station.in.value_m);
    stopped.set_inflow(stopped.least_m3s(2) - 0.05);
    ASSERT_GT(stopped.in.water.inflow_m3s, stopped.flows.total_m3s(2, 0, stopped.in.value_m));
    EXPECT_EQ(stopped.decide_now().intention, Intention::none);
    stopped.set_value(stopped.settings.marks.stage_up_m);
    stopped.set_inflow(stopped.flows.total_m3s(2, 0, stopped.in.value_m) + 0.05);
    EXPECT_EQ(stopped.decide_now().intention, Intention::start_on_drive);
}

TEST(Band, keeps_its_line_pumps_until_they_are_surely_more_than_the_inflow) {
    Given station(2, false);
    station.set_value(station.settings.marks.stage_down_m + 0.01);
    const double shortfall_m3s = 0.2;
    const double alone_m3s = station.flows.total_m3s(2, 0, station.settings.marks.stage_down_m);
    station.set_inflow(alone_m3s - shortfall_m3s);
    station.in.water.doubt_m3s = shortfall_m3s;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.in.water.doubt_m3s = 0.25 * shortfall_m3s;
    EXPECT_EQ(station.decide_now().intention, Intention::take_back);
}

TEST(Band, waits_for_two_minutes_whether_the_line_pumps_are_too_many_when_the_curves_may_be_off_by_so_much) {
    Given station(2, false);
    station.set_value(station.settings.marks.stage_down_m);
    const double within_curve_error = 0.97;
    station.set_inflow(within_curve_error *
                       station.flows.total_m3s(2, 0, station.settings.marks.stage_down_m));
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    constexpr std::int64_t shows_ms = 120'000, second_ms = 1000;
    EXPECT_EQ(station.decide_after(shows_ms - second_ms).intention, Intention::none);
    EXPECT_EQ(station.decide_after(second_ms).intention, Intention::take_back);
}

TEST(Band, takes_a_line_pump_back_so_that_the_store_is_at_the_mark_when_the_take_back_ends) {
    Given station(2, false);
    station.set_inflow(0.8);
    const double surplus_m3s =
        station.flows.total_m3s(2, 0, station.settings.marks.stage_down_m) - station.in.water.inflow_m3s;
    constexpr double seconds_per_ms = 1e-3;
    const double falls_m =
        surplus_m3s * seconds_per_ms * static_cast<double>(take_back_ms(station.settings, 0)) / 200;
    station.set_value(station.settings.marks.stage_down_m + falls_m + 0.01);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.set_value(station.settings.marks.stage_down_m + falls_m - 0.01);
    EXPECT_EQ(station.decide_now().intention, Intention::take_back);
}

TEST(Band, keeps_three_transfers_of_the_hour_for_going_up) {
    Given station(2, false);
    station.settings.staging.forecast = false;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    const int spare = 3;
    for (int i = 0; i < station.settings.permissives.transfers_per_hour_max - spare; ++i)
        station.state.transfers.note(now_ms);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(Forecast, never_stops_the_last_pump_from_the_line) {
    Given station(1, false);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.set_inflow(0);
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::take_back);
}

TEST(Forecast, stops_no_line_pump_before_its_minimum_run) {
    Given station(2);
    for (std::size_t pump = 0; pump < 2; ++pump) station.state.pumps[pump].started_ms = now_ms - 1000;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.set_inflow(0);
    EXPECT_NE(station.decide_after(staging_hold_ms).intention, Intention::stop_from_line);
}

// The discharge pressure at its limit
// ------------------------------------------------------------

TEST(DischargePressure, at_its_limit_stops_the_drive_pump_after_the_delay_and_takes_a_line_pump_back) {
    Given station(1);
    station.in.permit.pressure_high = true;
    const Decision first = station.decide_now();
    EXPECT_EQ(first.intention, Intention::stop_on_drive);
    EXPECT_FALSE(first.now);
    EXPECT_EQ(first.countdown_ms, station.settings.staging.down_delay_ms);
    station.picture.time_ms += station.settings.staging.down_delay_ms;
    const Decision then = station.decide_now();
    EXPECT_TRUE(then.now);
    EXPECT_EQ(then.why, Reason::pressure_high);
    EXPECT_TRUE(station.staging.take_back_wanted);
}

TEST(DischargePressure, leaves_the_last_pump_running) {
    Given station(0);
    station.in.permit.pressure_high = true;
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention, Intention::none);
}

TEST(DischargePressure, waits_for_the_minimum_run) {
    Given station(1);
    station.in.permit.pressure_high = true;
    station.state.pumps[station.state.drive_pump].started_ms = now_ms - 1000;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(DischargePressure, without_the_drive_stops_a_pump_from_the_line) {
    Given station(2, false);
    station.in.service = Service::fixed_speed;
    station.in.permit.pressure_high = true;
    const Decision less = station.decide_after(station.settings.staging.down_delay_ms);
    EXPECT_EQ(less.intention, Intention::stop_from_line);
    EXPECT_EQ(less.why, Reason::pressure_high);
    EXPECT_FALSE(station.staging.take_back_wanted);
    for (PumpRecord& pump : station.state.pumps) pump.started_ms = station.picture.time_ms - 1;
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "all pumps are in their minimum run";
}

TEST(DischargePressure, at_its_limit_with_a_free_drive_stops_line_pumps_and_takes_the_last_one_back) {
    Given station(2, false);
    station.set_value(station.settings.marks.stage_up_m + 0.1);
    station.staging.take_back_wanted = true;
    station.in.permit.pressure_high = true;
    const Decision less = station.decide_after(station.settings.staging.down_delay_ms);
    EXPECT_EQ(less.intention, Intention::stop_from_line);
    EXPECT_EQ(less.why, Reason::pressure_high);
    EXPECT_TRUE(less.now);
    EXPECT_TRUE(station.staging.take_back_wanted) << "the speed on the drive may fall";

    Given one(1, false);
    one.set_value(one.settings.marks.stage_up_m + 0.1);
    one.staging.take_back_wanted = true;
    one.in.permit.pressure_high = true;
    EXPECT_EQ(one.decide_now().intention, Intention::take_back);
}

TEST(DischargePressure, at_its_limit_does_not_prevent_the_stop_at_the_stop_mark) {
    for (const Service service : {Service::normal, Service::fixed_speed}) {
        const bool on_drive = service == Service::normal;
        Given station(on_drive ? 0 : 1, on_drive);
        station.in.service = service;
        station.in.permit.pressure_high = true;
        station.set_value(station.settings.marks.stop_m - 0.05);
        station.in.demand_hz = station.in.lowest_hz;
        const Decision last = station.decide_now();
        EXPECT_EQ(last.why, Reason::value_past_stop);
        EXPECT_TRUE(last.now);
    }
}

// Service `hold`
// ------------------------------------------------------------

TEST(Hold, changes_nothing_with_a_pump_on_the_drive_or_with_a_free_drive) {
    for (const bool on_drive : {true, false}) {
        Given station(1, on_drive);
        station.in.service = Service::hold;
        station.set_value(station.settings.marks.high_alarm_m);
        EXPECT_EQ(station.decide_after(60'000).intention, Intention::none) << on_drive;
    }
}

TEST(StageDown, waits_for_the_minimum_run_when_it_is_longer_than_the_delay) {
    Given station(1);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.in.water.inflow_known = false;
    station.state.pumps[station.state.drive_pump].started_ms = now_ms;
    const Decision down = station.decide_now();
    EXPECT_EQ(down.intention, Intention::stop_on_drive);
    EXPECT_FALSE(down.now);
    EXPECT_EQ(down.countdown_ms, station.settings.permissives.run_min_ms);
    station.state.pumps[station.state.drive_pump].started_ms =
        now_ms + 1000 - station.settings.permissives.run_min_ms;
    EXPECT_EQ(station.decide_now().countdown_ms, station.settings.staging.down_delay_ms)
        << "the delay is longer";
}

TEST(StageDown, restarts_its_delay_after_a_high_pressure) {
    Given station(1);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.in.water.inflow_known = false;
    station.decide_now();
    station.in.permit.pressure_high = true;
    station.decide_now();
    station.in.permit.pressure_high = false;
    station.picture.time_ms += station.settings.staging.down_delay_ms;
    const Decision down = station.decide_now();
    EXPECT_EQ(down.intention, Intention::stop_on_drive);
    EXPECT_FALSE(down.now) << "the demand was not judged during the high pressure";
    EXPECT_EQ(down.countdown_ms, station.settings.staging.down_delay_ms);
}

TEST(StageDown, is_not_delayed_by_a_flickering_forecast) {
    Given station(2);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    const double steady_m3s = station.least_m3s(2) - 0.05;
    constexpr std::int64_t second_ms = 1000, flicker_ms = 5000;
    std::int64_t waited_ms = 0;
    Decision down = station.decide_now();
    for (; !down.now && waited_ms < 10 * station.settings.staging.down_delay_ms; waited_ms += second_ms) {
        station.set_inflow(waited_ms % flicker_ms == 0 ? 0.1 : steady_m3s);
        station.picture.time_ms += second_ms;
        down = station.decide_now();
    }
    EXPECT_EQ(down.intention, Intention::stop_on_drive);
    EXPECT_LE(waited_ms, station.settings.staging.down_delay_ms + second_ms);
}

TEST(FixedSpeed, does_not_count_a_pump_that_is_stopping) {
    Given station(3, false);
    station.settings.staging.down_delay_ms = 0;
    station.in.service = Service::fixed_speed;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    int stopped = 0;
    for (Decision less = station.decide_now(); less.now && stopped < 4; less = station.decide_now()) {
        ASSERT_EQ(less.intention, Intention::stop_from_line);
        station.state.pumps[less.pump].state = PumpState::stopping;
        station.state.line_run[less.pump].step = Step::line_stop_open;  // its contact still reads closed
        ++stopped;
    }
    EXPECT_EQ(stopped, 2) << "the last pump runs until the stop mark";
}

TEST(FixedSpeed, restarts_the_delay_of_a_stop_after_a_lost_value) {
    Given station(2, false);
    station.in.service = Service::fixed_speed;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.decide_now();
    station.in.service = Service::hold;
    station.decide_now();
    station.in.service = Service::fixed_speed;
    station.picture.time_ms += station.settings.staging.down_delay_ms;
    const Decision less = station.decide_now();
    EXPECT_EQ(less.intention, Intention::stop_from_line);
    EXPECT_FALSE(less.now);
    EXPECT_EQ(less.countdown_ms, station.settings.staging.down_delay_ms);
}

TEST(StageUp, is_cancelled_when_the_level_falls_while_the_drive_is_freed) {
    Given station(1, false);
    station.staging.start_wanted = true;
    station.staging.drive_free_since_ms = now_ms;
    station.in.water.inflow_known = false;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    EXPECT_EQ(station.decide_now().intention, Intention::take_back);
    EXPECT_FALSE(station.staging.start_wanted);
}

// No pump more while the water falls, no pump fewer while the water rises
// ------------------------------------------------------------

TEST(StageUp, by_the_mark_waits_while_the_running_pumps_carry_the_inflow) {
    Given station(0);
    station.set_value(station.settings.marks.stage_up_m + 0.1);
    station.in.demand_hz = station.in.highest_hz;
    const double carried_m3s = station.flows.total_m3s(0, station.in.highest_hz, station.in.value_m);
    station.set_inflow(carried_m3s - 0.02);
    EXPECT_EQ(station.decide_after(station.settings.staging.up_delay_ms).intention, Intention::none);
    station.set_inflow(carried_m3s + 0.02);
    EXPECT_EQ(station.decide_after(station.settings.staging.up_delay_ms).intention, Intention::hand_over);
}

TEST(StageUp, by_the_mark_goes_on_while_the_inflow_is_not_known) {
    Given station(0);
    station.in.water.inflow_known = false;
    station.set_value(station.settings.marks.stage_up_m + 0.1);
    station.in.demand_hz = station.in.highest_hz;
    const Decision up = station.decide_after(station.settings.staging.up_delay_ms);
    EXPECT_EQ(up.intention, Intention::hand_over);
    EXPECT_EQ(up.why, Reason::demand_at_top);
}

TEST(StageDown, waits_while_the_inflow_is_surely_more_than_the_drive_pump_draws_at_its_minimum_flow) {
    Given station(1);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.set_inflow(station.least_m3s(1) + 0.05);
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention, Intention::none);
    station.in.water.doubt_m3s = 0.05;
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention,
              Intention::stop_on_drive);
}

TEST(FixedSpeed, starts_no_pump_while_the_level_falls) {
    Given station(1, false);
    station.state.drive_locked_out = true;
    station.in.service = Service::fixed_speed;
    station.settings.line_start.allowed = true;
    station.settings.line_start.short_circuit_va = 1e9;
    station.settings.line_start.supply_dip_max_ratio = 1;
    station.set_value(station.settings.marks.stage_up_m + 0.1);
    const double carried_m3s = station.flows.total_m3s(1, 0, station.in.value_m);
    station.set_inflow(carried_m3s - 0.02);
    EXPECT_EQ(station.decide_after(station.settings.staging.up_delay_ms).intention, Intention::none);
    station.set_inflow(carried_m3s + 0.02);
    EXPECT_EQ(station.decide_after(station.settings.staging.up_delay_ms).intention, Intention::line_start);
}

TEST(FixedSpeed, sheds_no_pump_while_the_level_rises) {
    Given station(2, false);
    station.in.service = Service::fixed_speed;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    const double carried_m3s = station.flows.total_m3s(2, 0, station.in.value_m);
    station.set_inflow(carried_m3s + 0.02);
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention, Intention::none);
    station.set_inflow(carried_m3s - 0.02);
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention,
              Intention::stop_from_line);
}

// The number of pumps that the supply carries
// ------------------------------------------------------------

TEST(PumpsAtOnce, beyond_the_limit_stop_the_drive_pump_when_people_run_the_line_pump_by_hand) {
    Given station(1);
    station.settings.permissives.pumps_max_on_generator = 1;
    station.picture.on_generator = true;
    station.state.pumps[0].state = PumpState::unavailable;  // people run this pump by hand
    const Decision less = station.decide_now();
    EXPECT_EQ(less.intention, Intention::stop_on_drive);
    EXPECT_EQ(less.pump, 1);
    EXPECT_TRUE(less.now);
    EXPECT_EQ(less.why, Reason::pumps_max_reached);
}

TEST(PumpsAtOnce, that_people_run_by_hand_are_not_stopped) {
    Given station(2, false);
    station.settings.permissives.pumps_max_on_generator = 1;
    station.picture.on_generator = true;
    for (std::size_t pump = 0; pump < 2; ++pump) station.state.pumps[pump].state = PumpState::unavailable;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

// A free drive
// ------------------------------------------------------------

TEST(FreeDrive, takes_a_pump_back_only_after_it_has_stopped) {
    Given station(2, false);
    station.settings.staging.forecast = false;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.picture.drive_stopped = false;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.picture.drive_stopped = true;
    EXPECT_EQ(station.decide_now().intention, Intention::take_back);
}

TEST(FreeDrive, by_floats_starts_the_next_pump_after_the_run_on_time) {
    Given station(0, false);
    station.in.service = Service::floats;
    station.in.float_calls = true;
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
    station.picture.time_ms += station.settings.floats.run_on_ms - 1;
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "the run-on time is not over";
    station.picture.time_ms += 1;
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
}

TEST(FreeDrive, by_floats_starts_the_next_pump_at_once_after_a_hand_over) {
    Given station(1, false);
    station.in.service = Service::floats;
    station.in.float_calls = true;
    station.staging.last_float_step_ms = now_ms;
    station.staging.start_wanted = true;
    station.staging.drive_free_since_ms = now_ms;
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
    EXPECT_FALSE(station.staging.start_wanted);
}

TEST(FreeDrive, by_floats_starts_no_pump_while_no_float_calls) {
    Given station(0, false);
    station.in.service = Service::floats;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(StageUp, starts_the_next_pump_even_if_freeing_the_drive_took_minutes) {
    Given station(1);
    station.set_value(station.settings.marks.stage_up_m - 0.1);
    station.set_inflow(station.full_m3s(1) + 3);
    ASSERT_EQ(station.decide_after(staging_hold_ms).intention, Intention::hand_over);
    Given freed(2, false);
    freed.set_value(freed.settings.marks.stage_up_m - 0.1);
    freed.set_inflow(station.in.water.inflow_m3s);
    freed.staging = station.staging;
    constexpr std::int64_t minutes_ms = 10 * 60'000;
    freed.picture.time_ms = station.picture.time_ms + minutes_ms;
    EXPECT_EQ(freed.decide_now().intention, Intention::start_on_drive);
}

TEST(StageUp, is_cancelled_when_the_line_pumps_carry_the_inflow_below_the_mark) {
    Given freed(2, false);
    freed.staging.start_wanted = true;
    freed.staging.drive_free_since_ms = now_ms;
    freed.set_inflow(freed.flows.total_m3s(2, 0, freed.settings.marks.stage_up_m) - 0.1);
    EXPECT_NE(freed.decide_now().intention, Intention::start_on_drive);
    EXPECT_FALSE(freed.staging.start_wanted);
}

TEST(StageUp, is_cancelled_when_no_pump_could_start_for_minutes) {
    Given station(0, false);
    station.staging.start_wanted = true;
    station.staging.drive_free_since_ms = now_ms;
    station.staging.wanted_why = Reason::demand_at_top;
    constexpr std::int64_t minutes_ms = 6 * 60'000;
    for (PumpRecord& pump : station.state.pumps) pump.state = PumpState::unavailable;
    station.picture.time_ms += minutes_ms;
    station.decide_now();
    station.state.pumps[0].state = PumpState::off;
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "below the start mark";
    station.set_value(station.settings.marks.start_m);
    EXPECT_EQ(station.decide_now().why, Reason::value_past_start);
}

TEST(FreeDrive, starts_the_first_pump_before_its_mark_when_the_store_would_not_wait) {
    Given station(0, false);
    station.set_inflow(station.full_m3s(0) + 0.5);
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "the store waits for the start mark";
    station.set_area(20);
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
}

TEST(FreeDrive, starts_a_pump_at_a_low_level_when_its_minimum_flow_does_not_bring_the_level_back) {
    // Source: common practice, an operator keeps the store free for a surge.
    Given station(2, false);
    station.set_value(station.settings.marks.stage_down_m + 0.1);
    const double minimum_hz = station.flows.minimum_flow_hz(2, station.settings.marks.stage_up_m);
    const double with_one_m3s = station.flows.total_m3s(2, minimum_hz, station.settings.marks.stage_up_m);
    station.set_inflow(1.04 * with_one_m3s);
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "within the error of the curves";
    station.set_inflow(1.06 * with_one_m3s);
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
    station.in.mode = WaterMode::fill_and_draw;
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "the duty lets the store fill";
}

TEST(FreeDrive, lets_the_store_fill_to_the_mark_in_a_band_that_no_combination_holds) {
    Given station(2, false);
    const double line_m3s = station.flows.total_m3s(2, 0, station.settings.marks.stage_up_m);
    const double minimum_hz = station.flows.minimum_flow_hz(2, station.settings.marks.stage_up_m);
    const double with_one_m3s = station.flows.total_m3s(2, minimum_hz, station.settings.marks.stage_up_m);
    ASSERT_LT(line_m3s, with_one_m3s - 0.02);
    station.set_inflow(with_one_m3s - 0.01);
    station.set_value(station.settings.marks.stage_up_m - 0.001);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.set_value(station.settings.marks.stage_up_m);
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
}

TEST(FreeDrive, of_a_duty_that_fills_the_store_starts_a_pump_so_early_that_the_mark_is_not_passed) {
    Given station(2, false);
    station.in.mode = WaterMode::fill_and_draw;
    const double surplus_m3s = 0.4;
    station.set_inflow(station.flows.total_m3s(2, 0, station.settings.marks.stage_up_m) + surplus_m3s);
    constexpr double seconds_per_ms = 1e-3;
    const double start_s =
        seconds_per_ms * static_cast<double>(start_on_drive_ms(station.settings, station.in.lowest_hz));
    const double rises_m = station.settings.staging.forecast_margin * surplus_m3s * start_s / 200;
    station.set_value(station.settings.marks.stage_up_m - rises_m - 0.005);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.set_value(station.settings.marks.stage_up_m - rises_m + 0.005);
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
}

// Exercise
// ------------------------------------------------------------

TEST(Exercise, exchanges_the_drive_pump_only_in_normal_service) {
    Given station(0);
    station.settings.exercise_ms = day_ms / 2;
    EXPECT_EQ(station.decide_now().why, Reason::exercise_due);
    station.in.service = Service::fixed_speed;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.in.service = Service::normal;
    station.state.pumps[0].started_ms = now_ms - 1000;
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "within its minimum run";
}

// A drive pump that cannot be handed over
// ------------------------------------------------------------

TEST(StageUp, stops_a_pump_whose_hand_overs_failed_and_starts_another) {
    Given station(0);
    station.state.latched_pump[0] = alarm_bit(PumpAlarm::hand_over_failed);
    station.set_inflow(station.full_m3s(0) + 3);
    const Decision change = station.decide_after(staging_hold_ms);
    EXPECT_EQ(change.intention, Intention::stop_on_drive);
    EXPECT_EQ(change.pump, 0);
    EXPECT_TRUE(change.now);
    EXPECT_TRUE(station.staging.start_wanted);
}

TEST(StageUp, stops_a_pump_whose_line_side_did_not_close_once) {
    Given station(0);
    station.state.latched_pump[0] = alarm_bit(PumpAlarm::line_side_does_not_close);
    station.set_inflow(station.full_m3s(0) + 3);
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::stop_on_drive);
}

TEST(StageUp, tries_the_hand_over_again_when_the_hand_overs_of_all_pumps_failed) {
    Given station(0);
    for (std::size_t pump = 0; pump < 4; ++pump)
        station.state.latched_pump[pump] = alarm_bit(PumpAlarm::hand_over_failed);
    station.set_inflow(station.full_m3s(0) + 3);
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::hand_over);
}

TEST(StageUp, keeps_a_pump_whose_hand_overs_failed_in_its_minimum_run_or_without_another_pump) {
    Given station(0);
    station.state.latched_pump[0] = alarm_bit(PumpAlarm::hand_over_failed);
    station.set_inflow(station.full_m3s(0) + 3);
    station.state.pumps[0].started_ms = now_ms;
    const Decision kept = station.decide_after(staging_hold_ms);
    EXPECT_EQ(kept.intention, Intention::stop_on_drive);
    EXPECT_FALSE(kept.now);
    for (std::size_t pump = 1; pump < 4; ++pump) station.state.pumps[pump].state = PumpState::unavailable;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(NoDelivery, stops_a_line_pump_that_nobody_replaces_while_another_pump_delivers) {
    Given given(1);
    const DeliveryWatch watch;
    given.in.delivery = &watch;
    given.state.latched_pump[0] = alarm_bit(PumpAlarm::no_delivery);
    given.state.pumps[2].state = given.state.pumps[3].state = PumpState::unavailable;
    given.set_inflow(2 * given.full_m3s(1));  // the need rises

    const Decision decision = given.decide_now();

    EXPECT_EQ(decision.intention, Intention::stop_from_line);
    EXPECT_EQ(decision.pump, 0);
    EXPECT_EQ(decision.why, Reason::no_delivery);
    given.in.permit.water_in_danger = true;
    EXPECT_NE(given.decide_now().why, Reason::no_delivery) << "the witnesses may be wrong";
}

}  // namespace
}  // namespace freshet::core
