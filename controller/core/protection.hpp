// The protective stops, which stop every pump at once.
// One reason to change: a protective stop is added or removed.
#pragma once

#include "controller/core/journal.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"
#include "controller/core/station_permit.hpp"

namespace freshet::core {

/// Stops every pump in this scan on the emergency stop, the low cut-off, the float that stops pumps, or a
/// lost supply.
void protect(SequencerState& sequencer, const Sight& sight, const StationPermit& permit,
             const Settings& settings, Journal& journal) noexcept;

}  // namespace freshet::core
