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

/// True when the stopping float is not believed, because two other witnesses contradict the float:
///
///   stopping float | calling float | good transmitters above the stop mark | pumps
///   operated       | operated      | any number                            | keep running
///   operated       | at rest       | two that agree                        | keep running
///   operated       | at rest       | one, or none                          | stop
///
/// One transmitter alone does not outvote the float, because a drifting transmitter would let pumps run dry.
inline bool stopping_float_is_outvoted(const Floats& floats, const MeasuredValue& measured, double need_m,
                                       const NeedMarks& marks) noexcept {
    constexpr std::uint8_t witnesses = 2;
    const bool transmitters_agree = measured.quality == Quality::good && measured.usable >= witnesses;
    return floats.calls || (transmitters_agree && need_m > marks.stop_m);
}

/// Renews the floats for one scan. At a well the high float calls for pumps. At a tank that is filled the low
/// float calls for pumps. The other float stops pumps, unless the float is outvoted.
inline void renew_floats(Floats& floats, const Picture& picture, const MeasuredValue& measured, double need_m,
                         const NeedMarks& marks, const Settings& settings) noexcept {
    const std::int32_t hold_ms = settings.floats.hold_ms;
    floats.high = held_for(floats.high_since_ms, picture.high_float, hold_ms, picture.time_ms);
    floats.low_off = held_for(floats.low_off_since_ms, picture.low_float_off, hold_ms, picture.time_ms);
    const bool empties = settings.action == Action::direct;
    floats.calls = empties ? floats.high : floats.low_off;
    floats.stops = (empties ? floats.low_off : floats.high) &&
                   !stopping_float_is_outvoted(floats, measured, need_m, marks);
}

}  // namespace freshet::core
