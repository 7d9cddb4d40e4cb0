// The [control] table of a station file.
// One reason to change: a setting of the controller.
#pragma once

#include "config/loader/reader.hpp"
#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// Reads [control] and closes it. Figures that need a sound station come from `derive_settings`.
core::Settings read_settings(TableReader& document, const Station& station);

}  // namespace freshet::config
