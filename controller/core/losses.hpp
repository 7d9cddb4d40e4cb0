// What counts as a lost pump or a lost drive, and the reason for it.
// One reason to change: a ground on which a pump or the drive is lost to a sequence.
#pragma once

#include "controller/core/picture.hpp"
#include "controller/core/reasons.hpp"

namespace freshet::core {

/// Another motor hangs on the drive's bus.
inline bool other_motor_on_drive_bus(const Picture& picture, std::size_t pump) noexcept {
    return (picture.drive_side_closed & ~bit_of(pump)) != 0;
}

inline Reason drive_reason(const Picture& picture) noexcept {
    if (picture.drive_tripped) return Reason::drive_tripped;
    if (picture.drive_not_ready) return Reason::drive_not_ready;
    return Reason::drive_lost;
}

inline Reason pump_reason(const Picture& picture, std::size_t pump) noexcept {
    if (has(picture.tripped, pump)) return Reason::pump_tripped;
    if (has(picture.hand, pump)) return Reason::selector_hand;
    if (has(picture.not_automatic, pump)) return Reason::selector_off;
    return Reason::contact_contradicts;
}

inline bool permission_gone(const Picture& picture, std::size_t pump) noexcept {
    return has(static_cast<PumpMask>(picture.tripped | picture.not_automatic), pump);
}

}  // namespace freshet::core
