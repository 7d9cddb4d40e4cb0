// The lanes of a report's plots: how the drive is shown to pass from pump to pump.
#include "controller/report/plot_lanes.hpp"

#include <gtest/gtest.h>

#include <array>
#include <string>
#include <vector>

namespace freshet::report {
namespace {

using enum core::PumpState;

/// Two pumps, with a new state each minute.
std::string lanes_of(const std::vector<std::array<core::PumpState, 2>>& minutes) {
    constexpr std::int64_t minute_ms = 60'000;
    record::PlotData data;
    std::int64_t now_ms = 0;
    for (const auto& [first, second] : minutes) {
        record::TrendRow row;
        row.time_ms = now_ms;
        row.pump_state[0] = first;
        row.pump_state[1] = second;
        data.add(row, 2);
        now_ms += minute_ms;
    }
    std::string svg;
    draw_lanes(svg, data, 2, {.begin_ms = 0, .end_ms = now_ms, .left = 0, .right = 1000}, 0);
    return svg;
}

bool drive_passes(const std::string& svg) {
    return svg.find("class=\"baton\"") != std::string::npos;
}

TEST(PlotLanes, let_the_drive_pass_from_the_pump_handed_over_to_the_next_one_started) {
    EXPECT_TRUE(drive_passes(lanes_of(
        {{on_drive, off}, {to_line, off}, {on_line, starting}, {on_line, on_drive}, {on_line, on_drive}})));
}

TEST(PlotLanes, let_the_drive_pass_from_the_pump_stopped_to_the_one_taken_back) {
    EXPECT_TRUE(drive_passes(lanes_of(
        {{on_drive, on_line}, {stopping, on_line}, {off, to_drive}, {off, on_drive}, {off, on_drive}})));
}

TEST(PlotLanes, leave_the_drive_where_it_is_when_a_pump_stops_from_the_line) {
    EXPECT_FALSE(drive_passes(
        lanes_of({{on_line, on_drive}, {stopping, on_drive}, {off, on_drive}, {off, stopping}, {off, off}})));
}

TEST(PlotLanes, leave_the_drive_where_it_was_when_a_pump_starts_on_the_line) {
    EXPECT_FALSE(drive_passes(
        lanes_of({{off, on_drive}, {off, stopping}, {off, off}, {starting, off}, {on_line, off}})));
}

}  // namespace
}  // namespace freshet::report
