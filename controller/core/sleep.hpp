// Sleep of a booster: while the demand is below the minimum flow of one pump, the pump charges the vessel to
// the boost mark and stops. The vessel supplies the demand down to the wake mark.
// One reason to change: when a booster sleeps, or the marks of the sleep.
#pragma once

#include "controller/core/duty_view.hpp"

namespace freshet::core {

/// Decides whether the booster sleeps: no pump runs on the line, and the demand is less than one pump
/// delivers at its minimum flow. `asleep`: the answer of the last second.
DutyAim judge_sleep(bool asleep, const DutyView& view) noexcept;

/// Puts the marks of the sleep into the marks in force. Asleep, the boost mark takes the place of the stop
/// mark, and the wake mark the place of the start mark. When the demand returns while the vessel is charged
/// past the stop mark, the boost mark stays, so that the pump keeps running.
void apply_sleep(NeedMarks& marks, bool asleep, const DutyView& view) noexcept;

}  // namespace freshet::core
