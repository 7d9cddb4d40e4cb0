// Explicit exploration of the real sequencer: every state that it can reach together with a small quantised
// station, breadth first, and on every edge the laws. One reason to change: what the small station can do.
//
// One scan is one second, and every limit is a few scans, so that ages saturate and the set of states is
// finite. In each scan the station does what it was advised, except for up to `deviations_per_scan`
// deviations: a contactor that is late, only pretends, lies or is silent; a drive that trips, is not ready,
// does not follow or lags; synchronism not reached, falsely claimed, or seen by our check alone; a line dip,
// a lost supply, a lost link, an emergency stop; a pump that trips, is taken out of automatic, or shows no
// current. What lasts longer is the same deviation scan after scan. Staging is replaced by a free choice of
// whatever the permissives allow, which covers everything that it could ask for.
//
// Left to the storms: starts and transfers per hour (an hour does not fit a small state), data quality,
// alarms.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/sequences.hpp"
#include "tests/property/laws.hpp"

namespace freshet::exploration {

/// What is explored, and what is spoiled about it.
struct Plan {
    std::uint8_t pumps = 2;        ///< 2..4, all alike: states that differ by their order alone are one
    int deviations_per_scan = 1;   ///< 1 or 2
    int deviations_per_path = -1;  ///< at most so many on the way to a state; negative: any number
    std::size_t states_max = 40'000'000;  ///< gives up beyond
    bool stop_at_first = false;           ///< at the first broken law
    const core::StepTable* table = &core::tables::rows;
    void (*spoil_settings)(core::Settings&) = nullptr;  ///< of the sequencer; the laws keep to the true ones
    void (*spoil_picture)(core::Picture&) = nullptr;
    bool sync_always_within = false;    ///< our own check says yes to everything
    bool stop_ignored = false;          ///< the emergency stop is not carried out
    bool free_drive_ignored = false;    ///< starts and take-backs do not ask for an empty drive bus
    bool moving_drive_ignored = false;  ///< ... or only not whether the drive stands
};

struct Findings {
    std::size_t states = 0, edges = 0;
    int depth = 0;        ///< scans from the station at rest to the farthest state
    bool closed = false;  ///< nothing left to explore under the plan
    double seconds = 0;
    std::array<std::size_t, static_cast<std::size_t>(core::Sequence::count)>
        done{};                     ///< edges that end one straight
    std::size_t broken = 0;         ///< edges that break a law
    std::vector<std::string> told;  ///< the way to the first few of them
};

/// Whether each of the six sequences came to its straight end somewhere: a table that is safe because nothing
/// can be finished is no good table.
bool every_sequence_ends(const Findings& findings);

/// The settings of the small station.
core::Settings small_settings(std::uint8_t pumps);

Findings explore(const Plan& plan);

}  // namespace freshet::exploration
