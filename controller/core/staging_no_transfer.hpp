// The staging while transfers are impossible: the drive pump stays and varies its speed, and the other pumps
// start and stop on the line.
// One reason to change: a decision that replaces an impossible transfer.
#pragma once

#include "controller/core/staging.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

/// True while the next pump starts on the line, in addition to the drive pump, instead of a hand-over: the
/// drive pump cannot be handed over, or the last transfer failed and the water will be at the high mark before
/// another attempt can end.
bool starts_in_addition(const Situation& at) noexcept;

/// The drive pump cannot be handed over and `up` wants more flow. Another pump starts on the line on the same
/// grounds. Empty while no pump may start on the line.
Decision start_in_addition(StagingState& staging, const Situation& at, const Decision& up) noexcept;

/// No line pump can be taken back and `down` would stop the drive pump for a take-back. A line pump stops
/// instead. In the band that no combination holds, where the other pumps at full speed cannot carry the inflow,
/// the drive pump stops.
Decision stop_line_pump_instead(const Situation& at, const Decision& down) noexcept;

/// No line pump can be taken back and the drive is free. A line pump stops at the stage-down mark when the line
/// pumps carry more than the inflow, and the last line pump stops at the stop mark.
Decision stop_without_take_back(StagingState& staging, const Situation& at) noexcept;

}  // namespace freshet::core
