// Short random storms with random faults. One seed chooses the station, the weather, the faults and their
// times.
// One reason to change: the options or the figures of a storm.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "tests/doubles/station_double.hpp"
#include "tests/property/laws.hpp"

namespace freshet::storms {

/// Number of stations. Consecutive seeds take consecutive stations.
inline constexpr std::size_t station_count = 12;

/// Settings of one of the stations. The stations differ in pumps, scan time, limits and instruments.
core::Settings station_settings(std::size_t station);
inline std::size_t station_of(std::uint64_t seed) {
    return static_cast<std::size_t>(seed % station_count);
}

/// A station and its controller, made once and copied for every storm, because computing the flow tables
/// takes longer than the rest of a storm's beginning.
struct Prototype {
    core::Settings judged;  ///< the settings that the laws judge by
    core::Controller controller;
    doubles::StationDouble station;
};
using Prototypes = std::vector<std::unique_ptr<Prototype>>;

/// Stations whose controllers have settings changed by `spoil`. The laws judge by the unchanged settings.
Prototypes make_prototypes(void (*spoil)(core::Settings&) = nullptr);

struct Options {
    bool judge = true;
    bool trace = false;                        ///< print every event and fault, as numbers
    std::uint64_t (*allocations)() = nullptr;  ///< returns the allocations so far; null: not checked
};

struct Outcome {
    std::uint64_t seed = 0, digest = 0;
    std::int64_t scans = 0;
    int starts = 0, line_starts = 0, hand_overs = 0, take_backs = 0, withdrawn = 0, lock_outs = 0,
        protective_stops = 0;
    int orders_obeyed = 0;             ///< the operator's orders about alarms
    int resets = 0;                    ///< of the emergency stop
    int events_most = 0;               ///< in one scan
    std::vector<laws::Broken> broken;  ///< in the first scan that broke a law, with its time
};

Outcome run_storm(const Prototypes& prototypes, std::uint64_t seed, const Options& options);

/// One line for a report of failures.
std::string described(const Outcome& outcome);

}  // namespace freshet::storms
