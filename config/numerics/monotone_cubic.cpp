// Slopes of monotone cubic pieces; see the header for the rule and its source.
//
// One reason to change: how a table of a few catalogue points becomes a smooth curve.
#include "config/numerics/monotone_cubic.hpp"

#include <cmath>
#include <cstddef>

namespace freshet::config {
namespace {

double end_slope(double width, double next_width, double secant, double next_secant) {
    const double slope = ((2 * width + next_width) * secant - width * next_secant) / (width + next_width);
    if (slope * secant <= 0) return 0;
    if (secant * next_secant < 0 && std::abs(slope) > 3 * std::abs(secant)) return 3 * secant;
    return slope;
}

}  // namespace

std::vector<double> monotone_slopes(std::span<const double> x, std::span<const double> y) {
    const std::size_t pieces = x.size() - 1;
    std::vector<double> width(pieces);
    std::vector<double> secant(pieces);
    for (std::size_t i = 0; i < pieces; ++i) {
        width[i] = x[i + 1] - x[i];
        secant[i] = (y[i + 1] - y[i]) / width[i];
    }
    std::vector<double> slope(x.size());
    if (pieces == 1) {
        slope[0] = slope[1] = secant[0];
        return slope;
    }
    slope.front() = end_slope(width[0], width[1], secant[0], secant[1]);
    slope.back() = end_slope(width[pieces - 1], width[pieces - 2], secant[pieces - 1], secant[pieces - 2]);
    for (std::size_t i = 1; i < pieces; ++i) {
        if (secant[i - 1] * secant[i] <= 0) continue;
        const double before = 2 * width[i] + width[i - 1];
        const double after = width[i] + 2 * width[i - 1];
        slope[i] = (before + after) / (before / secant[i - 1] + after / secant[i]);
    }
    return slope;
}

Cubic hermite(double width, double y_from, double y_to, double slope_from, double slope_to) {
    const double secant = (y_to - y_from) / width;
    return {y_from, slope_from, (3 * secant - 2 * slope_from - slope_to) / width,
            (slope_from + slope_to - 2 * secant) / (width * width)};
}

}  // namespace freshet::config
