// Cheap repeatable noise: the same seed gives the same numbers on every machine, at about a nanosecond each.
// One reason to change: how randomness is drawn in the simulated plant.
#pragma once

#include <cstdint>

namespace freshet::plant {

/// A counter run through one 64 by 64 bit multiplication. The state is only a counter, so a copy repeats
/// exactly. Source: the generator wyrand of Wang Yi's wyhash (public domain); it passes the usual statistical
/// batteries.
class NoiseSource {
  public:
    constexpr explicit NoiseSource(std::uint64_t seed) : counter_(mixed(seed + step)) {}

    /// 64 uniform random bits.
    constexpr std::uint64_t bits() {
        counter_ += step;
        return mixed(counter_);
    }

    /// Uniform in [0, 1), 53 bits.
    constexpr double uniform() { return static_cast<double>(bits() >> 11U) * 0x1.0p-53; }

    /// Nearly normal: the sum of four 16-bit uniforms (Irwin-Hall of order 4), with mean 0 and the standard
    /// deviation `bell_deviation`. It never exceeds 3.47 standard deviations and its excess kurtosis is -0.3,
    /// so it has no far tails. No library function is called, which keeps it cheap and the same everywhere.
    constexpr double bell() {
        constexpr std::uint64_t every_other = 0x0000FFFF0000FFFFULL;
        const std::uint64_t z = bits();
        const std::uint64_t pairs = (z & every_other) + ((z >> 16U) & every_other);
        const auto sum = static_cast<std::uint32_t>(pairs + (pairs >> 32U));
        return static_cast<double>(static_cast<std::int32_t>(sum) - 131070);
    }

    static constexpr double bell_deviation = 37837.22723720648;  ///< sqrt(4 (2^32 - 1) / 12)

  private:
    __extension__ using Wide = unsigned __int128;
    static constexpr std::uint64_t step = 0xA0761D6478BD642FULL;

    static constexpr std::uint64_t mixed(std::uint64_t z) {
        const Wide product = static_cast<Wide>(z) * (z ^ 0xE7037ED1A0B428DBULL);
        return static_cast<std::uint64_t>(product) ^ static_cast<std::uint64_t>(product >> 64U);
    }

    std::uint64_t counter_;
};

}  // namespace freshet::plant
