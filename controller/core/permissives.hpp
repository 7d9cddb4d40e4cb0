// Permissives: the grounds that refuse a start, a transfer or a stop, as total functions over plain values.
// One reason to change: a ground for refusing.
#pragma once

#include <cstdint>

#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/station_permit.hpp"

namespace freshet::core {

/// Why an idle pump is unavailable; `none`: the pump is available.
Permissive why_unavailable(const Picture& picture, std::size_t pump) noexcept;

/// Why an idle, available pump may not start now; `none`: the pump may start. `by_line`: the start is a line
/// start.
///
/// Rest and residual voltage time apply to every start. The limit of starts in succession applies to line
/// starts, and to starts on the drive when Settings::succession.drive_starts_count is true. A line start also
/// depends on the strength of the supply and on the spacing of line starts. While the water is in danger, the
/// grounds of the row `machines` give way (precedence.hpp).
///
/// `wait_ms` receives the time left, ms, of the timer that refuses. It is 0 when no timer refuses, and for
/// the starts per hour, whose time is not computed.
Permissive why_not_start(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                         const Settings& settings, std::size_t pump, bool by_line,
                         std::int64_t& wait_ms) noexcept;

/// Grounds as bits.
using GroundMask = std::uint32_t;
static_assert(static_cast<std::size_t>(Permissive::count) <= 32, "every ground needs its bit");
/// The bit of a ground.
constexpr GroundMask bit_of(Permissive ground) {
    return GroundMask{1} << static_cast<unsigned>(ground);
}

/// The limits of wear that are against a start of the pump now. They refuse the start, unless the water is in
/// danger. `wait_ms` receives the time left of the rest.
GroundMask wear_limits_of_start(const SequencerState& state, const Picture& picture,
                                const StationPermit& permit, const Settings& settings, std::size_t pump,
                                std::int64_t& wait_ms) noexcept;

/// True when the station allows line starts and the supply can stand the dip of one.
bool station_allows_line_starts(const Settings& settings) noexcept;

/// True when a line start does what the drive cannot do. A line start costs a dip of the supply and stresses
/// the motor, so the controller advises one only while the drive is unavailable (lost, locked out, in the pause
/// after a failure, with an occupied bus, or running without a motor), next to a drive pump that cannot be
/// handed over, or next to a drive pump after a failed transfer.
bool line_start_serves(const SequencerState& state, const Picture& picture,
                       const Settings& settings) noexcept;

/// The greatest number of pumps that may run at once on the present supply.
std::uint8_t pumps_most(const Settings& settings, const Picture& picture) noexcept;

/// Why no transfer may begin now; `none`: a transfer may begin. `wait_ms` is as in why_not_start, and 0 for
/// the transfers per hour.
Permissive why_no_transfer(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                           const Settings& settings, std::int64_t& wait_ms) noexcept;

/// Why the drive may not be used; `none`: the drive may be used.
Permissive why_no_drive(const SequencerState& state, const Picture& picture) noexcept;

/// Why the staging may not stop a running pump yet; `none`: the pump may stop. `wait_ms` receives the time
/// left of the minimum run, ms.
Permissive why_not_stop(const SequencerState& state, const StationPermit& permit, const Settings& settings,
                        std::size_t pump, std::int64_t now_ms, std::int64_t& wait_ms) noexcept;

/// The ground that keeps every idle pump from starting.
struct Refusal {
    Permissive why = Permissive::none;  ///< none: a pump may start, or no pump is idle
    std::uint8_t pump = no_pump;        ///< the pump that may start first
    std::int64_t wait_ms = 0;           ///< time left of the timer that refuses; zero: not known
};

/// Why none of the idle pumps may start now. Of several grounds the one with the least time left counts, and a
/// ground without a timer counts last.
Refusal why_no_pump_starts(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                           const Settings& settings, bool by_line) noexcept;

/// Dip of the line voltage at a line start, per unit. The motor and the supply form a voltage divider (common
/// practice):
///
///     dip = S / (Ssc + S)
///
/// S is the apparent power of the motor with locked rotor, Ssc the short-circuit power of the supply, both in
/// VA. A short-circuit power that is not above zero gives 1, which refuses every line start.
double line_start_dip_ratio(const Settings& settings) noexcept;

}  // namespace freshet::core
