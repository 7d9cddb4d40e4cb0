// Which pump takes the drive next.
// One reason to change: what keeps a pump from the drive, or puts a pump first.
#pragma once

#include <array>

#include "controller/core/staging.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

/// The pump that takes the drive next, or no_pump, and why this pump. A pump that has been idle for too long
/// comes first, then a pump that can be handed over, then any pump that may start.
Choice next_on_drive(const Situation& at) noexcept;

/// The decision to start the next pump on the drive, with its reason and values. The decision is empty while
/// the drive is not free or no pump may start.
Decision start_on_drive(const Situation& at, Reason why, const std::array<double, 4>& values) noexcept;

/// Notes that a pump starts on the grounds of `decision` as soon as the drive is free.
void want_start(StagingState& staging, const Decision& decision) noexcept;

}  // namespace freshet::core
