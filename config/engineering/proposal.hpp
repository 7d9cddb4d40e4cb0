// How a check prints the value that it proposes.
// One reason to change: how a proposed value is rounded.
#pragma once

#include <cmath>
#include <string>

namespace freshet::config {

inline constexpr double ms_per_s = 1000, ms_per_min = 60'000, s_per_hour = 3600, s_per_min = 60;

/// A proposed value must pass its check as printed. It is therefore rounded up, or down, to a part of its
/// unit.
inline double rounded_up(double value, double per_unit) {
    return std::ceil(value * per_unit) / per_unit;
}
inline double rounded_down(double value, double per_unit) {
    return std::floor(value * per_unit) / per_unit;
}

/// A longest time to propose, rounded down, with its unit.
std::string time_down(double seconds);

}  // namespace freshet::config
