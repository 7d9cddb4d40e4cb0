// Watching the pumps that run steadily.
// One reason to change: a fault that ends a steady run.
#pragma once

#include "controller/core/journal.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Watches the pump that runs steadily on the drive. Begins its stop when the pump or the drive is lost, or
/// when a contactor contradicts the advice.
void watch_drive_pump(SequencerState& state, const SequencerInputs& inputs, Journal& journal) noexcept;

/// Watches a pump that runs steadily on the line. Begins its stop when the pump is lost, when its line side
/// is read open, or when its current has been missing for current_loss_ms.
void watch_line_pump(SequencerState& state, std::uint8_t pump, const Picture& seen, const Settings& settings,
                     Journal& journal) noexcept;

}  // namespace freshet::core
