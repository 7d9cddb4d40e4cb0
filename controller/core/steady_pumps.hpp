// Watching the pumps that run steadily: what takes them off. One reason to change: what ends a steady run.
#pragma once

#include "controller/core/journal.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Watches the pump that runs steadily on the drive.
void watch_drive_pump(SequencerState& state, const SequencerInputs& inputs, Journal& journal) noexcept;

/// Watches one pump that runs steadily on the line.
void watch_line_pump(SequencerState& state, std::uint8_t pump, const Picture& seen, const Settings& settings,
                     Journal& journal) noexcept;

}  // namespace freshet::core
