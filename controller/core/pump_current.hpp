// The current of a motor that drives a pump at a flow and a speed.
// One reason to change: how a motor's current follows from the pump's flow.
#pragma once

#include "controller/core/settings.hpp"

namespace freshet::core {

/// True when the settings give the motor's current over the pump's flow.
bool current_is_given(const Settings& settings) noexcept;

/// Current of one motor, A, with its pump at `flow_m3s` and at `speed_ratio` of the speed on the line. The
/// flow is brought to the speed on the line by the affinity laws. The torque then goes with the square of
/// the speed, and the part of the current that bears the load goes with the torque:
///
///     I^2 = I0^2 + (I(line)^2 - I0^2) n^4,   I0 the current without load
///
/// Valid at constant voltage per frequency. Source: the load and the magnetising current of an induction
/// motor are nearly at right angles, common practice. Zero when the settings give no currents.
double motor_current_a(const Settings& settings, double flow_m3s, double speed_ratio) noexcept;

}  // namespace freshet::core
