// Where a function of one variable passes zero, by a method that keeps the root between two ends.
//
// One reason to change: how roots are found.
//
// Method: TOMS 748 (Alefeld, Potra and Shi, Algorithm 748, ACM Transactions on Mathematical Software 21,
// 1995), as Boost.Math has it.
// Valid: continuous functions. Left out: roots that the ends do not enclose; see `root_between`.
#pragma once

#include <functional>

namespace freshet::config {

/// The root of `f` between `low` and `high`, to the last bits. Where both ends have one sign: the end nearer
/// to zero.
double root_between(const std::function<double(double)>& f, double low, double high);

}  // namespace freshet::config
