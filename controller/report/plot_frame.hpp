// Axes: time and values to places on the drawing, and figures at which to draw ticks.
// One reason to change: how the report's plots are scaled.
#pragma once

#include <cstdint>
#include <vector>

namespace freshet::report {

/// The common time axis of all plots; drawing units are SVG user units.
struct TimeAxis {
    std::int64_t begin_ms = 0, end_ms = 1;
    double left = 0, right = 1;

    double x(std::int64_t time_ms) const {
        return left + (right - left) * static_cast<double>(time_ms - begin_ms) /
                          static_cast<double>(end_ms - begin_ms);
    }
    /// Whole steps of 1 s to 7 days on the clock of UTC, at most `ticks_max` of them.
    std::vector<std::int64_t> ticks(std::size_t ticks_max) const;
};

/// An axis of values. `top` is the drawing's y of `high`, so an axis may also be upside down.
struct ValueAxis {
    double low = 0, high = 1;
    double bottom = 1, top = 0;

    double y(double value) const { return bottom + (top - bottom) * (value - low) / (high - low); }
    /// Round figures (1, 2 or 5 times a power of ten apart) within the axis.
    std::vector<double> ticks(std::size_t ticks_max) const;
};

/// Widens [low, high] to round figures; an empty range becomes one of unit height.
ValueAxis rounded_axis(double low, double high, double bottom, double top);

}  // namespace freshet::report
