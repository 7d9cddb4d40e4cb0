// Random draws from one seed, the same on every machine.
// One reason to change: the kinds of draw.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "sim_plant/physics/noise.hpp"

namespace freshet::staging_campaign {

class Dice {
  public:
    /// `purpose` parts the draws of one seed, so that one purpose can change without the others.
    explicit Dice(std::uint64_t seed, std::uint64_t purpose = 0)
        : source_((seed + purpose * 0x100000001B3ULL) * 0x9E3779B97F4A7C15ULL + 1) {}
    double between(double low, double high) { return low + (high - low) * source_.uniform(); }
    /// Evenly distributed over the decades.
    double decades(double low, double high) { return low * std::pow(high / low, between(0, 1)); }
    /// A whole number from zero to `count` - 1.
    std::size_t below(std::size_t count) {
        return std::min(static_cast<std::size_t>(between(0, static_cast<double>(count))), count - 1);
    }
    bool chance(double share) { return between(0, 1) < share; }
    /// Mean zero, standard deviation 1.
    double bell() { return source_.bell() / plant::NoiseSource::bell_deviation; }

  private:
    plant::NoiseSource source_;
};

}  // namespace freshet::staging_campaign
