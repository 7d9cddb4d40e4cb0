// Which service the controller gives: the normal one, one of the degraded ones, or none yet.
// One reason to change: what the controller falls back to when something is lost.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

/// A drive that runs although nothing asks for it.
struct DriveWatch {
    std::int64_t runs_since_ms = never_ms;
    bool keeps_running = false;  ///< for longer than a stop takes
};

/// Judges the drive of a station that has been taken over: it should stop when no pump needs it.
void watch_idle_drive(DriveWatch& watch, const Picture& picture, const SequencerState& sequencer,
                      bool adopted, const Settings& settings) noexcept;

/// The best service that readings and drive allow. `adopted`: the station has been taken over, so that a
/// contactor that blocks the drive's bus is not one of a sequence under way.
Service judge_service(const Sight& sight, const SequencerState& sequencer, const DriveWatch& drive,
                      bool adopted, const Settings& settings) noexcept;

/// Notes a change of service.
void note_service(Advice& advice, Service service, Journal& journal) noexcept;

}  // namespace freshet::core
