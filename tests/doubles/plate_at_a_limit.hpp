// The nameplate of a motor at the limits of what a circuit can meet.
// One reason to change: the figures of that plate.
#pragma once

#include "config/station.hpp"

namespace freshet::doubles {

/// An invented 75 hp, 460 V motor's plate. No circuit meets its starting current and its starting torque
/// together: the leakage at standstill is at its limit.
inline config::Motor plate_at_a_limit() {
    config::Motor motor;
    motor.poles = 4;
    motor.nameplate = {.power_w = 56e3,
                       .voltage_v = 460,
                       .frequency_hz = 60,
                       .speed_rpm = 1775,
                       .current_a = 86.4,
                       .power_factor = 0.86,
                       .efficiency = 0.945,
                       .locked_rotor_current_ratio = 6.3,
                       .locked_rotor_torque_ratio = 1.4,
                       .breakdown_torque_ratio = 2.2};
    return motor;
}

}  // namespace freshet::doubles
