// Rotation: which pump starts or stops next.
// One reason to change: how wear is shared among the pumps.
#pragma once

#include <cstdint>

#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// The pump of `among` to start next; no_pump when `among` is empty. A pump that has been idle for too long
/// comes first. Then preferred pumps come first, and pumps declared `last` come last. Within a rank the pump
/// with the fewest run hours, the fewest starts or the lowest number comes first, as Settings::rotation says.
std::uint8_t next_to_start(PumpMask among, const SequencerState& state, const Settings& settings,
                           std::int64_t now_ms) noexcept;

/// Pumps of `among` that have been idle for Settings::exercise_ms or longer; none when that setting is zero.
PumpMask exercise_due(PumpMask among, const SequencerState& state, const Settings& settings,
                      std::int64_t now_ms) noexcept;

/// The pump of `among` to stop or take back next: the last in the order of starting; no_pump when `among` is
/// empty.
std::uint8_t next_to_stop(PumpMask among, const SequencerState& state, const Settings& settings) noexcept;

}  // namespace freshet::core
