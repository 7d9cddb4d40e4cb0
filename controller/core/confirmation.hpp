// What must be seen before a step is left: how a confirmation is met, and when it is denied.
// One reason to change: a condition that a step waits for.
#pragma once

#include <cstdint>

#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/sequences.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// What a confirmation is judged by.
struct Awaited {
    const Picture& seen;
    const SequencerInputs& inputs;
    const Settings& settings;
    std::size_t pump;
    std::int64_t in_sync_ms;  ///< for how long our own check has agreed
};
bool is_met(Condition condition, const Awaited& at) noexcept;

/// The readings say the opposite. A signal that is not read is nobody's fault: its condition is neither met nor
/// denied.
bool is_denied(Condition condition, const Picture& seen, std::size_t pump) noexcept;

/// The picture without the readings of this pump and the drive that were made before the step was entered. A
/// missed answer lets an old reading stay until it is stale, and a reading from before the advice is no answer
/// to the advice.
Picture read_within_step(const Picture& seen, const Inputs& readings, std::size_t pump,
                         std::int64_t entered_ms) noexcept;

}  // namespace freshet::core
