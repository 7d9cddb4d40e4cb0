// Circuit estimation: see the header.
#include "sim_plant/physics/nameplate.hpp"

#include "sim_plant/physics/motor_circuit.hpp"

namespace freshet::plant {

config::Motor with_circuit(const config::Motor& motor) {
    return motor;
}

double slip_for_shaft_power(const config::Motor& motor, double power_w) {
    const config::Nameplate& plate = motor.nameplate;
    const auto at = [&](double slip) {
        return circuit_point(motor.circuit, motor.poles, plate.frequency_hz, plate.voltage_v,
                             plate.frequency_hz, slip);
    };
    const double field = synchronous_speed(plate.frequency_hz, motor.poles);
    double low = 0;
    double high =
        breakdown(motor.circuit, motor.poles, plate.frequency_hz, plate.voltage_v, plate.frequency_hz).slip;
    for (int i = 0; i < 80; ++i) {
        const double middle = (low + high) / 2;
        const double shaft_w =
            at(middle).torque_nm * field * (1 - middle) - motor.friction_loss_w * (1 - middle);
        (shaft_w < power_w ? low : high) = middle;
    }
    return (low + high) / 2;
}

}  // namespace freshet::plant
