// Contract, first form: the water side of the station in one implicit step. Its owner deepens it.
#pragma once

#include <array>
#include <cstdint>

#include "config/station.hpp"

namespace freshet::plant {

/// What the water side needs for a step.
struct HydraulicInputs {
    std::array<double, 8> speed_ratio{};       ///< pump speed over rated speed
    double inflow_m3s = 0;                     ///< into the well (or demand out of the tank / header)
};

struct HydraulicState {
    double level_m = 0, volume_m3 = 0, header_head_m = 0, main_flow_m3s = 0, overflow_m3s = 0;
    double inflow_m3 = 0, pumped_m3 = 0, overflow_m3 = 0;      ///< totals; closed against volume change
    std::array<double, 8> flow_m3s{}, shaft_torque_nm{}, shaft_power_w{};
};

}  // namespace freshet::plant
