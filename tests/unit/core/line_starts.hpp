// The stand-in station on a supply that carries line starts. One reason to change: such a station.
#pragma once

#include "tests/doubles/station_double.hpp"

namespace freshet::core {

inline Settings four_pumps_with_line_starts() {
    Settings settings = doubles::four_pumps();
    settings.line_start.allowed = true;
    settings.line_start.short_circuit_va = 100e6;
    return settings;
}

}  // namespace freshet::core
