// A state of the exploration, with times for the sequencer and in bits for the set of known states.
// One reason to change: a difference between two states.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/sequencer.hpp"
#include "controller/core/sequences.hpp"
#include "tests/property/laws.hpp"

namespace freshet::exploration {

using core::never_ms;
using core::no_pump;
using core::PumpState;
using core::Sequence;
using core::SequencerState;
using core::Step;

inline constexpr std::int64_t tick_ms = 1000;
inline constexpr std::int64_t base_ms = 1'931'234'567'000;
inline constexpr std::int64_t long_ago_ms = base_ms - 10 * 3'600'000;
inline constexpr std::size_t pumps_most = 4;
inline constexpr double minimum_hz = 40, steady_hz = 50, line_hz = 60;

/// The speed of the drive, in the coarse steps that the small station needs.
enum class Level : std::uint8_t { slow, minimum, line };

/// The real state of the contactors and of the drive.
struct Station {
    std::array<bool, pumps_most> drive_side{}, line_side{};
    bool output = false, running = false;
    Level level = Level::slow;
};

/// A state of the exploration, with times.
struct Point {
    SequencerState sequencer;
    laws::History history;
    Station station;
};

/// A state in bits, with saturated ages and sorted pumps.
struct Key {
    std::array<std::uint64_t, pumps_most> pump{};
    std::uint64_t whole = 0;
    bool operator==(const Key&) const = default;
};

std::uint64_t hash_of(const Key& key);

/// The state in bits, seen from the time `now_ms`.
Key packed(const SequencerState& sequencer, const laws::History& history, const Station& station,
           std::uint8_t pumps, std::int64_t now_ms);

/// True when the events, by which the judge counts, show every failure that the sequencer remembers. A state is packed
/// only with this proof, so the judge's own count of these failures needs no bits.
bool failures_are_in_the_events(const SequencerState& sequencer, const laws::History& history,
                                std::uint8_t pumps, std::int64_t now_ms);

/// The state with times, as of the time `base_ms`.
Point unpacked(const Key& key, std::uint8_t pumps, const core::StepTable& table);

/// The step of the main sequence in a state.
Step step_of(const Key& key);

}  // namespace freshet::exploration
