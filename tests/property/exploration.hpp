// Explores the real sequencer together with a small quantised station: every state that they can reach,
// breadth first. The laws judge every step from one state to the next. One reason to change: the bounds of a
// plan.
//
// One scan is one second, and every limit is a few scans. Ages therefore saturate, and the set of states is
// finite. In each scan the station follows the advice, except for up to `deviations_per_scan` deviations:
//   - a contactor that is late, only shows that it moved, shows the wrong state, or is not read;
//   - a drive that trips, is not ready, does not follow or lags;
//   - synchronism that is not reached, falsely claimed, or seen by our check alone;
//   - a line dip, a lost supply, a lost link, an emergency stop;
//   - a pump that trips, is taken out of automatic, or shows no current;
//   - a person who resets the emergency stop, at the right time or too early.
// A longer failure is the same deviation scan after scan. A free choice of every sequence that the
// permissives allow takes the place of staging, and therefore covers every choice of staging.
//
// The storms cover the rest: starts and transfers per hour (an hour does not fit a small state), data
// quality, and alarms.
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

/// The bounds of an exploration, and the parts of the sequencer that a mutant spoils.
struct Plan {
    std::uint8_t pumps = 2;               ///< 2..4 equal pumps; the order of the pumps makes no difference
    int deviations_per_scan = 1;          ///< 1 or 2
    int deviations_per_path = -1;         ///< greatest number on the way to a state; negative: no limit
    std::size_t states_max = 40'000'000;  ///< the exploration stops beyond this number
    bool stop_at_first = false;           ///< stops at the first broken law
    const core::StepTable* table = &core::tables::rows;
    void (*spoil_settings)(core::Settings&) = nullptr;  ///< of the sequencer alone, not of the laws
    void (*spoil_picture)(core::Picture&) = nullptr;
    bool sync_always_within = false;    ///< our own check accepts everything
    bool stop_ignored = false;          ///< the emergency stop is not carried out
    bool line_start_always = false;     ///< line starts do not need a drive or a hand-over that fails
    bool reset_ignored = false;         ///< the release of the emergency stop counts as its reset
    bool reset_too_early = false;       ///< a reset counts while the emergency stop is operated or not read
    bool free_drive_ignored = false;    ///< starts and take-backs do not need an empty drive bus
    bool moving_drive_ignored = false;  ///< starts and take-backs do not need a stopped drive
};

struct Findings {
    std::size_t states = 0, edges = 0;
    int depth = 0;        ///< scans from the station at rest to the farthest state
    bool closed = false;  ///< no state is left to explore under the plan
    double seconds = 0;
    std::array<std::size_t, static_cast<std::size_t>(core::Sequence::count)>
        done{};  ///< edges at which a sequence ends without a failure, by Sequence
    std::size_t line_starts_in_addition =
        0;                          ///< edges at which a line start ends next to a pump on the drive
    std::size_t edges_of_both = 0;  ///< edges with a line start and a main sequence under way
    std::size_t broken = 0;         ///< edges that break a law
    std::vector<std::string> ways;  ///< the ways to the first broken laws
};

/// Whether each of the six sequences ended without a failure somewhere. A table that is safe only because no
/// sequence ever ends is not a good table.
bool every_sequence_ends(const Findings& findings);

/// The settings of the small station.
core::Settings small_settings(std::uint8_t pumps);

Findings explore(const Plan& plan);

}  // namespace freshet::exploration
