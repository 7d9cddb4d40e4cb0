// A constant inflow at which one pump must start and stop again and again, and the cycle that the store
// permits.
// One reason to change: how a cycle is measured, or the theory of a cycle.
#pragma once

#include <cstddef>
#include <cstdint>
#include <iosfwd>
#include <string>

#include "tests/property/staging/random_station.hpp"

namespace freshet::staging_campaign {

/// A constant inflow between the flow of `steady_pumps` and the flow of one pump more.
struct Cycling {
    std::size_t steady_pumps = 0;
    double inflow_m3s = 0;
    double drawn_m3s = 0;    ///< expected while one more pump is on; only for the length of the run
    bool with_drive = true;  ///< false: the drive is not ready, and pumps start on the line
};

struct Cycles {
    int starts = 0, transfers = 0;  ///< in the time that is judged
    int starts_per_hour_max = 0;    ///< of one pump
    double judged_h = 0;
    double theory_s = 0;    ///< T = V / (q - q_k) + V / (q_drawn - q), with the measured flows
    double measured_s = 0;  ///< mean time from one start to the next; zero: fewer than three starts
    /// The share by which the starts are more frequent than in the theory. Zero: not known.
    double excess() const { return measured_s > 0 && theory_s > 0 ? theory_s / measured_s - 1 : 0; }
};

/// Runs the station for six cycles, at least one and a half and at most twelve and a half hours. The first hour and a
/// half before them is not judged, nor the time until `steady_pumps` have been handed over to the line. `trace`: where to print every scan; null: nowhere.
Cycles cycles_of(const RandomStation& station, const Cycling& cycling, std::uint64_t seed,
                 std::ostream* trace);

/// One line for a report.
std::string described(const RandomStation& station, const Cycling& cycling, const Cycles& cycles);

}  // namespace freshet::staging_campaign
