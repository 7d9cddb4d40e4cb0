// One run of the controller at a random station, and the judgement of it against the prompt operator.
// One reason to change: a figure by which a run is judged.
#pragma once

#include <cstdint>
#include <iosfwd>
#include <vector>

#include "config/scenario.hpp"
#include "tests/property/staging/random_inflow.hpp"
#include "tests/property/staging/random_station.hpp"

namespace freshet::staging_campaign {

/// A spill repeated with the prompt operator, who takes over at `set_down_scan`.
struct Comparison {
    std::int64_t set_down_scan = 0;
    double prompt_m3 = 0;  ///< overflow with the prompt operator, to the end of the spill
    double capacity_before_m3s = 0, capacity_reached_m3s = 0;
    double allowed_m3 = 0;
};

/// Water over the weir without a pause of a minute.
struct Spill {
    std::int64_t begins_scan = 0, ends_scan = 0;
    double overflow_m3 = 0;
    /// Set down in the last scan before the spill in which the running pumps carried the inflow, or rode a
    /// band.
    Comparison late;
    /// As `late`, and the level was not above the mark for another pump. A controller that waits until the
    /// well is nearly full has used up the store, and `late` would forgive the wait.
    Comparison early;
};

struct Figures {
    double overflow_m3 = 0;
    double prompt_m3 = 0, allowed_m3 = 0;  ///< sums over the spills, set down late
    double excess_m3 =
        0;  ///< sum, over the spills, of the overflow above the allowed overflow, set down late
    double early_prompt_m3 = 0, early_excess_m3 = 0;  ///< the same, set down early
    double dry_s = 0;     ///< a pump turned with the level below the suction level
    int low_cutoffs = 0;  ///< the level fell below the cut-off with a pump on, more slowly than a stop takes
    int needless_hand_overs = 0;
    int hand_overs = 0, take_backs = 0, starts = 0;
    double level_max_m = 0, level_min_m = 0;
    std::vector<Spill> spills;
};

/// A pump that stops on the drive needs this time to come to rest, s.
double stop_takes_s(const RandomStation& station);

/// Runs the controller through the scenario. Each spill is then repeated with the prompt operator.
/// `trace`: where to print the run, one row every ten seconds and one row for each event; null: nowhere.
Figures judged_run(const RandomStation& station, const config::Scenario& scenario,
                   std::ostream* trace = nullptr);

}  // namespace freshet::staging_campaign
