// Runoff depth from rain depth by curve number. One reason to change: the curve number method.
//
// Source of all formulas here: USDA-NRCS, TR-55, Urban Hydrology for Small Watersheds, 2nd ed., June 1986,
// eqs 2-1 to 2-4; National Engineering Handbook Part 630 Ch. 10. Valid for curve numbers above 0 up to 100;
// the publications tabulate 40 to 98. Depths in metres. Leaves out: recovery of losses between storms, frozen
// ground, snow.
#pragma once

namespace freshet::plant {

inline constexpr double inch_m = 0.0254;

/// Potential maximum retention after runoff begins: S = 1000/CN - 10 inches.
constexpr double potential_retention_m(double curve_number) {
    return (1000.0 / curve_number - 10.0) * inch_m;
}

/// Initial abstraction: Ia = 0.2 S.
constexpr double initial_abstraction_m(double curve_number) {
    return 0.2 * potential_retention_m(curve_number);
}

/// Runoff depth of a rain depth: Q = (P - Ia)^2 / (P - Ia + S) above Ia, otherwise zero.
constexpr double runoff_depth_m(double rain_m, double curve_number) {
    const double retention_m = potential_retention_m(curve_number);
    const double beyond_m = rain_m - initial_abstraction_m(curve_number);
    return beyond_m > 0 ? beyond_m * beyond_m / (beyond_m + retention_m) : 0.0;
}

}  // namespace freshet::plant
