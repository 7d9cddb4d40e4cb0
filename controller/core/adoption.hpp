// Coming up in front of a station that may already run: showing what is found, waiting for a consistent
// picture, and taking the station over. One reason to change: what is done with what is found.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

struct Adoption {
    bool adopted = false;  ///< the station has been taken over
    std::int64_t consistent_since_ms = never_ms;
};

/// Whether every contactor and the drive have been read, and the line has been healthy, for the settling
/// time.
bool settles(Adoption& adoption, const Picture& picture, const Settings& settings) noexcept;

/// Takes the station over as it is found. `kept`: an earlier controller of this station has left its record,
/// so that the rest of a stopped pump continues.
void adopt(Adoption& adoption, SequencerState& sequencer, const Picture& picture, Service service, bool kept,
           const Settings& settings, Journal& journal) noexcept;

/// Writes what is found into the advice, as far as it is read. A contactor that is not read is shown as it
/// was last read, or as closed where a motor current says so. A pump that may run is never shown as one to be
/// taken off.
void mirror(const Inputs& inputs, const Picture& picture, const Settings& settings, Advice& advice) noexcept;

}  // namespace freshet::core
