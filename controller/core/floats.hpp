// The backup floats: which one calls for pumps, which one stops them, and when a float is not believed.
// One reason to change: what a float may decide.
#pragma once

#include <cstdint>

#include "controller/core/held.hpp"
#include "controller/core/need.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/signals.hpp"

namespace freshet::core {

/// The floats in one scan, after their holding time.
struct Floats {
    bool high = false;     ///< the high float is wet, for the holding time
    bool low_off = false;  ///< the low float is dry, for the holding time
    bool calls = false;    ///< the float that calls for pumps has operated
    bool stops = false;    ///< the float that stops pumps has operated and is believed
    std::int64_t high_since_ms = never_ms, low_off_since_ms = never_ms;
};

/// Renews the floats for one scan. At a well the high float calls for pumps. At a tank that is filled the low
/// float calls for pumps. The other float stops pumps. The controller does not believe the stopping float
/// while a good measured value `need_m` lies above the stop mark, because then the float is the wrong
/// instrument.
inline void renew_floats(Floats& floats, const Picture& picture, const MeasuredValue& measured, double need_m,
                         const NeedMarks& marks, const Settings& settings) noexcept {
    const std::int32_t hold_ms = settings.floats.hold_ms;
    floats.high = held_for(floats.high_since_ms, picture.high_float, hold_ms, picture.time_ms);
    floats.low_off = held_for(floats.low_off_since_ms, picture.low_float_off, hold_ms, picture.time_ms);
    const bool empties = settings.action == Action::direct;
    floats.calls = empties ? floats.high : floats.low_off;
    floats.stops = (empties ? floats.low_off : floats.high) &&
                   (measured.quality != Quality::good || need_m <= marks.stop_m);
}

}  // namespace freshet::core
