// What follows from the end of a sequence: the count of failures in a row, the pause before the next attempt,
// a lock-out, or the proof that equipment is in order again.
// One reason to change: when a pump or the drive is locked out, or tried again.
#pragma once

#include <cstdint>

#include "controller/core/judgement.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/sequences.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Latches an alarm that a time-out raised. The alarm stays latched until a clean sequence proves the
/// equipment in order, or people release the alarm.
void latch(SequencerState& state, const Run& run, AlarmRef which) noexcept;

/// True when a run left its step without a failure of equipment. The run then counts as called off. Three
/// cases:
///   - The pump's own protection or people took the pump away. That proves nothing about contactors or drive.
///   - The contacts of a stop were not read. The stop stays advised, and nobody needs to try again.
///   - The drive of a start was not read. The next start waits for the drive's pause.
bool is_called_off(const Judgement& judgement, const StepRow& row) noexcept;

/// Counts that a running pump was found without delivery and is stopped. After attempts_max times in a row
/// the pump is locked out when its stop ends. A clean start proves no delivery, so that only the watch of
/// the delivery or people end the count.
void count_no_delivery(SequencerState& state, std::uint8_t pump, const Settings& settings,
                       std::int64_t now_ms) noexcept;

/// Counts the end of a run, and returns the state in which its pump ends.
PumpState count_end(SequencerState& state, const Run& run, const Judgement& judgement,
                    const Settings& settings, std::int64_t now_ms) noexcept;

}  // namespace freshet::core
