// A random storm with random faults on one of the shipped stations, from one seed.
// One reason to change: what weather and which faults a storm of the campaign may bring.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "config/scenario.hpp"
#include "tests/property/campaign/coupled.hpp"

namespace freshet::campaign {

/// Twenty minutes at the station: six quiet ones, in which the first pumps come to their rest, then the storm
/// (or a surge of demand) with none to four faults that the station's devices can have.
config::Scenario random_storm(const Base& base, std::uint64_t seed);

/// The faults of a storm, for a report.
std::string described(const config::Scenario& scenario);

/// What the faults of a storm take away.
struct Handicap {
    /// More is touched than single pumps and one of two level transmitters: drive, its output and its bus
    /// (any drive-side contact; a line side that does not close, for its pump's minimum run), line, floats,
    /// emergency stop, the header (a valve stuck open), or a link that lets too little through.
    bool station_wide = false;
    /// A pump may run whatever is advised, or the controller sees nothing.
    bool cannot_be_stopped = false;
    std::vector<bool> pump_faulty;  ///< by pump
};
Handicap handicap_of(const config::Scenario& scenario, std::size_t pump_count,
                     std::size_t level_transmitters);

}  // namespace freshet::campaign
