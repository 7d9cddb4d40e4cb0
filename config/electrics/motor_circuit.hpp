// Steady state of a three-phase induction motor from its per-phase equivalent circuit.
// One reason to change: the circuit's physics.
//
// Equations (per phase, star, rms phasors; V phase voltage, s slip, a = f / f_rated):
//   Z_r = rr(s)/s + j a xlr(s),  Z_m = j a xm,  Z = rs + j a xls + Z_m Z_r / (Z_m + Z_r),  I_s = V / Z
//   I_r = I_s Z_m / (Z_m + Z_r),  T = 3 |I_r|^2 rr(s)/s / w_s,  w_s = 2 pi f / (poles / 2)
// Deep-bar correction (optional), with d = sqrt(|s| f / f_rated), the inverse of the relative depth of
// penetration:
//   rr(s) = rr (1 + (rr_standstill_ratio - 1) d),  xlr(s) = xlr (1 + (xlr_standstill_ratio - 1) d)
// Units: V line-to-line rms, A rms per line, W, var, N m at the shaft side of the air gap, rad/s mechanical.
// Valid: |s| <= 2, f from 1 Hz to twice rated.
// Source: A. E. Fitzgerald, C. Kingsley, S. D. Umans, Electric Machinery, 6th ed. 2003, chapter 6; deep bars
//   after the square-root law of skin effect (M. G. Say, Alternating Current Machines), from memory.
// Leaves out: saturation, harmonics, unbalance, stray load loss; core loss is a constant outside the circuit.
#pragma once

#include <complex>
#include <numbers>

#include "config/station.hpp"

namespace freshet::config {

using Phasor = std::complex<double>;

struct MotorPoint {
    double slip = 0;
    Phasor stator_a, rotor_a;              ///< relative to the phase voltage, which is real
    double current_a = 0, torque_nm = 0;   ///< torque at the air gap
    double input_w = 0, reactive_var = 0;  ///< without core loss
};

/// Mechanical speed of the rotating field, rad/s.
constexpr double synchronous_speed(double frequency_hz, int poles) {
    return 4 * std::numbers::pi * frequency_hz / poles;
}

/// The state at a slip. `slip` zero means no load and no friction.
MotorPoint circuit_point(const MotorCircuit& circuit, int poles, double rated_hz, double voltage_v,
                         double frequency_hz, double slip);

struct Breakdown {
    double torque_nm = 0, slip = 0;
};
/// The highest motoring torque and its slip, found by a search on the circuit itself.
Breakdown breakdown(const MotorCircuit& circuit, int poles, double rated_hz, double voltage_v,
                    double frequency_hz);

/// The slip in the stable region that gives an air-gap torque. The breakdown slip when the motor cannot reach
/// this torque.
double slip_for_torque(const MotorCircuit& circuit, int poles, double rated_hz, double voltage_v,
                       double frequency_hz, double torque_nm);

/// The state of a motor with a circuit at its rated voltage and frequency.
MotorPoint rated_supply_point(const Motor& motor, double slip);

/// Power at the shaft in that state, W: the air gap's less friction, times 1 - slip.
double shaft_power_w(const Motor& motor, double slip);

/// The slip in the stable region at which the shaft delivers a power at rated voltage and frequency. When the
/// shaft never delivers this power: the end of the region that is nearer to the power.
double slip_for_shaft_power(const Motor& motor, double power_w);

/// Open-circuit rotor time constant, s: (xm + xlr) / (2 pi f rr).
double open_circuit_time_constant(const MotorCircuit& circuit, double rated_hz);

/// Phasor of the voltage that the rotor flux would show at open terminals, at the speed of the point: per
/// phase, rms, V, relative to the phase voltage.
Phasor open_circuit_voltage(const MotorCircuit& circuit, double rated_hz, double frequency_hz,
                            const MotorPoint& point);

}  // namespace freshet::config
