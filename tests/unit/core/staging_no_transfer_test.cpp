// Single decisions of the staging while transfers are impossible.
// One reason to change: how the staging starts and stops pumps without transfers.
#include "controller/core/staging.hpp"

#include <gtest/gtest.h>

#include <cstdint>

#include "tests/unit/core/staging_given.hpp"

namespace freshet::core {
namespace {

// A drive pump that cannot be handed over, where the station allows line starts
// ------------------------------------------------------------

/// Transfers failed attempts_max times in a row, and the transfer pause is not over.
Given transfers_fail(std::uint8_t on_line, bool one_on_drive = true) {
    Given station(on_line, one_on_drive);
    station.settings.line_start.allowed = true;
    station.settings.line_start.short_circuit_va = 100e6;
    station.state.transfer_attempts = station.settings.step.attempts_max;
    station.state.transfer_retry_after_ms = now_ms + station.settings.step.transfer_pause_ms;
    return station;
}

TEST(StageUp, starts_a_pump_on_the_line_while_transfers_are_impossible) {
    Given station = transfers_fail(0);
    station.set_inflow(station.full_m3s(0) + 3);
    const Decision start = station.decide_after(staging_hold_ms);
    EXPECT_EQ(start.intention, Intention::line_start);
    EXPECT_NE(start.pump, 0);
    EXPECT_TRUE(start.now);
    EXPECT_EQ(start.why, Reason::forecast_short);
}

TEST(StageUp, starts_a_pump_on_the_line_after_one_failed_transfer_only_when_the_water_cannot_wait) {
    Given station = transfers_fail(0);
    station.state.transfer_attempts = 1;
    station.state.transfer_retry_after_ms = now_ms;
    station.set_inflow(station.full_m3s(0) + 3);
    station.set_value(station.settings.marks.stage_up_m);
    station.in.demand_hz = station.in.highest_hz;
    station.set_area(20'000);  // the water needs hours to the high mark
    EXPECT_EQ(station.decide_after(station.settings.staging.up_delay_ms).intention, Intention::hand_over);
    station.set_area(20);
    EXPECT_EQ(station.decide_now().intention, Intention::line_start);
    station.set_area(20'000);
    station.set_value(station.settings.marks.high_alarm_m);
    EXPECT_EQ(station.decide_now().intention, Intention::line_start);
}

TEST(StageUp, waits_for_the_spacing_of_line_starts_and_keeps_the_drive_pump) {
    Given station = transfers_fail(0);
    station.state.last_line_start_ms = now_ms;
    station.set_inflow(station.full_m3s(0) + 3);
    EXPECT_EQ(station.decide_after(staging_hold_ms).intention, Intention::none);
}

TEST(StageDown, stops_a_line_pump_while_transfers_are_impossible_when_the_others_carry_the_inflow) {
    Given station = transfers_fail(2);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.set_inflow(station.flows.total_m3s(1, station.in.highest_hz, station.in.value_m) - 0.05);
    const Decision less = station.decide_after(station.settings.staging.down_delay_ms);
    EXPECT_EQ(less.intention, Intention::stop_from_line);
    EXPECT_TRUE(less.now);
    EXPECT_FALSE(station.staging.take_back_wanted);
}

TEST(StageDown, stops_the_drive_pump_in_the_band_that_no_combination_holds_while_transfers_are_impossible) {
    Given station = transfers_fail(2);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.in.demand_hz = station.in.lowest_hz;
    station.set_inflow(station.flows.total_m3s(1, station.in.highest_hz, station.in.value_m) + 0.05);
    const Decision less = station.decide_after(station.settings.staging.down_delay_ms);
    EXPECT_EQ(less.intention, Intention::stop_on_drive);
}

TEST(FreeDrive, stops_a_line_pump_instead_of_a_take_back_while_transfers_are_impossible) {
    Given station = transfers_fail(2, false);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.set_inflow(station.flows.total_m3s(2, 0, station.in.value_m) - 0.05);
    const Decision less = station.decide_after(station.settings.staging.down_delay_ms);
    EXPECT_EQ(less.intention, Intention::stop_from_line);
    EXPECT_TRUE(less.now);
}

TEST(FreeDrive, keeps_the_line_pumps_while_the_inflow_is_more_than_they_carry) {
    Given station = transfers_fail(2, false);
    station.set_value(station.settings.marks.stage_down_m - 0.05);
    station.set_inflow(station.flows.total_m3s(2, 0, station.in.value_m) + 0.05);
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention, Intention::none);
}

TEST(FreeDrive, keeps_the_last_line_pump_until_the_stop_mark_while_transfers_are_impossible) {
    Given station = transfers_fail(1, false);
    station.set_inflow(0.1);
    station.set_value(station.settings.marks.stop_m + 0.05);
    EXPECT_EQ(station.decide_after(station.settings.staging.down_delay_ms).intention, Intention::none);
    station.set_value(station.settings.marks.stop_m - 0.05);
    EXPECT_EQ(station.decide_now().intention, Intention::stop_from_line);
}

}  // namespace
}  // namespace freshet::core
