// Chooses round steps for axes.
#include "controller/report/plot_frame.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace freshet::report {
namespace {

double round_step(double span, std::size_t ticks_max) {
    const double least = span / static_cast<double>(std::max<std::size_t>(ticks_max, 1));
    const double decade = std::pow(10.0, std::floor(std::log10(least)));
    for (const double factor : {1.0, 2.0, 5.0}) {
        if (factor * decade >= least * (1 - 1e-9)) return factor * decade;
    }
    return 10 * decade;
}

constexpr std::int64_t s = 1000, min = 60 * s, h = 60 * min, day = 24 * h;
constexpr std::array<std::int64_t, 20> time_steps{
    1 * s,    2 * s, 5 * s, 10 * s, 30 * s, 1 * min, 2 * min, 5 * min, 10 * min, 15 * min,
    30 * min, 1 * h, 2 * h, 3 * h,  4 * h,  6 * h,   12 * h,  1 * day, 2 * day,  7 * day};

}  // namespace

std::vector<std::int64_t> TimeAxis::ticks(std::size_t ticks_max) const {
    std::int64_t step = time_steps.back();
    for (const std::int64_t candidate : time_steps) {
        if ((end_ms - begin_ms) / candidate <= static_cast<std::int64_t>(ticks_max)) {
            step = candidate;
            break;
        }
    }
    // In a run of years even weeks would be too many ticks.
    while ((end_ms - begin_ms) / step > static_cast<std::int64_t>(ticks_max)) step *= 2;
    std::vector<std::int64_t> ticks;
    const std::int64_t remainder = ((begin_ms % step) + step) % step;
    for (std::int64_t at = remainder == 0 ? begin_ms : begin_ms - remainder + step; at <= end_ms;
         at += step) {
        ticks.push_back(at);
    }
    return ticks;
}

std::vector<double> ValueAxis::ticks(std::size_t ticks_max) const {
    const double step = round_step(high - low, ticks_max);
    std::vector<double> ticks;
    const auto first = static_cast<std::int64_t>(std::ceil(low / step - 1e-9));
    for (std::int64_t i = first; static_cast<double>(i) * step <= high + step * 1e-9; ++i) {
        ticks.push_back(static_cast<double>(i) * step);
    }
    return ticks;
}

ValueAxis rounded_axis(double low, double high, double bottom, double top) {
    if (!(high > low)) {
        low = std::isfinite(low) ? low : 0;
        high = low + 1;
    }
    const double step = round_step(high - low, 5);
    return {std::floor(low / step + 1e-9) * step, std::ceil(high / step - 1e-9) * step, bottom, top};
}

}  // namespace freshet::report
