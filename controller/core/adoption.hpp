// Starting the controller at a station that may already run. The controller shows the contactors and motors
// as they are, waits for a consistent picture, and then takes the station over.
// One reason to change: how the controller takes over pumps that already run.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// How far the controller has come in taking the station over.
struct Adoption {
    bool adopted = false;  ///< the controller has taken the station over
    std::int64_t consistent_since_ms = never_ms;
};

/// True when every contactor and the drive have been read, and the line has been healthy, for
/// Settings::restart.settle_ms. Keeps the start of that time in `adoption`, so call in every slow
/// task.
bool settles(Adoption& adoption, const Picture& picture, const Settings& settings) noexcept;

/// Takes the station over in the state that `picture` shows. `kept` is true when an earlier controller of
/// this station left its record. Then the rest of a stopped pump continues; otherwise its rest starts now.
void adopt(Adoption& adoption, SequencerState& sequencer, const Picture& picture, Service service, bool kept,
           const Settings& settings, Journal& journal) noexcept;

/// Writes the state of the contactors and the drive into the advice. An unread contactor is shown as it was
/// last read, or as closed when a motor current proves that the pump runs. So the advice never asks anybody
/// to stop a pump that may run.
void mirror(const Inputs& inputs, const Picture& picture, const Settings& settings, Advice& advice) noexcept;

}  // namespace freshet::core
