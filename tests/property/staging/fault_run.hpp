// A storm with one fault, with the controller and with the prompt operator.
// One reason to change: a figure by which a run with a fault is judged.
#pragma once

#include <iosfwd>

#include "tests/property/staging/random_station.hpp"
#include "tests/property/staging/single_fault.hpp"

namespace freshet::staging_campaign {

/// Overflows count from the instant of the fault.
struct FaultFigures {
    double overflow_m3 = 0;
    double operator_m3 = 0;  ///< with the prompt operator
    double dry_s = 0;        ///< a pump turned with the level below the suction level; the whole run

    /// More than 1.25 times the operator's overflow and 2 % of the active volume.
    bool is_above(double volume_m3) const {
        constexpr double factor = 1.25, share = 0.02;
        return overflow_m3 > factor * operator_m3 + share * volume_m3;
    }
};

/// Runs the controller through the storm. The prompt operator takes over in the last scan before the fault, so
/// that the fault takes the same equipment from both. `trace`: where to print both runs; null: nowhere.
FaultFigures run_with_fault(const RandomStation& station, const StormWithFault& storm, std::ostream* trace);

}  // namespace freshet::staging_campaign
