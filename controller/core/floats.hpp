// The backup floats: which one calls for pumps, which one stops them, and when a float is not believed.
// One reason to change: what a float may decide.
#pragma once

#include <cstdint>

#include "controller/core/held.hpp"
#include "controller/core/need.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/signals.hpp"

namespace freshet::core {

struct Floats {
    bool high = false;     ///< the high float is wet, for the holding time
    bool low_off = false;  ///< the low float is dry, for the holding time
    bool calls = false;    ///< the float of the duty that calls for pumps has spoken
    bool stops = false;    ///< the float of the duty that stops pumps has spoken and is believed
    std::int64_t high_since_ms = never_ms, low_off_since_ms = never_ms;
};

/// Renews the floats. The high float calls for pumps at a well, the low float at a tank that is filled. The
/// other float stops pumps, unless a good measured value lies on the other side of the stop mark: then the
/// float is the instrument that is wrong.
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
