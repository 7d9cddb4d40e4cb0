// The foreseeing operator knows the inflow to come. Dynamic programming finds the way up and down the ladder of
// combinations that spills least: the physical limit of one shared drive.
// One reason to change: the freedom of the foreseeing operator.
//
// State: time, combination, volume in the well. A combination is a number of pumps on the line, and one pump on
// the drive or none. A start takes the drive from rest to line frequency. A hand-over puts the drive pump on the
// line and leaves the drive free. Both take their whole time and are never abandoned. A stop takes no time.
// The pump on the drive delivers any flow between its minimum flow and its flow at line frequency. Nobody pumps
// below the stop mark. Of two ways with the same overflow the way with fewer starts is taken.
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

#include "config/scenario.hpp"
#include "tests/property/staging/random_station.hpp"

namespace freshet::staging_campaign {

/// A station as the foreseeing operator sees it. Volumes count from anywhere, m3.
struct Foresight {
    std::size_t pumps = 0;
    double start_s = 0;      ///< from the decision until the pump runs at line frequency
    double delivers_s = 0;   ///< from the decision until the pump delivers its first water; below start_s
    double hand_over_s = 0;  ///< from line frequency until the drive is free for the next pump
    double stop_m3 = 0, crest_m3 = 0;
    double top_m3 = 0;  ///< no volume is greater
    /// Flow of pumps at line frequency, at a volume.
    std::function<double(std::size_t pumps, double volume_m3)> full_m3s;
    /// Flow of line pumps and one more at its minimum flow.
    std::function<double(std::size_t line_pumps, double volume_m3)> least_m3s;
    std::function<double(double volume_m3)> weir_m3s;  ///< above the crest
};

struct Foreseen {
    double overflow_m3 = 0;
    int starts = 0;
};

/// The least overflow of a station at rest with `volume_m3` in the well. `inflow_m3s`: mean of each step of
/// `step_s`. The times of start and hand-over are shortened to whole steps, one step at least, which favours
/// the operator. The overflow belongs to a way that was found in 160 cells of volume. Therefore another way
/// may spill less by about one cell.
Foreseen foresee(const Foresight& station, const std::vector<double>& inflow_m3s, double step_s,
                 double volume_m3);

/// A lower bound for every operator: all pumps run at full speed from the first moment, whenever the volume is
/// above the stop mark, m3.
double least_overflow_m3(const Foresight& station, const std::vector<double>& inflow_m3s, double step_s,
                         double volume_m3);

/// A station of the campaign, with a run: what the two functions above need.
struct ForeseenRun {
    Foresight station;
    std::vector<double> inflow_m3s;
    double step_s = 1, volume_m3 = 0;
};

/// Starts and hand-overs take the shortest times of the prompt operator at the same station. `station` must
/// outlive the result.
ForeseenRun foreseen_run(const RandomStation& station, const config::Scenario& scenario);

/// The foreseeing operator at a station of the campaign.
Foreseen foreseen(const RandomStation& station, const config::Scenario& scenario);

}  // namespace freshet::staging_campaign
