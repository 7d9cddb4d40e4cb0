// Which pump takes the drive next. One reason to change: what keeps a pump from the drive, or puts it first.
#pragma once

#include <array>

#include "controller/core/staging.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

/// Pumps whose hand-overs have failed time after time, or whose line side did not close and has not been seen
/// to close since.
PumpMask cannot_be_handed_over(const Situation& at) noexcept;

/// Who takes the drive next: a pump that has stood idle for too long, then one that can be handed over, then
/// any that may start.
std::uint8_t next_on_drive(const Situation& at) noexcept;

Decision start_on_drive(const Situation& at, Reason why, const std::array<double, 4>& values) noexcept;

}  // namespace freshet::core
