// The [control] table of a station file, joined with what follows from the equipment.
// One reason to change: a setting of the controller.
#pragma once

#include "config/loader/reader.hpp"
#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// Reads [control] and closes it. Figures that need a sound station are left to `derive_settings`.
core::Settings read_settings(TableReader& document, const Station& station);

/// Fills in what follows from the equipment. `station` must have passed its checks.
void derive_settings(core::Settings& settings, const Station& station);

}  // namespace freshet::config
