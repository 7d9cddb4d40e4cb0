// What a station can do when everything is steady, and what makes it impossible.
//
// One reason to change: which steady figure of a station is needed.
//
// Equations: the balance of hydraulics.hpp with nothing changing. Each pump's flow at the header head adds up
// to the flow that the main takes at that head. Check valves are tight.
//
// Units: SI; speeds are ratios of rated speed; `level_m` is the store's level above datum (for the pressure
// duty: the header's pressure head).
//
// Valid: 0..8 pumps, speed ratio 0..1.5.
//
// Source: parallel pumps on one system curve: common practice.
//
// Leaves out: wear and faults.
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "config/station.hpp"

namespace freshet::plant {

/// Pumps together on the main, steady.
struct OperatingPoint {
    double total_flow_m3s = 0, header_head_m = 0;
    std::array<double, 8> flow_m3s{}, shaft_power_w{}, efficiency{};  ///< of each pump
};

/// Where pumps of these speeds work together; up to eight.
OperatingPoint operating_point(const config::Station& station, std::span<const double> speed_ratio,
                               double level_m);

/// What makes a station impossible for the water side: a sentence with figures for each contradiction. Empty:
/// Hydraulics can be built and can move water at the lowest lift.
std::vector<std::string> hydraulic_contradictions(const config::Station& station);

}  // namespace freshet::plant
