// Random numbers for random stations. One reason to change: how such a number is drawn.
#pragma once

#include <cmath>
#include <random>

namespace freshet::tests {

using Random = std::mt19937_64;

inline double between(Random& random, double low, double high) {
    return low + (high - low) * std::uniform_real_distribution<double>(0, 1)(random);
}
/// A random number, evenly distributed over the decades.
inline double decades(Random& random, double low, double high) {
    return low * std::pow(high / low, between(random, 0, 1));
}

}  // namespace freshet::tests
