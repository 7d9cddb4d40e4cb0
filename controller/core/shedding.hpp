// Stopping a pump for the discharge pressure, for the supply, or before the store is empty.
// One reason to change: a ground on which the staging stops a running pump early.
#pragma once

#include "controller/core/staging.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

/// The discharge pressure is at its limit. After the delay the drive pump stops, or a line pump when no pump
/// runs on the drive. The last running pump keeps running.
Decision shed_for_pressure(StagingState& staging, const Situation& at) noexcept;

/// More pumps run than the supply may carry, for example after a change to the generator. One pump stops at
/// once, without regard to its minimum run. Line pumps stop before the drive pump.
Decision shed_for_supply(const Situation& at) noexcept;

/// The forecast says that the store will reach its stop mark before the drive pump can stop and a line pump
/// can be taken back. One line pump stops instead, because that takes no time. The other pumps keep running. A pump
/// that starts on the drive, or that keeps the drive until it is handed over, counts as the drive pump.
Decision stop_before_empty(StagingState& staging, const Situation& at) noexcept;

/// A running pump delivers nothing, so that another pump takes its place, after the minimum run. When no other pump
/// may start, the pump keeps running while the need rises, unless another pump delivers and no water is in danger.
Decision shed_without_delivery(StagingState& staging, const Situation& at) noexcept;

}  // namespace freshet::core
