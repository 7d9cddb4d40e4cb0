// When the number of pumps changes: one decision of the staging on a picture laid in front of it.
#include "controller/core/staging.hpp"

#include <gtest/gtest.h>

#include <cstddef>
#include <cstdint>

#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

constexpr std::int64_t now_ms = doubles::odd_start_ms;
constexpr std::int64_t day_ms = 86'400'000;

/// Four pumps, everything in order, the measured value at the setpoint; so many on the line, one more on the
/// drive.
struct Table {
    Settings settings = doubles::four_pumps();
    FlowTable flows{settings};
    SequencerState state;
    Picture picture;
    StagingState staging;
    StagingInputs in;

    explicit Table(std::uint8_t on_line, bool one_on_drive = true) {
        picture.time_ms = now_ms;
        picture.automatic = picture.drive_side_open = picture.line_side_open = 0x0F;
        picture.output_open = !one_on_drive;
        picture.output_closed = one_on_drive;
        picture.drive_known = picture.drive_hz_known = true;
        picture.drive_running = one_on_drive;
        picture.drive_stopped = !one_on_drive;
        picture.contacts_known = picture.floats_known = true;
        picture.on_line = on_line;
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump) {
            PumpRecord& record = state.pumps[pump];
            record.released_ms = now_ms - day_ms;
            if (pump > on_line || (pump == on_line && !one_on_drive)) continue;
            record.started_ms = now_ms - day_ms;
            record.state = pump < on_line ? PumpState::on_line : PumpState::on_drive;
            auto& closed = pump < on_line ? picture.line_side_closed : picture.drive_side_closed;
            auto& open = pump < on_line ? picture.line_side_open : picture.drive_side_open;
            closed = static_cast<PumpMask>(closed | bit_of(pump));
            open = static_cast<PumpMask>(open & ~bit_of(pump));
        }
        if (one_on_drive) state.drive_pump = on_line;
        in.marks = need_marks(settings);
        in.permit = {.settled = true, .data_starts = true};
        in.service = Service::normal;
        in.highest_hz = settings.drive.speed_max_hz;
        in.inflow_known = true;
        in.area_m2 = 200;
        stands_at(settings.marks.setpoint_m);
        in.demand_hz = in.lowest_hz;
    }
    void stands_at(double value_m) {
        in.value_m = value_m;
        in.need_m = need_of(settings, value_m);
        in.lowest_hz = flows.minimum_flow_hz(picture.on_line, value_m);
    }
    double full_m3s(std::size_t beside) const { return flows.total_m3s(beside, in.highest_hz, in.value_m); }
    Decision decide_now() { return decide(staging, state, picture, in, flows, settings); }
    Decision decide_after(std::int64_t wait_ms) {
        decide_now();
        picture.time_ms += wait_ms;
        return decide_now();
    }
};

constexpr std::int64_t forecast_hold_ms = 3000;

// Looking ahead upwards
// --------------------------------------------------------------------------------------------------

TEST(Forecast, hands_over_before_the_mark_when_the_next_pump_would_come_too_late) {
    Table station(0);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    const Decision decision = station.decide_after(forecast_hold_ms);
    EXPECT_EQ(decision.intention, Intention::hand_over);
    EXPECT_EQ(decision.why, Reason::forecast_short);
    EXPECT_TRUE(decision.now);
    EXPECT_LT(decision.values[2], decision.values[3]) << "time to the mark, time needed";
}

TEST(Forecast, says_what_it_will_do_while_it_waits_out_an_odd_reading) {
    Table station(0);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    const Decision first = station.decide_now();
    EXPECT_EQ(first.intention, Intention::hand_over);
    EXPECT_FALSE(first.now);
    EXPECT_EQ(first.countdown_ms, forecast_hold_ms);
    station.in.inflow_m3s = 0;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(Forecast, leaves_time_for_two_pumps_when_the_next_cannot_carry_the_inflow) {
    const auto needed_s = [](double over_the_next_m3s) {
        Table station(0);
        station.in.inflow_m3s = station.full_m3s(1) + over_the_next_m3s;
        station.in.area_m2 = 1;  // so that the mark is near enough either way
        return station.decide_now().values[3];
    };
    EXPECT_GT(needed_s(+0.01), 1.8 * needed_s(-0.01));
}

TEST(Forecast, leaves_time_for_no_more_pumps_than_there_are) {
    const auto needed_s = [](std::uint8_t on_line, double inflow_m3s) {
        Table station(on_line);
        station.in.inflow_m3s = inflow_m3s;
        station.in.area_m2 = 1;
        return station.decide_now().values[3];
    };
    const double flood_m3s = 100;
    EXPECT_GT(needed_s(0, flood_m3s), needed_s(1, flood_m3s));
    EXPECT_GT(needed_s(1, flood_m3s), needed_s(2, flood_m3s));
    EXPECT_GT(needed_s(2, flood_m3s), 0);
}

TEST(Forecast, that_is_switched_off_or_does_not_know_the_inflow_leaves_it_to_the_mark) {
    Table switched_off(0);
    switched_off.settings.staging.forecast = false;
    switched_off.in.inflow_m3s = 100;
    EXPECT_EQ(switched_off.decide_after(forecast_hold_ms).intention, Intention::none);
    Table unknown(0);
    unknown.in.inflow_known = false;
    unknown.in.inflow_m3s = 100;
    EXPECT_EQ(unknown.decide_after(forecast_hold_ms).intention, Intention::none);
}

TEST(Forecast, stages_nothing_up_while_the_store_is_well_below_its_setpoint) {
    Table station(0);
    station.stands_at(station.settings.marks.setpoint_m - 2 * station.settings.marks.deadband_m);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    EXPECT_NE(station.decide_after(forecast_hold_ms).intention, Intention::hand_over);
}

// Looking ahead downwards
// --------------------------------------------------------------------------------------------------

TEST(Forecast, stops_a_line_pump_from_the_line_when_taking_one_back_would_come_too_late) {
    Table station(2);
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    station.in.inflow_m3s = 0.1;
    const Decision decision = station.decide_after(forecast_hold_ms);
    EXPECT_EQ(decision.intention, Intention::stop_from_line);
    EXPECT_EQ(decision.why, Reason::forecast_empty);
    EXPECT_EQ(station.state.pumps[decision.pump].state, PumpState::on_line);
    EXPECT_LT(decision.values[2], decision.values[3]) << "time to the stop mark, time a take-back needs";
}

TEST(Forecast, stops_one_from_the_line_also_while_the_drive_is_free) {
    Table station(2, false);
    station.in.area_m2 = 50;
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    station.in.inflow_m3s = 0.1;
    EXPECT_FALSE(station.decide_now().now) << "before it is sure";
    station.picture.time_ms += forecast_hold_ms;
    const Decision decision = station.decide_now();
    EXPECT_EQ(decision.intention, Intention::stop_from_line);
    EXPECT_TRUE(decision.now);
}

TEST(Forecast, takes_back_as_usual_when_the_store_lasts_longer_than_that_takes) {
    Table station(2);
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.in.inflow_m3s = station.flows.total_m3s(2, station.in.lowest_hz, station.in.value_m) - 0.05;
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention,
              Intention::stop_on_drive);
    EXPECT_TRUE(station.staging.take_back_wanted);
}

TEST(Forecast, never_stops_the_last_pump_from_the_line) {
    Table station(1, false);
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    station.in.inflow_m3s = 0;
    EXPECT_EQ(station.decide_after(forecast_hold_ms).intention, Intention::take_back);
}

TEST(Forecast, stops_no_line_pump_before_its_minimum_run) {
    Table station(2);
    for (std::size_t pump = 0; pump < 2; ++pump) station.state.pumps[pump].started_ms = now_ms - 1000;
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    station.in.inflow_m3s = 0;
    EXPECT_NE(station.decide_after(forecast_hold_ms).intention, Intention::stop_from_line);
}

TEST(LettingGo, lasts_as_long_as_two_ramps_synchronising_and_five_contactor_moves) {
    Settings settings = doubles::four_pumps();
    const std::int64_t moves_ms = 5 * (60 + 100);
    EXPECT_EQ(take_back_ms(settings, 40), 10'000 + 15'000 + 15'000 + moves_ms);
    EXPECT_EQ(take_back_ms(settings, 0), 15'000 + 15'000 + moves_ms) << "the drive is free";
    EXPECT_EQ(bring_up_ms(settings, 40, 40), 15'000 + 15'000 + moves_ms) << "20 Hz up, then 40 Hz at 4 Hz/s";
    settings.drive.ramp_up_hz_s = settings.drive.ramp_down_hz_s = 0;
    EXPECT_EQ(take_back_ms(settings, 40), 15'000 + moves_ms) << "a drive that steps at once";
}

// The discharge pressure at its limit
// --------------------------------------------------------------------------------------------------

TEST(DischargePressure, at_its_limit_lets_the_drive_pump_go_after_the_delay_and_a_line_pump_come_back) {
    Table station(1);
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
    Table station(0);
    station.in.permit.pressure_high = true;
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention, Intention::none);
}

TEST(DischargePressure, waits_for_the_minimum_run) {
    Table station(1);
    station.in.permit.pressure_high = true;
    station.state.pumps[station.state.drive_pump].started_ms = now_ms - 1000;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(DischargePressure, without_the_drive_takes_one_from_the_line) {
    Table station(2, false);
    station.in.service = Service::fixed_speed;
    station.in.permit.pressure_high = true;
    const Decision less = station.decide_after(station.settings.staging.down_delay_ms);
    EXPECT_EQ(less.intention, Intention::stop_from_line);
    EXPECT_EQ(less.why, Reason::pressure_high);
    EXPECT_FALSE(station.staging.take_back_wanted);
    for (PumpRecord& pump : station.state.pumps) pump.started_ms = station.picture.time_ms - 1;
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "all in their minimum run";
}

TEST(DischargePressure, at_its_limit_with_the_drive_free_takes_pumps_from_the_line_and_the_last_one_back) {
    Table station(2, false);
    station.stands_at(station.settings.marks.stage_up_m + 0.1);
    station.staging.take_back_wanted = true;
    station.in.permit.pressure_high = true;
    const Decision less = station.decide_after(station.settings.staging.down_delay_ms);
    EXPECT_EQ(less.intention, Intention::stop_from_line);
    EXPECT_EQ(less.why, Reason::pressure_high);
    EXPECT_TRUE(less.now);
    EXPECT_TRUE(station.staging.take_back_wanted) << "on the drive its speed may fall";

    Table one(1, false);
    one.stands_at(one.settings.marks.stage_up_m + 0.1);
    one.staging.take_back_wanted = true;
    one.in.permit.pressure_high = true;
    EXPECT_EQ(one.decide_now().intention, Intention::take_back);
}

TEST(DischargePressure, at_its_limit_keeps_no_pump_past_the_stop_mark) {
    for (const Service service : {Service::normal, Service::fixed_speed}) {
        const bool on_drive = service == Service::normal;
        Table station(on_drive ? 0 : 1, on_drive);
        station.in.service = service;
        station.in.permit.pressure_high = true;
        station.stands_at(station.settings.marks.stop_m - 0.05);
        station.in.demand_hz = station.in.lowest_hz;
        const Decision last = station.decide_now();
        EXPECT_EQ(last.why, Reason::value_past_stop);
        EXPECT_TRUE(last.now);
    }
}

// Holding on
// --------------------------------------------------------------------------------------------------

TEST(Hold, changes_nothing_on_the_drive_with_the_drive_free_or_without_it) {
    for (const bool on_drive : {true, false}) {
        Table station(1, on_drive);
        station.in.service = Service::hold;
        station.stands_at(station.settings.marks.high_alarm_m);
        EXPECT_EQ(station.decide_after(60'000).intention, Intention::none) << on_drive;
    }
}

TEST(StageDown, waits_for_the_minimum_run_of_the_drive_pump_when_that_is_longer_than_the_delay) {
    Table station(1);
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.in.inflow_known = false;
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

TEST(StageDown, counts_its_delay_anew_when_the_pressure_came_between) {
    Table station(1);
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.in.inflow_known = false;
    station.decide_now();
    station.in.permit.pressure_high = true;
    station.decide_now();
    station.in.permit.pressure_high = false;
    station.picture.time_ms += station.settings.staging.down_delay_ms;
    const Decision down = station.decide_now();
    EXPECT_EQ(down.intention, Intention::stop_on_drive);
    EXPECT_FALSE(down.now) << "nobody watched the demand meanwhile";
    EXPECT_EQ(down.countdown_ms, station.settings.staging.down_delay_ms);
}

TEST(StageDown, is_not_put_off_by_a_forecast_that_flickers) {
    Table station(2);
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    const double steady_m3s = station.flows.total_m3s(2, station.in.lowest_hz, station.in.value_m) - 0.05;
    constexpr std::int64_t second_ms = 1000, flicker_ms = 5000;
    std::int64_t waited_ms = 0;
    Decision down = station.decide_now();
    for (; !down.now && waited_ms < 10 * station.settings.staging.down_delay_ms; waited_ms += second_ms) {
        station.in.inflow_m3s = waited_ms % flicker_ms == 0 ? 0.1 : steady_m3s;
        station.picture.time_ms += second_ms;
        down = station.decide_now();
    }
    EXPECT_EQ(down.intention, Intention::stop_on_drive);
    EXPECT_LE(waited_ms, station.settings.staging.down_delay_ms + second_ms);
}

TEST(FixedSpeed, counts_a_pump_that_is_being_stopped_no_more) {
    Table station(3, false);
    station.settings.staging.down_delay_ms = 0;
    station.in.service = Service::fixed_speed;
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    int stopped = 0;
    for (Decision less = station.decide_now(); less.now && stopped < 4; less = station.decide_now()) {
        ASSERT_EQ(less.intention, Intention::stop_from_line);
        station.state.pumps[less.pump].state = PumpState::stopping;
        station.state.line_stop[less.pump].step = Step::line_stop_open;  // its contact still reads closed
        ++stopped;
    }
    EXPECT_EQ(stopped, 2) << "the last pump runs down to the stop mark";
}

TEST(FixedSpeed, counts_the_delay_of_a_stop_anew_when_there_was_no_value_to_go_by_meanwhile) {
    Table station(2, false);
    station.in.service = Service::fixed_speed;
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
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

TEST(StageUp, that_lost_its_ground_while_the_drive_was_freed_is_given_up_for_a_take_back) {
    Table station(1, false);
    station.staging.start_wanted = true;
    station.staging.drive_free_since_ms = now_ms;
    station.in.inflow_known = false;
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    EXPECT_EQ(station.decide_now().intention, Intention::take_back);
    EXPECT_FALSE(station.staging.start_wanted);
}

// What the supply carries
// --------------------------------------------------------------------------------------------------

TEST(PumpsAtOnce, beyond_what_a_generator_carries_stop_the_drive_pump_where_none_on_the_line_is_ours) {
    Table station(1);
    station.settings.permissives.pumps_max_on_generator = 1;
    station.picture.on_generator = true;
    station.state.pumps[0].state = PumpState::unavailable;  // somebody runs it by hand
    const Decision less = station.decide_now();
    EXPECT_EQ(less.intention, Intention::stop_on_drive);
    EXPECT_EQ(less.pump, 1);
    EXPECT_TRUE(less.now);
    EXPECT_EQ(less.why, Reason::pumps_max_reached);
}

TEST(PumpsAtOnce, that_people_run_by_hand_are_left_to_them) {
    Table station(2, false);
    station.settings.permissives.pumps_max_on_generator = 1;
    station.picture.on_generator = true;
    for (std::size_t pump = 0; pump < 2; ++pump) station.state.pumps[pump].state = PumpState::unavailable;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

// A free drive
// --------------------------------------------------------------------------------------------------

TEST(FreeDrive, takes_a_pump_back_only_when_it_has_come_to_a_stand) {
    Table station(2, false);
    station.settings.staging.forecast = false;
    station.stands_at(station.settings.marks.stage_down_m - 0.05);
    station.picture.drive_stopped = false;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.picture.drive_stopped = true;
    EXPECT_EQ(station.decide_now().intention, Intention::take_back);
}

TEST(FreeDrive, by_floats_starts_one_pump_and_the_next_when_that_one_has_had_its_time) {
    Table station(0, false);
    station.in.service = Service::floats;
    station.in.float_calls = true;
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
    station.picture.time_ms += station.settings.floats.run_on_ms - 1;
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "the float has not had its time";
    station.picture.time_ms += 1;
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
}

TEST(FreeDrive, by_floats_starts_the_next_pump_at_once_when_the_one_before_was_handed_over_for_it) {
    Table station(1, false);
    station.in.service = Service::floats;
    station.in.float_calls = true;
    station.staging.last_float_step_ms = now_ms;
    station.staging.start_wanted = true;
    station.staging.drive_free_since_ms = now_ms;
    EXPECT_EQ(station.decide_now().intention, Intention::start_on_drive);
    EXPECT_FALSE(station.staging.start_wanted);
}

TEST(FreeDrive, by_floats_starts_nothing_while_none_calls) {
    Table station(0, false);
    station.in.service = Service::floats;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(StageUp, that_took_minutes_to_free_the_drive_still_starts_the_next_pump) {
    Table station(1);
    station.stands_at(station.settings.marks.stage_up_m - 0.1);
    station.in.inflow_m3s = station.full_m3s(1) + 3;
    ASSERT_EQ(station.decide_after(forecast_hold_ms).intention, Intention::hand_over);
    Table freed(2, false);
    freed.stands_at(freed.settings.marks.stage_up_m - 0.1);
    freed.staging = station.staging;
    constexpr std::int64_t minutes_ms = 10 * 60'000;
    freed.picture.time_ms = station.picture.time_ms + minutes_ms;
    EXPECT_EQ(freed.decide_now().intention, Intention::start_on_drive);
}

TEST(StageUp, that_found_no_pump_to_start_for_minutes_is_left_to_the_marks) {
    Table station(0, false);
    station.staging.start_wanted = true;
    station.staging.drive_free_since_ms = now_ms;
    station.staging.wanted_why = Reason::demand_at_top;
    constexpr std::int64_t minutes_ms = 6 * 60'000;
    for (PumpRecord& pump : station.state.pumps) pump.state = PumpState::unavailable;
    station.picture.time_ms += minutes_ms;
    station.decide_now();
    station.state.pumps[0].state = PumpState::off;
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "below the start mark";
    station.stands_at(station.settings.marks.start_m);
    EXPECT_EQ(station.decide_now().why, Reason::value_past_start);
}

// Exercise
// --------------------------------------------------------------------------------------------------

TEST(Exercise, exchanges_the_drive_pump_only_while_the_value_can_be_trusted) {
    Table station(0);
    station.settings.exercise_ms = day_ms / 2;
    EXPECT_EQ(station.decide_now().why, Reason::exercise_due);
    station.in.service = Service::fixed_speed;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.in.service = Service::normal;
    station.state.pumps[0].started_ms = now_ms - 1000;
    EXPECT_EQ(station.decide_now().intention, Intention::none) << "within its minimum run";
}

// A drive pump that cannot be handed over
// --------------------------------------------------------------------------------------------------

TEST(StageUp, lets_a_pump_go_whose_hand_overs_failed_so_that_another_may_come_on) {
    Table station(0);
    station.state.latched_pump[0] = alarm_bit(PumpAlarm::hand_over_failed);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    const Decision change = station.decide_after(forecast_hold_ms);
    EXPECT_EQ(change.intention, Intention::stop_on_drive);
    EXPECT_EQ(change.pump, 0);
    EXPECT_TRUE(change.now);
    EXPECT_TRUE(station.staging.start_wanted);
}

TEST(StageUp, does_not_wait_for_a_line_side_contactor_that_did_not_close_once) {
    Table station(0);
    station.state.latched_pump[0] = alarm_bit(PumpAlarm::line_side_does_not_close);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    EXPECT_EQ(station.decide_after(forecast_hold_ms).intention, Intention::stop_on_drive);
}

TEST(StageUp, tries_the_hand_over_again_where_no_other_pump_would_fare_better) {
    Table station(0);
    for (std::size_t pump = 0; pump < 4; ++pump)
        station.state.latched_pump[pump] = alarm_bit(PumpAlarm::hand_over_failed);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    EXPECT_EQ(station.decide_after(forecast_hold_ms).intention, Intention::hand_over);
}

TEST(StageUp, keeps_a_pump_whose_hand_overs_failed_for_its_minimum_run_and_while_there_is_no_other) {
    Table station(0);
    station.state.latched_pump[0] = alarm_bit(PumpAlarm::hand_over_failed);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    station.state.pumps[0].started_ms = now_ms;
    const Decision kept = station.decide_after(forecast_hold_ms);
    EXPECT_EQ(kept.intention, Intention::stop_on_drive);
    EXPECT_FALSE(kept.now);
    for (std::size_t pump = 1; pump < 4; ++pump) station.state.pumps[pump].state = PumpState::unavailable;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

}  // namespace
}  // namespace freshet::core
