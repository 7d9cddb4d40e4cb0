// Where a function of one variable passes zero, by a method that keeps the root between two ends.
//
// One reason to change: how roots are found.
//
// Method: TOMS 748 (Alefeld, Potra and Shi, Algorithm 748, ACM Transactions on Mathematical Software 21,
// 1995), as Boost.Math has it.
// Valid: continuous functions. Left out: roots that the ends do not enclose; see `root_between`.
#pragma once

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>

namespace freshet::plant {

/// The root of `f` between `low` and `high`, to `resolution` of the variable or to its last bits. Where both
/// ends
/// have one sign: the end nearer to zero.
template <class F>
double root_between(F f, double low, double high, double resolution = 0) {
    const double at_low = f(low);
    const double at_high = f(high);
    if (at_low == 0 || at_high == 0 || (at_low > 0) == (at_high > 0))
        return std::abs(at_low) <= std::abs(at_high) ? low : high;
    constexpr double last_bits = 0x1p-51;
    const auto near = [=](double a, double b) {
        return b - a <= resolution || b - a <= last_bits * std::min(std::abs(a), std::abs(b));
    };
    std::uintmax_t passes = 200;
    const auto [a, b] = boost::math::tools::toms748_solve(f, low, high, at_low, at_high, near, passes);
    return a + 0.5 * (b - a);
}

}  // namespace freshet::plant
