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

/// True when the drive pump cannot be handed over: attempts_max transfers in a row failed, or the pump itself
/// cannot be handed over. False while no pump runs steadily on the drive.
bool hand_over_is_impossible(const SequencerState& state, const Settings& settings) noexcept;

}  // namespace freshet::core
