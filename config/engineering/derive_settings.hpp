// The controller's settings that follow from the equipment.
// One reason to change: a setting that is derived and not configured.
#pragma once

#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// Fills in what follows from the equipment. `station` must have passed its checks.
void derive_settings(core::Settings& settings, const Station& station);

}  // namespace freshet::config
