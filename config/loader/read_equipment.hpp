// The tables of a station file that describe equipment.
// One reason to change: equipment that a station file can describe.
#pragma once

#include "config/loader/reader.hpp"
#include "config/station.hpp"

namespace freshet::config {

/// Whether the duty is known, on which depends what else the document must hold; if not, why not goes to the
/// reader's source.
bool tells_its_duty(TableReader& document);
/// Reads every table of the document but [control]; what is missing or wrong goes to the reader's source.
Station read_equipment(TableReader& document);
Motor read_motor(TableReader& motor);

}  // namespace freshet::config
