// The rules of the staging, one for each state of the drive.
// One reason to change: a state of the drive that needs rules of its own.
#pragma once

#include "controller/core/staging.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

/// Decides while a pump runs on the drive.
Decision with_drive_pump(StagingState& staging, const Situation& at) noexcept;

/// Decides while the drive is free: start the next pump on the drive, or take a pump back.
Decision with_free_drive(StagingState& staging, const Situation& at) noexcept;

/// Decides while the drive is unavailable: start and stop pumps on the line, where the station allows line
/// starts.
Decision without_drive(StagingState& staging, const Situation& at) noexcept;

/// Decides, while the drive pump ramps down, whether the pump must keep running: the inflow has returned, and the
/// store would pass the stage-up mark before another pump runs. The decision is a start of that pump.
Decision keep_pump_that_ramps_down(const Situation& at) noexcept;

}  // namespace freshet::core
