// Permissives: why a pump may not be started, transferred or kept, as total functions over plain values.
// One reason to change: a ground for refusing.
#pragma once

#include <cstdint>

#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/station_permit.hpp"

namespace freshet::core {

/// Why an idle pump cannot be counted on at all (its state is then `unavailable`); none: it can.
Permissive why_unavailable(const Picture& picture, std::size_t pump) noexcept;

/// Why an idle, available pump may not be started now; none: it may. `wait_ms` gets how long until the timer
/// that refuses lets go; 0 where none refuses, and where it is not reckoned (starts per hour). Rest and
/// residual-voltage time are asked for either way, and starts in succession, unless those on the drive do not
/// count (drive_starts_count); `by_line`: for a line start, which is asked for starts in succession always,
/// and for the strength of the supply and the spacing of line starts besides.
Permissive why_not_start(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                         const Settings& settings, std::size_t pump, bool by_line,
                         std::int64_t& wait_ms) noexcept;

/// Most pumps at once on the supply that feeds the station now.
std::uint8_t pumps_most(const Settings& settings, const Picture& picture) noexcept;

/// Why no transfer may begin now; none: one may. `wait_ms` as above; 0 for transfers per hour.
Permissive why_no_transfer(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                           const Settings& settings, std::int64_t& wait_ms) noexcept;

/// Why the drive may not be used at all; none: it may.
Permissive why_no_drive(const SequencerState& state, const Picture& picture) noexcept;

/// Why a running pump may not be stopped for staging yet; none: it may. `wait_ms` gets how long still.
Permissive why_not_stop(const SequencerState& state, const Settings& settings, std::size_t pump,
                        std::int64_t now_ms, std::int64_t& wait_ms) noexcept;

/// Dip of the line at a line start, per unit: start power over short-circuit power, motor in series with the
/// source, S / (Ssc + S). Zero short-circuit power counts as a supply that cannot stand it (1).
double line_start_dip_ratio(const Settings& settings) noexcept;

}  // namespace freshet::core
