// What stops every pump at once. One reason to change: a protective stop that comes or goes.
#pragma once

#include "controller/core/journal.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"
#include "controller/core/station_permit.hpp"

namespace freshet::core {

/// Removes run advice in this scan for the emergency stop, the low cut-off, the float that stops pumps and a
/// lost supply.
void protect(SequencerState& sequencer, const Sight& sight, const StationPermit& permit,
             const Settings& settings, Journal& journal) noexcept;

}  // namespace freshet::core
