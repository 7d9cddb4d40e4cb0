// The full-load current that the other figures of a nameplate give.
// One reason to change: none is expected; the relation defines the figures.
#pragma once

#include <numbers>

#include "config/station.hpp"

namespace freshet::config {

/// Line current at rated power, A: P / (sqrt(3) V eta cos phi). Valid where efficiency and power factor are
/// given.
constexpr double full_load_current_a(const Nameplate& plate) {
    return plate.power_w / (std::numbers::sqrt3 * plate.voltage_v * plate.efficiency * plate.power_factor);
}

}  // namespace freshet::config
