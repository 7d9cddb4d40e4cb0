// When the condition that a step waits for is met, and when the readings deny it.
// One reason to change: a condition that a step waits for.
#pragma once

#include <cstdint>

#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/sequences.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Everything that a condition is judged from.
struct Awaited {
    const Picture& seen;
    const SequencerInputs& inputs;
    const Settings& settings;
    std::size_t pump;
    std::int64_t in_sync_ms;  ///< how long our own synchronism check has agreed
};
/// True when the readings prove the condition.
bool is_met(Condition condition, const Awaited& at) noexcept;

/// True when the readings prove the opposite of the condition. An unread signal proves nothing, so its
/// condition is neither met nor denied.
bool is_denied(Condition condition, const Picture& seen, std::size_t pump) noexcept;

/// The picture without readings of this pump and the drive that are older than the step. `entered_ms` is the
/// station time at which the step began. After a missed answer an old reading stays until it is stale. A
/// reading from before the advice does not show how the equipment responded to the advice.
Picture read_within_step(const Picture& seen, const Inputs& readings, std::size_t pump,
                         std::int64_t entered_ms) noexcept;

}  // namespace freshet::core
