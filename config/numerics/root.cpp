// Finds roots with Boost.Math; see the header.
//
// One reason to change: how roots are found.
#include "config/numerics/root.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>

namespace freshet::config {

double root_between(const std::function<double(double)>& f, double low, double high) {
    const double at_low = f(low);
    const double at_high = f(high);
    if (at_low == 0 || at_high == 0 || (at_low > 0) == (at_high > 0))
        return std::abs(at_low) <= std::abs(at_high) ? low : high;
    constexpr double last_bits = 0x1p-51;
    const auto near = [](double a, double b) {
        return b - a <= last_bits * std::min(std::abs(a), std::abs(b));
    };
    std::uintmax_t passes = 200;
    const auto [a, b] = boost::math::tools::toms748_solve(f, low, high, at_low, at_high, near, passes);
    return a + 0.5 * (b - a);
}

}  // namespace freshet::config
