// Single decisions of staging on a given picture of the station.
// One reason to change: when the number of running pumps changes.
#include "controller/core/staging.hpp"

#include <gtest/gtest.h>

#include <cstddef>
#include <cstdint>

#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

constexpr std::int64_t now_ms = doubles::odd_start_ms;
constexpr std::int64_t day_ms = 86'400'000;

/// Four healthy pumps and a level at the setpoint. `on_line` pumps run on the line and one more on the drive.
struct Given {
    Settings settings = doubles::four_pumps();
    FlowTable flows{settings};
    SequencerState state;
    Picture picture;
    StagingState staging;
    StagingInputs in;

    explicit Given(std::uint8_t on_line, bool one_on_drive = true) {
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
        set_value(settings.marks.setpoint_m);
        in.demand_hz = in.lowest_hz;
    }
    void set_value(double value_m) {
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
// ------------------------------------------------------------

TEST(Forecast, hands_over_before_the_mark_when_the_next_pump_would_come_too_late) {
    Given station(0);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    const Decision decision = station.decide_after(forecast_hold_ms);
    EXPECT_EQ(decision.intention, Intention::hand_over);
    EXPECT_EQ(decision.why, Reason::forecast_short);
    EXPECT_TRUE(decision.now);
    EXPECT_LT(decision.values[2], decision.values[3]) << "time to the mark, time needed";
}

TEST(Forecast, shows_its_intention_during_the_hold_time) {
    Given station(0);
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
        Given station(0);
        station.in.inflow_m3s = station.full_m3s(1) + over_the_next_m3s;
        station.in.area_m2 = 1;  // so that the mark is near enough either way
        return station.decide_now().values[3];
    };
    EXPECT_GT(needed_s(+0.01), 1.8 * needed_s(-0.01));
}

TEST(Forecast, leaves_no_time_for_pumps_that_do_not_exist) {
    const auto needed_s = [](std::uint8_t on_line, double inflow_m3s) {
        Given station(on_line);
        station.in.inflow_m3s = inflow_m3s;
        station.in.area_m2 = 1;
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
    switched_off.in.inflow_m3s = 100;
    EXPECT_EQ(switched_off.decide_after(forecast_hold_ms).intention, Intention::none);
    Given unknown(0);
    unknown.in.inflow_known = false;
    unknown.in.inflow_m3s = 100;
    EXPECT_EQ(unknown.decide_after(forecast_hold_ms).intention, Intention::none);
}

TEST(Forecast, starts_no_pump_while_the_level_is_well_below_the_setpoint) {
    Given station(0);
    station.set_value(station.settings.marks.setpoint_m - 2 * station.settings.marks.deadband_m);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    EXPECT_NE(station.decide_after(forecast_hold_ms).intention, Intention::hand_over);
}

// Looking ahead downwards
// ------------------------------------------------------------

TEST(Forecast, stops_a_line_pump_from_the_line_when_taking_one_back_would_come_too_late) {
    Given station(2);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.inflow_m3s = 0.1;
    const Decision decision = station.decide_after(forecast_hold_ms);
    EXPECT_EQ(decision.intention, Intention::stop_from_line);
    EXPECT_EQ(decision.why, Reason::forecast_empty);
    EXPECT_EQ(station.state.pumps[decision.pump].state, PumpState::on_line);
    EXPECT_LT(decision.values[2], decision.values[3]) << "time to the stop mark, time a take-back needs";
}

TEST(Forecast, stops_a_pump_from_the_line_while_the_drive_is_free) {
    Given station(2, false);
    station.in.area_m2 = 50;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.inflow_m3s = 0.1;
    EXPECT_FALSE(station.decide_now().now) << "within the hold time";
    station.picture.time_ms += forecast_hold_ms;
    const Decision decision = station.decide_now();
    EXPECT_EQ(decision.intention, Intention::stop_from_line);
    EXPECT_TRUE(decision.now);
}

TEST(Forecast, takes_a_pump_back_when_the_store_lasts_long_enough) {
    Given station(2);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.in.inflow_m3s = station.flows.total_m3s(2, station.in.lowest_hz, station.in.value_m) - 0.05;
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention,
              Intention::stop_on_drive);
    EXPECT_TRUE(station.staging.take_back_wanted);
}

TEST(Forecast, never_stops_the_last_pump_from_the_line) {
    Given station(1, false);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.inflow_m3s = 0;
    EXPECT_EQ(station.decide_after(forecast_hold_ms).intention, Intention::take_back);
}

TEST(Forecast, stops_no_line_pump_before_its_minimum_run) {
    Given station(2);
    for (std::size_t pump = 0; pump < 2; ++pump) station.state.pumps[pump].started_ms = now_ms - 1000;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.inflow_m3s = 0;
    EXPECT_NE(station.decide_after(forecast_hold_ms).intention, Intention::stop_from_line);
}

TEST(FreeingTheDrive, lasts_two_ramps_synchronising_and_five_contactor_moves) {
    Settings settings = doubles::four_pumps();
    const std::int64_t moves_ms = 5 * (60 + 100);
    EXPECT_EQ(take_back_ms(settings, 40), 10'000 + 15'000 + 15'000 + moves_ms);
    EXPECT_EQ(take_back_ms(settings, 0), 15'000 + 15'000 + moves_ms) << "the drive is free";
    EXPECT_EQ(bring_up_ms(settings, 40, 40), 15'000 + 15'000 + moves_ms) << "20 Hz up, then 40 Hz at 4 Hz/s";
    settings.drive.ramp_up_hz_s = settings.drive.ramp_down_hz_s = 0;
    EXPECT_EQ(take_back_ms(settings, 40), 15'000 + moves_ms) << "a drive without ramps";
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

TEST(StageDown, restarts_its_delay_after_a_high_pressure) {
    Given station(1);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.in.inflow_known = false;
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
    station.in.inflow_known = false;
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    EXPECT_EQ(station.decide_now().intention, Intention::take_back);
    EXPECT_FALSE(station.staging.start_wanted);
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
    station.in.inflow_m3s = station.full_m3s(1) + 3;
    ASSERT_EQ(station.decide_after(forecast_hold_ms).intention, Intention::hand_over);
    Given freed(2, false);
    freed.set_value(freed.settings.marks.stage_up_m - 0.1);
    freed.staging = station.staging;
    constexpr std::int64_t minutes_ms = 10 * 60'000;
    freed.picture.time_ms = station.picture.time_ms + minutes_ms;
    EXPECT_EQ(freed.decide_now().intention, Intention::start_on_drive);
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
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    const Decision change = station.decide_after(forecast_hold_ms);
    EXPECT_EQ(change.intention, Intention::stop_on_drive);
    EXPECT_EQ(change.pump, 0);
    EXPECT_TRUE(change.now);
    EXPECT_TRUE(station.staging.start_wanted);
}

TEST(StageUp, stops_a_pump_whose_line_side_did_not_close_once) {
    Given station(0);
    station.state.latched_pump[0] = alarm_bit(PumpAlarm::line_side_does_not_close);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    EXPECT_EQ(station.decide_after(forecast_hold_ms).intention, Intention::stop_on_drive);
}

TEST(StageUp, tries_the_hand_over_again_when_the_hand_overs_of_all_pumps_failed) {
    Given station(0);
    for (std::size_t pump = 0; pump < 4; ++pump)
        station.state.latched_pump[pump] = alarm_bit(PumpAlarm::hand_over_failed);
    station.in.inflow_m3s = station.full_m3s(0) + 3;
    EXPECT_EQ(station.decide_after(forecast_hold_ms).intention, Intention::hand_over);
}

TEST(StageUp, keeps_a_pump_whose_hand_overs_failed_in_its_minimum_run_or_without_another_pump) {
    Given station(0);
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
