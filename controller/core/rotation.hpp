// Rotation: which pump next.
// One reason to change: how wear is shared.
#pragma once

#include <cstdint>

#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// The pump of `among` to start next: preferred ones first, those declared last only when no other is left;
/// within a rank the one with the fewest run hours, the fewest starts, or the lowest number. no_pump when
/// `among` is empty.
std::uint8_t next_to_start(PumpMask among, const SequencerState& state, const Settings& settings,
                           std::int64_t now_ms) noexcept;

/// Pumps of `among` that have stood idle for longer than the settings let them.
PumpMask exercise_due(PumpMask among, const SequencerState& state, const Settings& settings,
                      std::int64_t now_ms) noexcept;

/// The pump of `among` to stop or take back next: the mirror image.
std::uint8_t next_to_stop(PumpMask among, const SequencerState& state, const Settings& settings) noexcept;

}  // namespace freshet::core
