// What the duty asks of the water now: the marks in force, and the speed of the drive pump where a rule sets
// the speed.
// One reason to change: a rule of the duty that comes or goes, or the order of the rules.
//
// The rules in their order; the first that applies decides:
//
//   timed task      timed_duty.hpp       a draw-down or a scour at a stated time
//   sleep           sleep.hpp            a booster stops at no flow, and the vessel supplies the demand
//   fill and draw   fill_and_draw.hpp    the least energy per volume
//   hold            following.hpp        the value is held at the setpoint
//
// moving_setpoint.hpp moves the setpoint and the staging marks under each of them.
#pragma once

#include "controller/core/duty_view.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/moving_setpoint.hpp"
#include "controller/core/need.hpp"
#include "controller/core/timed_duty.hpp"

namespace freshet::core {

struct WaterDuty {
    WaterMode mode = WaterMode::hold;
    double draw_hz = 0;  ///< speed at which the drive pump moves the water from mark to mark; zero: no draw
    NeedMarks marks;     ///< in force
    std::int64_t differs_since_ms = never_ms;  ///< since when the rule of a mode has spoken against the mode
    MovingSetpoint setpoint;
    TimedDuty timed;
    bool draws() const noexcept { return draw_hz > 0; }
    bool sleeps() const noexcept { return mode == WaterMode::sleep; }
};

/// Decides once a second, after the balance, and notes a change of the mode. Writes the setpoint in force
/// into the advice.
void renew_water_duty(WaterDuty& duty, const DutyView& view, Advice& advice, Journal& journal) noexcept;

}  // namespace freshet::core
