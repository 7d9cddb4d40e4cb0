// Which service the controller gives: normal, degraded or waiting.
// One reason to change: which service the controller falls back to when a signal or the drive is lost.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

/// Watches for a drive that runs although no pump needs the drive.
struct DriveWatch {
    std::int64_t runs_since_ms = never_ms;
    bool keeps_running = false;  ///< the drive has run for longer than a stop takes
};

/// Renews the watch for one scan. At a station that has been taken over, the drive should stop when no pump
/// needs the drive.
void watch_idle_drive(DriveWatch& watch, const Picture& picture, const SequencerState& sequencer,
                      bool adopted, const Settings& settings) noexcept;

/// The best service that the readings and the drive allow. `adopted` is true when the controller has taken
/// the station over. Only then a contactor that occupies the drive's bus makes the drive unavailable.
Service judge_service(const Sight& sight, const SequencerState& sequencer, const DriveWatch& drive,
                      bool adopted, const Settings& settings) noexcept;

/// Writes the service into the advice. Notes a change in the journal.
void note_service(Advice& advice, Service service, Journal& journal) noexcept;

}  // namespace freshet::core
