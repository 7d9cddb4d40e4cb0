// The rules of the staging, one for each state of the drive. One reason to change: a state that has rules of its
// own.
#pragma once

#include "controller/core/staging.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

/// A pump runs on the drive.
Decision with_drive_pump(StagingState& staging, const Situation& at) noexcept;

/// The drive is empty and may be used: start the next pump on the drive, or take a pump back.
Decision with_free_drive(StagingState& staging, const Situation& at) noexcept;

/// The drive is unavailable: steps of whole pumps on the line, where the station allows line starts.
Decision without_drive(StagingState& staging, const Situation& at) noexcept;

}  // namespace freshet::core
