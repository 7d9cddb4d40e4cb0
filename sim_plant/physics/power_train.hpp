// Contract, first form: line, drive, contactors and motors in one step. Its owner deepens it.
#pragma once

#include <array>
#include <cstdint>

#include "config/station.hpp"
#include "sim_plant/station/orders.hpp"

namespace freshet::plant {

struct MotorState {
    double speed_rad_s = 0, current_a = 0, electrical_power_w = 0, torque_nm = 0;
    bool drive_side_closed = false, line_side_closed = false;      ///< true contacts
};

struct PowerTrainState {
    double line_voltage_v = 0, line_frequency_hz = 0, line_angle_rad = 0;
    double drive_voltage_v = 0, drive_frequency_hz = 0, drive_angle_rad = 0;
    bool drive_ready = true, drive_running = false, drive_tripped = false, drive_in_sync = false, output_closed = false;
    std::array<MotorState, 8> motors{};
    double energy_j = 0;                                           ///< drawn from the line
};

}  // namespace freshet::plant
