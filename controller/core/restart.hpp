// The return after an emergency stop, a loss of supply or a start of the controller: how long a drive is
// waited for, and how long pumps rest that did not stop by a decision of the staging.
// One reason to change: what delays the first starts after an outage.
#pragma once

#include <cstdint>

#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"
#include "controller/core/station_permit.hpp"

namespace freshet::core {

/// The memory of outages between scans. An outage is the time in which the emergency stop is operated, the
/// line is poor, or the controller has not yet taken the station over.
struct Outage {
    std::int64_t begin_ms = never_ms;       ///< of the last outage, with the outages shortly before
    std::int64_t last_ms = never_ms;        ///< end of the last outage, or now
    bool lasts = false;                     ///< at the last time of renewing
    std::int64_t drive_lost_ms = never_ms;  ///< since when the drive cannot be used; never_ms while it can
};

/// Renews the part of the permit that concerns the return after an outage. `adopted`: the controller has
/// taken the station over.
///
/// A drive that was lost in the outage is waited for. A drive that was lost at another time, or that is
/// locked out, is not waited for. The high mark ends the wait, and so does a float that calls for pumps.
void renew_return(StationPermit& permit, Outage& outage, const Sight& sight, const SequencerState& sequencer,
                  bool adopted, const NeedMarks& marks, const Settings& settings) noexcept;

/// Marks the pumps that stop while a protective stop applies or the line is poor. A pump that runs loses the
/// mark.
void note_involuntary_stops(SequencerState& sequencer, const Picture& picture, const StationPermit& permit,
                            const Settings& settings) noexcept;

/// True when the rest of a pump is the time of the residual voltage alone: the pump stopped involuntarily,
/// and the water calls for pumps.
bool rest_ends_early(const PumpRecord& record, const StationPermit& permit) noexcept;

}  // namespace freshet::core
