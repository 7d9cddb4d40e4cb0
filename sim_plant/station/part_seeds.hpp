// The seed of the scenario gives each part of the station its own random numbers.
//
// One reason to change: someone adds or removes a part that draws random numbers.
#pragma once

#include <cstdint>

namespace freshet::plant {

/// The first level transmitter takes the number `level`. The other level transmitters take the next numbers.
enum class PartSeed : std::uint64_t {
    inflow = 0x1,
    machines = 0x2,
    wires = 0x3,
    pressure = 0x4,
    level = 0x10
};

/// These sums must not change, because recorded runs depend on these sums.
constexpr std::uint64_t part_seed(std::uint64_t scenario_seed, PartSeed part, std::uint64_t number = 0) {
    return scenario_seed * 0x100 + static_cast<std::uint64_t>(part) + number;
}

}  // namespace freshet::plant
