// The pumps and the main as the controller's settings describe them.
// One reason to change: how the settings describe pumps and main.
#pragma once

#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// Sets the pump's curve at line frequency, its branch, its minimum flow, the main's loss, and the levels that
/// the pumps draw from and deliver to. The curve is the one of config/hydraulics/pump_curve.hpp, sampled so
/// that its straight pieces are close in flow from the minimum flow up; the loss is the one of pipe.hpp,
/// sampled at even flows. `station.pump` must have passed its check, and the settings must have their duty
/// and their highest speed.
void derive_hydraulics(core::Settings& settings, const Station& station);

}  // namespace freshet::config
