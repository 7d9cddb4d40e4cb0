// What the end of a sequence counts towards: failed attempts in a row, pauses, lock-outs, and what a clean end
// proves to be in order again. One reason to change: when a pump or the drive is locked out, or tried again.
#pragma once

#include <cstdint>

#include "controller/core/judgement.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/sequences.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Keeps an alarm that a time-out raised until it is proven to be in order, or released by people.
void latch(SequencerState& state, const Run& run, AlarmRef which) noexcept;

/// A pump that its own protection or people took away says nothing about the contactors or the drive. A stop
/// that saw nothing says nothing either: the stop has been advised, and is not tried again. A start that saw
/// nothing of the drive is tried again after the drive's pause, within the starts per hour.
bool is_nobodys_fault(const Judgement& judgement, const StepRow& row) noexcept;

/// Counts the end of a run, and returns the state in which its pump ends.
PumpState count_end(SequencerState& state, const Run& run, const Judgement& judgement,
                    const Settings& settings, std::int64_t now_ms) noexcept;

}  // namespace freshet::core
