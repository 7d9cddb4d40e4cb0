// The picture of one scan: the known states of contacts, drive, line and pumps, as bits. A reading that is
// bad or too old counts as neither on nor off.
// One reason to change: a state that the sequencer or the permissives need.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/reasons.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/two_state.hpp"

namespace freshet::core {

/// A bit per pump, pump 1 in bit 0.
using PumpMask = std::uint8_t;
/// The bit of a pump, which counts from zero.
constexpr PumpMask bit_of(std::size_t pump) {
    return static_cast<PumpMask>(1U << pump);
}
/// True when the bit of `pump` is set.
constexpr bool has(PumpMask mask, std::size_t pump) {
    return (mask & bit_of(pump)) != 0;
}
/// How many pumps are in `mask`.
constexpr std::size_t count_of(PumpMask mask) {
    std::size_t pumps = 0;
    for (; mask != 0; mask = static_cast<PumpMask>(mask & (mask - 1))) ++pumps;
    return pumps;
}

/// The known states of one scan.
struct Picture {
    std::int64_t time_ms = never_ms;
    PumpMask drive_side_closed = 0, drive_side_open = 0, line_side_closed = 0, line_side_open = 0;
    PumpMask tripped = 0, trip_unknown = 0, automatic = 0, not_automatic = 0, hand = 0, seal_leak = 0,
             hot = 0;
    PumpMask current_seen = 0, current_missing = 0;
    bool output_closed = false, output_open = false;
    bool drive_running = false, drive_stopped = false, drive_tripped = false, drive_not_ready = false,
         drive_known = false;
    bool drive_claims_sync = false;
    bool drive_hz_known = false;
    double drive_hz = 0;     ///< measured; zero while unknown
    double line_hz = 0;      ///< measured, or nominal while unknown
    bool line_poor = false;  ///< read outside its limits
    bool on_generator = false;
    bool emergency_stop = false, emergency_stop_released = false;  ///< neither while the signal is unread
    bool reset_pressed = false, reset_let_go = false;  ///< the reset button; neither while it is unread
    bool high_float = false, low_float_off = false, floats_known = false;
    bool contacts_known = false;  ///< every pump contactor and the drive output are read
    /// How many pumps the line feeds, also by hand: the line side is closed and the current is not missing.
    std::uint8_t on_line = 0;
    /// True when the drive is read as tripped or not ready.
    bool drive_lost() const noexcept { return drive_tripped || drive_not_ready; }
    bool operator==(const Picture&) const = default;
};

/// The pumps that the line feeds. A contactor that is read closed feeds no motor whose current is read as missing.
constexpr PumpMask fed_by_line(const Picture& picture) noexcept {
    return static_cast<PumpMask>(picture.line_side_closed & ~picture.current_missing);
}

/// How many pumps the line feeds, without `pump`.
constexpr std::size_t other_line_pumps(const Picture& picture, std::uint8_t pump) noexcept {
    const bool own = pump != no_pump && has(fed_by_line(picture), pump);
    return picture.on_line - (own ? 1U : 0U);
}

/// The picture of the inputs of one scan.
Picture picture_of(const Inputs& inputs, const Settings& settings) noexcept;

/// Renews contactors, selectors, trips and the other two-state signals. Returns true when one of them
/// changed.
bool renew_two_state(Picture& picture, const TwoStateWords& words, const Settings& settings) noexcept;

/// Renews the values that every scan needs: the time, the speed of the drive, the line. Returns true when the line
/// became poor or healthy.
bool renew_fast(Picture& picture, const Inputs& inputs, const Settings& settings) noexcept;

/// Renews motor currents and winding temperatures. Once a second is enough for steady motors. Returns true
/// when a current appeared or disappeared, or a winding became hot or cool.
bool renew_motors(Picture& picture, const Inputs& inputs, const Settings& settings) noexcept;
}  // namespace freshet::core
