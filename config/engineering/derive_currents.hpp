// The motor's current over the pump's flow, for the settings of the controller.
// One reason to change: how the settings describe the current of a motor.
#pragma once

#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// Current of one motor, A, that delivers `power_w` at the shaft on the line at its rated voltage: by its
/// circuit, or from the nameplate, where the active part goes with the power and the reactive part stays
/// (common practice; a motor at part load takes a little less). Zero when the nameplate gives no power
/// factor.
double line_current_a(const Motor& motor, double power_w);

/// Fills Settings::curve_current_a and no_load_current_a. Call after derive_hydraulics, which fills the
/// curve.
void derive_currents(core::Settings& settings, const Station& station);

}  // namespace freshet::config
