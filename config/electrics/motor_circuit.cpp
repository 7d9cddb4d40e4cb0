// Steady state of an induction motor: see the header for equations and sources.
//
// One reason to change: the circuit's physics.
#include "config/electrics/motor_circuit.hpp"

#include <algorithm>
#include <cmath>

#include "config/numerics/maximum.hpp"
#include "config/numerics/root.hpp"

namespace freshet::config {

namespace {
/// The least slip. At slip zero the rotor branch is open, and 1/s has no value.
constexpr double slip_least = 1e-9;
/// The greatest slip. A resistive rotor, or any rotor at low frequency, has its breakdown beyond standstill.
constexpr double slip_most = 10;
}  // namespace

MotorPoint circuit_point(const MotorCircuit& circuit, int poles, double rated_hz, double voltage_v,
                         double frequency_hz, double slip) {
    const double a = frequency_hz / rated_hz;
    const double s = std::abs(slip) < slip_least ? slip_least : slip;
    const double depth = std::sqrt(std::min(1.0, std::abs(s) * a));
    const double rr = circuit.rr_ohm * (1 + (circuit.rr_standstill_ratio - 1) * depth);
    const double xlr = circuit.xlr_ohm * (1 + (circuit.xlr_standstill_ratio - 1) * depth);

    const Phasor rotor{rr / s, a * xlr};
    const Phasor magnetising{0, a * circuit.xm_ohm};
    const Phasor total =
        Phasor{circuit.rs_ohm, a * circuit.xls_ohm} + magnetising * rotor / (magnetising + rotor);
    const double phase_v = voltage_v / std::numbers::sqrt3;

    MotorPoint point;
    point.slip = s;
    point.stator_a = phase_v / total;
    point.rotor_a = point.stator_a * magnetising / (magnetising + rotor);
    point.current_a = std::abs(point.stator_a);
    const double gap_w = 3 * std::norm(point.rotor_a) * rr / s;
    point.torque_nm = gap_w / synchronous_speed(frequency_hz, poles);
    point.input_w = 3 * phase_v * point.stator_a.real();
    point.reactive_var = -3 * phase_v * point.stator_a.imag();
    return point;
}

Breakdown breakdown(const MotorCircuit& circuit, int poles, double rated_hz, double voltage_v,
                    double frequency_hz) {
    const auto torque = [&](double log_slip) {
        return circuit_point(circuit, poles, rated_hz, voltage_v, frequency_hz, std::exp(log_slip)).torque_nm;
    };
    // A coarse search comes first, because a deep-bar machine may have a second, lower maximum towards
    // standstill.
    double best = std::log(1e-4);
    const double span = std::log(slip_most) - best;
    const double origin = best;
    constexpr int coarse = 100;
    for (int i = 1; i <= coarse; ++i) {
        const double x = origin + span * i / coarse;
        if (torque(x) > torque(best)) best = x;
    }
    const double slip = std::exp(argument_of_maximum(torque, best - span / coarse, best + span / coarse));
    return {circuit_point(circuit, poles, rated_hz, voltage_v, frequency_hz, slip).torque_nm, slip};
}

double slip_for_torque(const MotorCircuit& circuit, int poles, double rated_hz, double voltage_v,
                       double frequency_hz, double torque_nm) {
    const Breakdown top = breakdown(circuit, poles, rated_hz, voltage_v, frequency_hz);
    if (torque_nm >= top.torque_nm) return top.slip;
    const auto over = [&](double slip) {
        return circuit_point(circuit, poles, rated_hz, voltage_v, frequency_hz, slip).torque_nm - torque_nm;
    };
    return root_between(over, -top.slip, top.slip);
}

MotorPoint rated_supply_point(const Motor& motor, double slip) {
    const Nameplate& plate = motor.nameplate;
    return circuit_point(motor.circuit, motor.poles, plate.frequency_hz, plate.voltage_v, plate.frequency_hz,
                         slip);
}

double shaft_power_w(const Motor& motor, double slip) {
    const double field = synchronous_speed(motor.nameplate.frequency_hz, motor.poles);
    return (rated_supply_point(motor, slip).torque_nm * field - motor.friction_loss_w) * (1 - slip);
}

double slip_for_shaft_power(const Motor& motor, double power_w) {
    const Nameplate& plate = motor.nameplate;
    const double most =
        breakdown(motor.circuit, motor.poles, plate.frequency_hz, plate.voltage_v, plate.frequency_hz).slip;
    return root_between([&](double slip) { return shaft_power_w(motor, slip) - power_w; }, 0, most);
}

double open_circuit_time_constant(const MotorCircuit& circuit, double rated_hz) {
    return (circuit.xm_ohm + circuit.xlr_ohm) / (2 * std::numbers::pi * rated_hz * circuit.rr_ohm);
}

Phasor open_circuit_voltage(const MotorCircuit& circuit, double rated_hz, double frequency_hz,
                            const MotorPoint& point) {
    // Rotor flux linkage in ohm-amperes at rated frequency: xm (is - ir) - xlr ir, with ir flowing out of the
    // stator side.
    const Phasor linkage =
        circuit.xm_ohm * (point.stator_a - point.rotor_a) - circuit.xlr_ohm * point.rotor_a;
    const double coupling = circuit.xm_ohm / (circuit.xm_ohm + circuit.xlr_ohm);
    const double speed_ratio = frequency_hz * (1 - point.slip) / rated_hz;
    return Phasor{0, speed_ratio * coupling} * linkage;
}

}  // namespace freshet::config
