// Units in which sources and people give figures, in SI units. One reason to change: such a unit.
#pragma once

namespace freshet::tests {

inline constexpr double minute_s = 60, hour_s = 3600, day_s = 86400;
inline constexpr double foot_m = 0.3048, inch_m = 0.0254;
inline constexpr double square_mile_m2 = 5280.0 * 5280.0 * foot_m * foot_m;
inline constexpr double acre_m2 = square_mile_m2 / 640;
inline constexpr double cubic_foot_m3 = foot_m * foot_m * foot_m;

}  // namespace freshet::tests
