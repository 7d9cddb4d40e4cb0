// Cheap repeatable noise: the same seed gives the same numbers on every machine, at about a nanosecond each.
// One reason to change: how randomness is drawn in the simulated plant.
#pragma once

#include <cstdint>

namespace freshet::plant {

/// A counter run through a 64-bit mixing function. The state is only a counter, so a copy repeats exactly.
/// Source of the mixing constants: G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014 (the generator known as SplitMix64).
class NoiseSource {
  public:
    constexpr explicit NoiseSource(std::uint64_t seed) : counter_(mixed(seed)) {}

    /// 64 uniform random bits.
    constexpr std::uint64_t bits() {
        counter_ += 0x9E3779B97F4A7C15ULL;
        return mixed(counter_);
    }

    /// Uniform in [0, 1), 53 bits.
    constexpr double uniform() { return static_cast<double>(bits() >> 11U) * 0x1.0p-53; }

    /// Nearly normal: the sum of four 16-bit uniforms (Irwin-Hall of order 4), with mean 0. Its standard
    /// deviation is `bell_deviation`; it never exceeds 3.47 standard deviations and its excess kurtosis is
    /// -0.3, so it has no far tails. No library function is called, which keeps it cheap and the same
    /// everywhere.
    constexpr double bell() { return bell_from(bits()); }

    static constexpr double bell_deviation = 37837.22723720648;  ///< sqrt(4 (2^32 - 1) / 12)

    static constexpr double bell_from(std::uint64_t z) {
        const std::uint64_t sum =
            (z & 0xFFFFU) + ((z >> 16U) & 0xFFFFU) + ((z >> 32U) & 0xFFFFU) + (z >> 48U);
        return static_cast<double>(static_cast<std::int64_t>(sum) - 131070);
    }

  private:
    static constexpr std::uint64_t mixed(std::uint64_t z) {
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31U);
    }

    std::uint64_t counter_;
};

}  // namespace freshet::plant
