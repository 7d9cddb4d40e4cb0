// Setpoints that move: a booster's setpoint follows the flow, and a store is filled ahead in cheap hours.
// One reason to change: what moves the setpoint.
//
// All staging marks move with the setpoint. The cut-off and the alarm mark stay.
//
//   follows the flow   the loss of the main to the far end is h = k Q^2. The setpoint rises by h, so that the
//                      pressure at the far end is the same at every flow. Source: head loss of turbulent
//                      flow, common practice. The flow is the demand, smoothed over a minute, so that
//                      setpoint and speed do not swing together.
//   cheap hours        the marks rise evenly and reach the full rise half an hour before the cheap hours end.
//                      An even rise needs fewer pumps than a sudden rise. When the cheap hours are over, the
//                      marks fall at once, and the stored water serves the dear hours.
#pragma once

#include "controller/core/day_time.hpp"
#include "controller/core/duty_view.hpp"

namespace freshet::core {

struct MovingSetpoint {
    double flow_m3s = 0;  ///< the smoothed demand
    bool flow_known = false;
    double filled_m = 0;  ///< how far the marks have risen in these cheap hours
    bool is_cheap = false;
    /// How far the marks move towards a fuller store or a higher pressure, m.
    double rise_m = 0;
};

/// Renews the rise, once a second.
void renew_setpoint(MovingSetpoint& setpoint, const DutyView& view) noexcept;

/// The marks of the settings, moved by the rise.
NeedMarks moved_marks(const MovingSetpoint& setpoint, const Settings& settings) noexcept;

}  // namespace freshet::core
