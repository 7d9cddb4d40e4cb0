// The picture of one scan: what is known of contacts, drive, line and pumps, as bits. A reading that is bad
// or too old is neither on nor off. One reason to change: what the sequencer and the permissives must know at
// a glance.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/reasons.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/two_state.hpp"

namespace freshet::core {

/// A bit per pump, pump 1 in bit 0.
using PumpMask = std::uint8_t;
constexpr PumpMask bit_of(std::size_t pump) {
    return static_cast<PumpMask>(1U << pump);
}
constexpr bool has(PumpMask mask, std::size_t pump) {
    return (mask & bit_of(pump)) != 0;
}

struct Picture {
    std::int64_t time_ms = never_ms;
    PumpMask drive_side_closed = 0, drive_side_open = 0, line_side_closed = 0, line_side_open = 0;
    PumpMask tripped = 0, trip_unknown = 0, automatic = 0, not_automatic = 0, hand = 0, seal_leak = 0,
             hot = 0;
    PumpMask current_seen = 0, current_missing = 0;
    bool output_closed = false, output_open = false;
    bool drive_running = false, drive_standing = false, drive_tripped = false, drive_not_ready = false,
         drive_known = false;
    bool drive_claims_sync = false;
    bool drive_hz_known = false;
    double drive_hz = 0;     ///< measured; zero while unknown
    double line_hz = 0;      ///< measured, or nominal while unknown
    bool line_poor = false;  ///< known to be outside its limits
    bool on_generator = false;
    bool emergency_stop = false;
    bool high_float = false, low_float_off = false, floats_known = false;
    bool contacts_known = false;  ///< every contactor of every pump and the drive output
    std::uint8_t on_line = 0;     ///< how many line-side contactors are closed, whoever closed them
    bool drive_lost() const noexcept { return drive_tripped || drive_not_ready; }
    bool operator==(const Picture&) const = default;
};

/// Pumps that the line feeds besides `pump`.
constexpr std::size_t line_pumps_beside(const Picture& picture, std::uint8_t pump) noexcept {
    const bool own = pump != no_pump && has(picture.line_side_closed, pump);
    return picture.on_line - (own ? 1U : 0U);
}

/// Condenses the inputs of one scan.
Picture picture_of(const Inputs& inputs, const Settings& settings) noexcept;

/// Renews contactors, selectors, trips and the other two-state signals. True when something changed.
bool renew_two_state(Picture& picture, const TwoStateWords& words, const Settings& settings) noexcept;

/// Renews what is looked at in every scan: the time, the drive's speed, the line.
void renew_fast(Picture& picture, const Inputs& inputs, const Settings& settings) noexcept;

/// Renews motor currents and winding temperatures; steady motors need that look once a second only. True when
/// a current came or went, or a winding became hot or cool.
bool renew_motors(Picture& picture, const Inputs& inputs, const Settings& settings) noexcept;
}  // namespace freshet::core
