// The current between two parallel sources: drive and line, while both feed a motor.
//
// One reason to change: the path between the two sources.
//
// Equation: |V_drive - V_line| / (sqrt 3 X), with X 15 % of the motor's base impedance V^2 / P.
// Units: V line to line rms, A rms, ohm, rad.
// Source: voltage difference over impedance, any text on circuits; the 15 %: common practice.
// Leaves out: the motor's own share, resistance, harmonics.
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>

#include "config/station.hpp"

namespace freshet::plant {

inline double parallel_reactance_ohm(const config::Nameplate& plate) {
    constexpr double per_unit = 0.15;
    return per_unit * plate.voltage_v * plate.voltage_v / plate.power_w;
}

/// `ahead_rad`: the angle between the two voltages.
inline double circulating_current_a(double drive_v, double line_v, double ahead_rad, double reactance_ohm) {
    const double gap_v = std::sqrt(
        std::max(0.0, drive_v * drive_v + line_v * line_v - 2 * drive_v * line_v * std::cos(ahead_rad)));
    return gap_v / (std::numbers::sqrt3 * reactance_ohm);
}

}  // namespace freshet::plant
