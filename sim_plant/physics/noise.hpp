// Quick repeatable noise: the same seed gives the same numbers on every machine.
//
// One reason to change: how the simulated plant draws random numbers.
//
// Method: a counter that grows by an odd constant, and a mixer that turns the counter into bits. The counter
// is the whole state, so a copy gives the same numbers again. There are two mixers, because recorded runs
// depend on their sequences:
//
//   machines and line:               splitmix64 (Steele, Lea and Flood, Fast splittable pseudorandom number
//                                    generators, 2014);
//   weather, instruments and wires:  wyrand of Wang Yi's wyhash (public domain), one 64 by 64 bit
//                                    multiplication, about a nanosecond a draw.
//
// Leaves out: far tails. The bell-shaped draws are sums of four uniform numbers (Irwin-Hall of order 4):
// never beyond 3.47 standard deviations, excess kurtosis -0.3. The noise calls no library function.
#pragma once

#include <cstdint>

namespace freshet::plant {

/// splitmix64.
struct ShiftMixer {
    static constexpr std::uint64_t step = 0x9e3779b97f4a7c15ULL;
    static constexpr std::uint64_t start(std::uint64_t seed) { return seed; }
    static constexpr std::uint64_t mixed(std::uint64_t z) {
        z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
        z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
        return z ^ (z >> 31U);
    }
};

/// wyrand. The mixer also mixes the seed, so that neighbouring seeds are independent from the first draw.
struct ProductMixer {
    __extension__ using Wide = unsigned __int128;
    static constexpr std::uint64_t step = 0xA0761D6478BD642FULL;
    static constexpr std::uint64_t start(std::uint64_t seed) { return mixed(seed + step); }
    static constexpr std::uint64_t mixed(std::uint64_t z) {
        const Wide product = static_cast<Wide>(z) * (z ^ 0xE7037ED1A0B428DBULL);
        return static_cast<std::uint64_t>(product) ^ static_cast<std::uint64_t>(product >> 64U);
    }
};

template <class Mixer>
class CounterNoise {
  public:
    explicit constexpr CounterNoise(std::uint64_t seed) : counter_(Mixer::start(seed)) {}

    /// 64 uniform random bits.
    constexpr std::uint64_t bits() {
        counter_ += Mixer::step;
        return Mixer::mixed(counter_);
    }

    /// Uniform in [0, 1), 53 bits.
    constexpr double uniform() { return static_cast<double>(bits() >> 11U) * 0x1.0p-53; }

    /// Nearly normal from four draws: mean 0, standard deviation 1.
    constexpr double normal() {
        constexpr double root_three = 1.7320508075688772;
        return (uniform() + uniform() + uniform() + uniform() - 2) * root_three;
    }

    /// Nearly normal from the four quarters of one draw: mean 0, standard deviation `bell_deviation`.
    constexpr double bell() {
        constexpr std::uint64_t every_other = 0x0000FFFF0000FFFFULL;
        const std::uint64_t z = bits();
        const std::uint64_t pairs = (z & every_other) + ((z >> 16U) & every_other);
        const auto sum = static_cast<std::uint32_t>(pairs + (pairs >> 32U));
        return static_cast<double>(static_cast<std::int32_t>(sum) - 131070);
    }
    static constexpr double bell_deviation = 37837.22723720648;  ///< sqrt(4 (2^32 - 1) / 12)

  private:
    std::uint64_t counter_;
};

/// The noise of machines and line.
using MachineNoise = CounterNoise<ShiftMixer>;
/// The noise of weather, instruments and wires.
using NoiseSource = CounterNoise<ProductMixer>;

}  // namespace freshet::plant
