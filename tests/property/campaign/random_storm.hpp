// A random storm with random faults on one of the shipped stations, from one seed.
// One reason to change: the weather or the faults of the campaign's storms.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "config/scenario.hpp"
#include "tests/property/campaign/coupled.hpp"

namespace freshet::campaign {

/// Twenty minutes at the station. In the first six quiet minutes the first pumps settle. Then the storm (or a
/// surge of demand) comes, with none to four faults that the station's devices can have.
config::Scenario random_storm(const Base& base, std::uint64_t seed);

/// A person resets the emergency stop a minute after each fault that operates the emergency stop has ended.
void add_resets(config::Scenario& scenario);

/// The faults of a storm, for a report.
std::string described(const config::Scenario& scenario);

/// The parts of the station that the faults of a storm make unavailable.
struct Handicap {
    /// The faults reach beyond single pumps and one of two level transmitters: the drive, its output and its
    /// bus (any drive-side contact; a line side that does not close, for its pump's minimum run), line,
    /// floats, emergency stop, the header (a valve stuck open), or a link that passes too few readings.
    bool station_wide = false;
    /// A pump may run against the advice, or the controller sees nothing.
    bool cannot_be_stopped = false;
    std::vector<bool> pump_faulty;  ///< by pump
};
Handicap handicap_of(const config::Scenario& scenario, std::size_t pump_count,
                     std::size_t level_transmitters);

}  // namespace freshet::campaign
