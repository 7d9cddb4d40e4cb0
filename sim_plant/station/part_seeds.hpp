// Independent randomness for each part of the station, from the scenario's one seed.
//
// One reason to change: a part that draws random numbers comes or goes.
#pragma once

#include <cstdint>

namespace freshet::plant {

/// Level transmitters take `level` and the numbers after it.
enum class PartSeed : std::uint64_t {
    inflow = 0x1,
    machines = 0x2,
    wires = 0x3,
    pressure = 0x4,
    level = 0x10
};

/// Recorded runs depend on these sums: they stay as they are.
constexpr std::uint64_t part_seed(std::uint64_t scenario_seed, PartSeed part, std::uint64_t number = 0) {
    return scenario_seed * 0x100 + static_cast<std::uint64_t>(part) + number;
}

}  // namespace freshet::plant
