// Whether a transfer can be made at all: the synchronism that is never reached, and the line side that does not
// close.
// One reason to change: a ground on which transfers are impossible.
#pragma once

#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Pumps whose hand-over failed attempts_max times in a row, or whose line side did not close, until a clean
/// sequence proves the line side in order.
PumpMask cannot_be_handed_over(const SequencerState& state) noexcept;

/// True from attempts_max failed transfers in a row until the transfer pause is over.
bool transfers_are_impossible(const SequencerState& state, const Settings& settings,
                              std::int64_t now_ms) noexcept;

/// True while the drive pump cannot be handed over: transfers are impossible, or the pump itself cannot be handed
/// over and its own transfer pause is not over. False while no pump runs steadily on the drive.
bool hand_over_is_impossible(const SequencerState& state, const Settings& settings,
                             std::int64_t now_ms) noexcept;

/// True while a pump runs steadily on the drive and the last transfer failed.
bool hand_over_is_doubtful(const SequencerState& state) noexcept;

/// Forgets the failed transfers, so that a transfer may be tried at once. For a repair by people.
void release_transfers(SequencerState& state) noexcept;

}  // namespace freshet::core
