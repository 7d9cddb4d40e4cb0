// The tables of a station file that describe equipment.
// One reason to change: equipment that a station file can describe.
#pragma once

#include "config/loader/reader.hpp"
#include "config/station.hpp"

namespace freshet::config {

/// Whether the document names a valid duty, which decides what else the document must hold. If not, the
/// reader's source gets the error.
bool has_duty(TableReader& document);
/// Reads every table of the document except [control]. The reader's source gets the errors.
Station read_equipment(TableReader& document);
Motor read_motor(TableReader& motor);

}  // namespace freshet::config
