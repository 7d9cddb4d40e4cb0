// Short random storms with random faults: one seed makes station, weather, faults and their times.
// One reason to change: what can go wrong in a storm.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "tests/doubles/station_double.hpp"
#include "tests/property/laws.hpp"

namespace freshet::storms {

/// Number of stations that the seeds are spread over.
inline constexpr std::size_t station_count = 12;

/// Settings of one of the stations. They differ in pumps, scan time, limits and in what is fitted.
core::Settings station_settings(std::size_t station);
inline std::size_t station_of(std::uint64_t seed) {
    return static_cast<std::size_t>(seed % station_count);
}

/// A station and its controller, made once and copied for every storm: working out the flow tables takes
/// longer than the rest of a storm's beginning.
struct Prototype {
    core::Settings judged;  ///< what the laws hold it to
    core::Controller controller;
    doubles::StationDouble station;
};
using Prototypes = std::vector<std::unique_ptr<Prototype>>;

/// Stations whose controllers are given settings changed by `spoil`, while the laws keep to the true ones.
Prototypes make_prototypes(void (*spoil)(core::Settings&) = nullptr);

struct Options {
    bool judge = true;
    bool trace = false;                        ///< print every event and fault, as numbers
    std::uint64_t (*allocations)() = nullptr;  ///< count of allocations so far, if it is watched
};

struct Outcome {
    std::uint64_t seed = 0, digest = 0;
    std::int64_t scans = 0;
    int starts = 0, line_starts = 0, hand_overs = 0, take_backs = 0, withdrawn = 0, lock_outs = 0,
        protective_stops = 0, orders_obeyed = 0;  ///< ... of people, about alarms
    int events_most = 0;                          ///< in one scan
    std::vector<laws::Broken> broken;             ///< of the first scan that broke one, with its time
};

Outcome run_storm(const Prototypes& prototypes, std::uint64_t seed, const Options& options);

/// One line for a report of failures.
std::string described(const Outcome& outcome);

}  // namespace freshet::storms
