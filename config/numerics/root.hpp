// The zero of a function of one variable, by a method that keeps the root between two ends.
//
// One reason to change: how roots are found.
//
// Method: TOMS 748 (Alefeld, Potra and Shi, Algorithm 748, ACM Transactions on Mathematical Software 21,
// 1995), from Boost.Math.
// Valid: continuous functions. Leaves out: roots that the ends do not enclose; see `root_between`.
#pragma once

#include <functional>

namespace freshet::config {

/// The root of `f` between `low` and `high`, to the last bits. When both ends have the same sign: the end at
/// which `f` is nearer to zero.
double root_between(const std::function<double(double)>& f, double low, double high);

}  // namespace freshet::config
