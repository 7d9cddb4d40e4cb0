// Axes turn times and values into places on the drawing. Axes also give the figures that have ticks.
// One reason to change: the scale of the report's plots.
#pragma once

#include <cstdint>
#include <vector>

namespace freshet::report {

/// The common time axis of all plots. The units of the drawing are SVG user units.
struct TimeAxis {
    std::int64_t begin_ms = 0, end_ms = 1;
    double left = 0, right = 1;

    double x(std::int64_t time_ms) const {
        return left + (right - left) * static_cast<double>(time_ms - begin_ms) /
                          static_cast<double>(end_ms - begin_ms);
    }
    /// Returns at most `ticks_max` ticks. The ticks are whole steps of 1 s to 7 days on the clock of UTC.
    std::vector<std::int64_t> ticks(std::size_t ticks_max) const;
};

/// An axis of values. `top` is the y of `high` on the drawing. Therefore an axis may also be upside down.
struct ValueAxis {
    double low = 0, high = 1;
    double bottom = 1, top = 0;

    double y(double value) const { return bottom + (top - bottom) * (value - low) / (high - low); }
    /// Returns round figures within the axis. Their distance is 1, 2 or 5 times a power of ten.
    std::vector<double> ticks(std::size_t ticks_max) const;
};

/// Widens [low, high] to round figures. An empty range becomes a range of unit height.
ValueAxis rounded_axis(double low, double high, double bottom, double top);

}  // namespace freshet::report
