// Fewer pumps for another reason than the water: the discharge pressure, the supply, an empty store.
// One reason to change: a ground on which a running pump is taken off.
#pragma once

#include "controller/core/staging.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

/// The discharge pressure stands at its limit. Which running pump goes when it has done so for the delay: the
/// drive pump where others carry on, else one from the line. The last one stays.
Decision shed_for_pressure(StagingState& staging, const Situation& at) noexcept;

/// More pumps run than the supply may carry, as when a generator has taken over: one goes at once, from the
/// line before the one on the drive, whatever its minimum run.
Decision shed_for_supply(const Situation& at) noexcept;

/// The store would be empty before the drive pump could be let go and a line pump taken back: then one pump
/// is stopped from the line instead, which takes no time, and the rest stay.
Decision stop_before_empty(StagingState& staging, const Situation& at) noexcept;

}  // namespace freshet::core
