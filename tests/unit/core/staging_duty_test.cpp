// What the staging does with the marks and the draw that the duty wants.
// One reason to change: how the duty changes a decision of the staging.
#include <gtest/gtest.h>

#include <cstdint>

#include "controller/core/moving_setpoint.hpp"
#include "tests/unit/core/staging_given.hpp"

namespace freshet::core::staging_duty {
namespace {

constexpr double just_m = 0.02;  // past a mark

/// The drive pump draws at full speed with `on_line` pumps on the line.
Given drawing(std::uint8_t on_line) {
    Given station(on_line);
    station.in.draws = true;
    station.in.mode = WaterMode::fill_and_draw;
    station.in.demand_hz = station.in.highest_hz;
    station.set_inflow(0.1 + station.flows.total_m3s(on_line, 0, station.in.value_m));
    return station;
}

TEST(StagingOfADraw, stops_the_last_pump_at_the_stop_mark_whatever_its_speed_is) {
    Given station = drawing(0);
    station.set_value(station.settings.marks.stop_m + just_m);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.set_value(station.settings.marks.stop_m - just_m);
    const Decision stop = station.decide_now();
    EXPECT_EQ(stop.intention, Intention::stop_on_drive);
    EXPECT_EQ(stop.why, Reason::drawn_down);
    EXPECT_EQ(stop.values[1], station.settings.marks.stop_m);
    EXPECT_EQ(stop.values[2], station.in.highest_hz);
    EXPECT_TRUE(stop.now);
}

TEST(StagingOfADraw, stops_the_drive_pump_at_the_stage_down_mark_and_leaves_the_line_pumps) {
    Given station = drawing(1);
    station.set_value(station.settings.marks.stage_down_m - just_m);
    const Decision stop = station.decide_after(station.settings.staging.down_delay_ms);
    EXPECT_EQ(stop.intention, Intention::stop_on_drive);
    EXPECT_EQ(stop.why, Reason::drawn_down);
    EXPECT_EQ(stop.values[1], station.settings.marks.stage_down_m);
    EXPECT_TRUE(stop.now);
}

TEST(StagingOfADraw, changes_no_pump_over_because_the_draw_stops_its_pump_anyway) {
    Given station = drawing(0);
    station.settings.run_longest_ms = day_ms / 2;
    EXPECT_EQ(station.decide_now().intention, Intention::none);
    station.in.draws = false;
    EXPECT_EQ(station.decide_now().why, Reason::run_longest);
}

TEST(StagingOfADuty, names_the_charged_vessel_and_the_well_that_is_drawn_down) {
    const auto reason_in = [](WaterMode mode) {
        Given station(0);
        station.in.mode = mode;
        station.set_value(station.settings.marks.stop_m - just_m);
        station.in.demand_hz = station.in.lowest_hz;
        return station.decide_now().why;
    };
    EXPECT_EQ(reason_in(WaterMode::hold), Reason::value_past_stop);
    EXPECT_EQ(reason_in(WaterMode::sleep), Reason::vessel_charged);
    EXPECT_EQ(reason_in(WaterMode::draw_down), Reason::well_drawn_down);
}

/// All staging marks have moved towards a smaller need.
void move_marks(Given& station, double rise_m) {
    MovingSetpoint setpoint;
    setpoint.rise_m = rise_m;
    station.in.marks = moved_marks(setpoint, station.settings);
}

TEST(StagingWithMovedMarks, is_quiet_about_the_moved_setpoint) {
    const double rise_m = 0.2;
    Given station(0);
    station.settings.run_longest_ms = day_ms / 2;
    station.set_inflow(0.3);
    station.in.demand_hz = station.in.highest_hz;
    move_marks(station, rise_m);
    EXPECT_EQ(station.decide_now().intention, Intention::none)
        << "the old setpoint is far above the moved one";
    station.set_value(station.settings.marks.setpoint_m - rise_m);
    EXPECT_EQ(station.decide_now().why, Reason::run_longest);
}

TEST(StagingWithMovedMarks, stops_no_line_pump_early_above_the_moved_setpoint) {
    Given station(2);
    const double rise_m = 0.2;
    move_marks(station, rise_m);
    station.set_area(20);  // so that the store lasts for seconds
    station.set_inflow(0.1);
    station.set_value(station.settings.marks.setpoint_m - just_m);
    EXPECT_NE(station.decide_after(staging_hold_ms).why, Reason::forecast_empty);
    station.set_value(station.settings.marks.setpoint_m - rise_m - just_m);
    EXPECT_EQ(station.decide_after(staging_hold_ms).why, Reason::forecast_empty);
}

TEST(StagingWithMovedMarks, starts_pumps_without_the_drive_at_the_moved_marks) {
    const double rise_m = 0.2;
    const auto decided_at = [&](std::uint8_t on_line, double value_m) {
        Given station(on_line, false);
        station.state.drive_locked_out = true;
        station.settings.line_start.allowed = true;
        station.settings.line_start.short_circuit_va = 1e9;
        station.settings.line_start.supply_dip_max_ratio = 1;
        const Settings::Marks& marks = station.settings.marks;
        station.settings.staging.lag_count = 3;
        for (LagMarks& lag : station.settings.staging.lag) lag = {marks.stage_up_m, marks.stage_down_m};
        station.in.service = Service::fixed_speed;
        station.set_inflow(5);
        move_marks(station, rise_m);
        station.set_value(value_m);
        return station.decide_after(station.settings.staging.up_delay_ms);
    };
    const Settings::Marks marks = doubles::four_pumps().marks;
    for (const std::uint8_t on_line : {std::uint8_t{0}, std::uint8_t{1}}) {
        const double start_m = on_line == 0 ? marks.start_m : marks.stage_up_m;
        const Decision start = decided_at(on_line, start_m - rise_m + just_m);
        EXPECT_EQ(start.intention, Intention::line_start) << int{on_line};
        EXPECT_NEAR(start.values[1], start_m - rise_m, 1e-9) << int{on_line};
        EXPECT_NE(decided_at(on_line, start_m - rise_m - just_m).intention, Intention::line_start)
            << int{on_line};
    }
}

}  // namespace
}  // namespace freshet::core::staging_duty
