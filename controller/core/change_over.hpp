// Changing pumps over while the water is quiet: one pump takes the place of another, although the water needs
// neither more pumps nor fewer.
// One reason to change: when a pump makes room for a pump that was idle for too long, or for any other pump
// after a long run.
#pragma once

#include "controller/core/staging.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

/// Frees the drive for another pump: an idle pump is due for exercise, or a running pump is due for relief.
/// The pump that takes the place must be free to start now. Where the store takes the inflow meanwhile, the
/// drive pump stops and the other pump starts at once. Otherwise, and for a line pump, the drive pump is
/// handed over first, so that the flow is not interrupted. Nothing is changed unless the running pumps carry
/// the inflow and the value is in its deadband or needs less pumping.
Decision change_over(StagingState& staging, const Situation& at) noexcept;

/// Stops a line pump that is due for relief as soon as the other running pumps carry the inflow.
Decision relieve_line_pump(const Situation& at) noexcept;

/// The drive pump would stop, as `down` says. A line pump that is due for relief stops instead, and the drive
/// pump carries its share. Empty while no line pump is due, or while the drive pump could not be handed over
/// later.
Decision relieve_instead_of_stop(const Situation& at, const Decision& down) noexcept;

}  // namespace freshet::core
