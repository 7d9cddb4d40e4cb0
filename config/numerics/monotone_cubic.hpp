// Monotone piecewise-cubic interpolation: the slopes that keep a table's own rises and falls.
//
// One reason to change: how a table of a few catalogue points becomes a smooth curve.
//
// Method: cubic Hermite pieces.
//   inner slopes: the weighted harmonic mean of the neighbouring secants where both have one sign, else zero;
//   end slopes: the three-point formula, held to the sign of the end secant and to three times the end
//   secant.
//
// Units: the table's own.
//
// Valid: two or more points, abscissae strictly rising.
//
// Source: F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304; end slopes after
// C. Moler, Numerical Computing with MATLAB (2004), section 3.6. The curve is the one
// scipy.interpolate.PchipInterpolator draws.
//
// Leaves out: continuity of the second derivative.
#pragma once

#include <array>
#include <span>
#include <vector>

namespace freshet::config {

/// Value, slope and curvature of one piece: y = c[0] + t (c[1] + t (c[2] + t c[3])), t = x - start of the
/// piece.
using Cubic = std::array<double, 4>;

/// y at t. Any t; the caller sees to the piece.
inline double value_at(const Cubic& c, double t) {
    return c[0] + t * (c[1] + t * (c[2] + t * c[3]));
}
/// dy/dx at t.
inline double slope_at(const Cubic& c, double t) {
    return c[1] + t * (2 * c[2] + t * 3 * c[3]);
}

/// Slopes at the points, one for each; `x` and `y` of one length, two or more.
std::vector<double> monotone_slopes(std::span<const double> x, std::span<const double> y);

/// The cubic over a piece of length `width` (> 0) with these end values and end slopes.
Cubic hermite(double width, double y_from, double y_to, double slope_from, double slope_to);

}  // namespace freshet::config
