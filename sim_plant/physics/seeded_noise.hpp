// Cheap, seeded, repeatable noise for the plant: the same seed gives the same numbers on every machine.
// One reason to change: the kind of randomness that the plant needs.
//
// Generator: splitmix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014).
// `normal()` is the sum of four uniforms, scaled to variance one: bounded to 3.5 standard deviations, so that
// no line ever wanders away.
#pragma once

#include <cstdint>

namespace freshet::plant {

class SeededNoise {
  public:
    explicit constexpr SeededNoise(std::uint64_t seed) : state_(seed) {}

    constexpr std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9e3779b97f4a7c15ULL);
        z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
        z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
        return z ^ (z >> 31U);
    }
    /// Uniform in [0, 1).
    constexpr double uniform() { return static_cast<double>(next() >> 11U) * 0x1.0p-53; }
    /// Mean 0, standard deviation 1, never beyond 3.47.
    constexpr double normal() {
        constexpr double root_three = 1.7320508075688772;
        return (uniform() + uniform() + uniform() + uniform() - 2) * root_three;
    }

  private:
    std::uint64_t state_;
};

}  // namespace freshet::plant
