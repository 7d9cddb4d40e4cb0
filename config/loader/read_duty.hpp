// The tables of [control] that say what the duty asks of the water.
// One reason to change: a setting of the duty.
#pragma once

#include "config/loader/reader.hpp"
#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// Reads [control.sleep], [control.setpoint_by_flow], [control.cheap_hours], [control.draw_down] and
/// [control.scour]. Each table is optional, and a station without the table does not have that duty.
void read_duty(TableReader& control, const Station& station, core::Settings& settings);

}  // namespace freshet::config
