// The greatest value of a function of one variable between two ends.
//
// One reason to change: how maxima are found.
//
// Method: parabolas through three points, with golden section where no parabola fits (R. P. Brent, Algorithms
// for Minimization without Derivatives, 1973, chapter 5), from Boost.Math.
// Valid: continuous functions with one maximum between the ends. Leaves out: a search among several maxima.
#pragma once

#include <functional>

namespace freshet::config {

/// The argument, between `low` and `high`, at which `f` is greatest, to half of the digits of a double. A
/// maximum is flat, so no search can tell more digits apart.
double argument_of_maximum(const std::function<double(double)>& f, double low, double high);

}  // namespace freshet::config
