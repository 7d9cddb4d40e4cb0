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
        picture.drive_standing = !one_on_drive;
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
    EXPECT_EQ(let_go_ms(settings, 40), 10'000 + 15'000 + 15'000 + moves_ms);
    EXPECT_EQ(let_go_ms(settings, 0), 15'000 + 15'000 + moves_ms) << "the drive is free";
    EXPECT_EQ(bring_up_ms(settings, 40, 40), 15'000 + 15'000 + moves_ms) << "20 Hz up, then 40 Hz at 4 Hz/s";
    settings.drive.ramp_up_hz_s = settings.drive.ramp_down_hz_s = 0;
    EXPECT_EQ(let_go_ms(settings, 40), 15'000 + moves_ms) << "a drive that steps at once";
}

}  // namespace
}  // namespace freshet::core
