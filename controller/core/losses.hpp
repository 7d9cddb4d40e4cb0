// When a sequence loses its pump or the drive, and the reason that the journal gives.
// One reason to change: a ground on which a sequence loses its pump or the drive.
#pragma once

#include "controller/core/picture.hpp"
#include "controller/core/reasons.hpp"

namespace freshet::core {

/// True when the drive-side contactor of another pump is read closed.
inline bool other_motor_on_drive_bus(const Picture& picture, std::size_t pump) noexcept {
    return (picture.drive_side_closed & ~bit_of(pump)) != 0;
}

/// The reason for a lost drive.
inline Reason drive_reason(const Picture& picture) noexcept {
    if (picture.drive_tripped) return Reason::drive_tripped;
    if (picture.drive_not_ready) return Reason::drive_not_ready;
    return Reason::drive_lost;
}

/// The reason for a lost pump.
inline Reason pump_reason(const Picture& picture, std::size_t pump) noexcept {
    if (has(picture.tripped, pump)) return Reason::pump_tripped;
    if (has(picture.hand, pump)) return Reason::selector_hand;
    if (has(picture.not_automatic, pump)) return Reason::selector_off;
    return Reason::contact_contradicts;
}

/// True when the pump has tripped or its selector is read away from automatic.
inline bool permission_gone(const Picture& picture, std::size_t pump) noexcept {
    return has(static_cast<PumpMask>(picture.tripped | picture.not_automatic), pump);
}

}  // namespace freshet::core
