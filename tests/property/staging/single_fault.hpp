// A random storm with one fault at a station that has one pump more than the storm needs.
// One reason to change: the faults, or the storms that they meet.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

#include "config/scenario.hpp"
#include "tests/property/staging/random_station.hpp"

namespace freshet::staging_campaign {

/// The number of kinds: every kind of fault of every sort of device, such as "pump blocked".
std::size_t fault_kind_count();

/// The name of a kind, such as "line side does_not_close".
std::string name_of_fault_kind(std::size_t kind);

struct StormWithFault {
    config::Scenario scenario;  ///< has one fault, and the reset of an emergency stop
    double begins_s = 0;        ///< the instant of the fault
    std::size_t kind = 0;
    bool hard = false;  ///< the inflow rises two or three times, quickly, to nearly all pumps' flow but one's
};

/// The kinds follow one another by seed; mild and hard storms alternate. `station` has two pumps or more. The
/// inflow never passes the flow of all pumps but one. The fault begins at a random instant, often while pumps
/// come on, and stays to the end in one of three runs. A fault that would stop every station for ever ends in
/// every run: emergency stop, loss of the supply, faults of the link.
StormWithFault storm_with_fault(const RandomStation& station, std::uint64_t seed);

/// The same storm without the fault.
StormWithFault without_fault(StormWithFault storm);

/// The fault, for a report.
std::string described(const config::Fault& fault);

}  // namespace freshet::staging_campaign
