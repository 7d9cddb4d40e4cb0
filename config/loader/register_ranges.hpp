// What the registers of a field map can hold, against what the station's instruments show.
// One reason to change: the range that a signal needs.
#pragma once

#include "config/field_map.hpp"
#include "config/loader/load.hpp"

namespace freshet::config {

/// The registers of measured values that cannot hold the rated value, each with a scale that would do.
Errors check_register_ranges(const FieldMap& map, const StationFile& file);

}  // namespace freshet::config
