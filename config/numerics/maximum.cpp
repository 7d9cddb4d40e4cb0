// Finds maxima with Boost.Math; see the header.
//
// One reason to change: how maxima are found.
#include "config/numerics/maximum.hpp"

#include <boost/math/tools/minima.hpp>
#include <cstdint>
#include <limits>

namespace freshet::config {

double argument_of_maximum(const std::function<double(double)>& f, double low, double high) {
    constexpr int half_of_the_digits = std::numeric_limits<double>::digits / 2;
    std::uintmax_t passes = 100;
    const auto negative = [&f](double x) { return -f(x); };
    return boost::math::tools::brent_find_minima(negative, low, high, half_of_the_digits, passes).first;
}

}  // namespace freshet::config
