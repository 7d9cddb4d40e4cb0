// The lanes of a report's plots. Each pump has a lane along time. The lane shows the pump off, on the drive,
// in transfer or on the line.
// One reason to change: the look of the states of a pump.
#pragma once

#include <cstdint>
#include <string>

#include "controller/record/plot_data.hpp"
#include "controller/report/plot_frame.hpp"

namespace freshet::report {

inline constexpr double lane_pitch = 30;

/// Draws the lanes from `top` downwards, `lane_pitch` apart, and the drive's way from lane to lane.
void draw_lanes(std::string& svg, const record::PlotData& data, std::uint8_t pump_count, const TimeAxis& time,
                double top);

/// Patterns that fill the lanes. A drawing needs the patterns once.
extern const char* const lane_patterns;

}  // namespace freshet::report
