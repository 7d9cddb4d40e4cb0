// Whether pumps of the station may start in a scan, and whether all pumps must stop.
// One reason to change: a ground that concerns every pump at once.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

/// The permit of the whole station in one scan.
struct StationPermit {
    bool settled = false;      ///< the picture is consistent and the supply is back, for the settling time
    bool data_starts = false;  ///< the measured value, a float or the last known inflow may start a pump
    bool low_cutoff = false;
    bool low_float = false;        ///< the float that stops pumps has operated and is believed
    bool supply_poor = false;      ///< lost for longer than Settings::supply.lost_hold_ms
    bool pressure_high = false;    ///< the header pressure is past its limit, see PressureLimit
    bool water_in_danger = false;  ///< see precedence.hpp; from the last decision of the staging
    std::int64_t supply_poor_since_ms = never_ms;
    /// Time for which a drive that is about to be ready keeps pumps from starting on the line, ms; 0: no
    /// time.
    std::int64_t drive_wait_left_ms = 0;
    /// The water has reached the stage-up mark, or a float calls for pumps. The rest of pumps that stopped
    /// involuntarily then ends early.
    bool water_calls = false;
};

/// Renews the permit for one scan. `inflow_fresh` is true while the last known inflow may start a pump in service
/// `floats`.
void renew_permit(StationPermit& permit, const Sight& sight, Service service, bool inflow_fresh,
                  const NeedMarks& marks, const Settings& settings) noexcept;

}  // namespace freshet::core
