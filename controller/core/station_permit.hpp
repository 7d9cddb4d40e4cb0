// What holds for the station as a whole in one scan: whether pumps may start, and whether all must stop.
// One reason to change: a ground that concerns every pump at once.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

struct StationPermit {
    bool settled = false;      ///< the picture is consistent and the supply is back, for the settling time
    bool data_starts = false;  ///< the measured value, or a held float, may start a pump
    bool low_cutoff = false;
    bool low_float = false;      ///< the float that stops pumps has spoken, and is believed
    bool supply_poor = false;    ///< lost, for longer than a dip that is ridden through
    bool pressure_high = false;  ///< in the header, held
    std::int64_t supply_poor_since_ms = never_ms;
};

/// Renews the permit for one scan.
void renew_permit(StationPermit& permit, const Sight& sight, Service service, bool settled,
                  const NeedMarks& marks, const Settings& settings) noexcept;

}  // namespace freshet::core
