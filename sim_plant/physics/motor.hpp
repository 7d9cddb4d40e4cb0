// One motor shaft: at rest, coasting, on the drive, on the line or on both; and the tables that make a
// settled shaft quick to calculate. One reason to change: how a motor and its pump's shaft move.
//
// Equations, with J of motor and pump together:
//
//   shaft: J dw/dt = T_e - T_load - T_friction
//
//   settled: the shaft is on the steady torque-slip curve, T_e = T_load + T_friction + J dw_s/dt.
//     With flux k = (V / V_r) / (f / f_r), the torque at a slip frequency is proportional to k^2 and the
//     current to k. Tables over the torque give slip frequency, current and reactive power, from the circuit
//     at rated voltage and frequency. Input P = T_e w_s + 3 rs I^2 + core loss.
//
//   moving (run-up, re-acceleration): torque from the circuit at the present slip, V and f. The step is
//     linearly implicit Euler, with the load as a parabola through its present value: stable at any step.
//
//   coasting: load and drag only. The residual voltage starts from the rotor flux at the moment of opening.
//     The voltage falls with the speed and with the open-circuit time constant T0 = (xm + xlr) / (2 pi f rr).
//     Its angle turns with the rotor.
//
//   winding: one thermal body, rise = 80 K (I / I_r)^2, time constant 30 min when running, 90 min at rest.
//
// Units: SI; V line-to-line rms. Valid: settled within 90 % of breakdown torque at the present flux.
// Source: see motor_circuit.hpp; rise of insulation system class B: IEC 60034-1, from memory; time constants
// and the 0.5 % drag that brings a coasting shaft to rest: common practice.
// Leaves out: electrical transients outside a closing (closing.hpp has these transients), shaft torsion.
#pragma once

#include <array>
#include <cstdint>
#include <limits>

#include "config/electrics/motor_circuit.hpp"
#include "config/station.hpp"

namespace freshet::plant {

enum class MotorMode : std::uint8_t { at_rest, coasting, on_drive, on_line, on_both };

/// The slip, current and reactive power of a motor on the settled curve.
struct SettledPoint {
    double slip_hz = 0, current_a = 0, reactive_var = 0;  ///< at k = 1 and rated frequency
};

/// Constants of one motor with its pump, calculated once.
class MotorModel {
  public:
    MotorModel(const config::Motor& motor, double pump_inertia_kgm2);

    const config::Motor& motor() const { return motor_; }
    const config::MotorCircuit& circuit() const { return motor_.circuit; }
    int poles() const { return motor_.poles; }
    double rated_hz() const { return motor_.nameplate.frequency_hz; }
    double rated_v() const { return motor_.nameplate.voltage_v; }

    /// The settled point at an air-gap torque divided by k^2. False when the torque is beyond the table; the
    /// shaft then moves.
    bool settled(double torque_nm, SettledPoint& point) const {
        const double x = (torque_nm - torque_low_) * scale_;
        if (!(x >= 0) || x >= nodes - 1) return false;
        const auto i = static_cast<std::size_t>(x);
        const double w = x - static_cast<double>(i);
        const Node& n = table_[i];
        point = {n.slip_hz + w * n.slip_step, n.current_a + w * n.current_step,
                 n.reactive_var + w * n.reactive_step};
        return true;
    }

    double inertia_kgm2 = 0;
    double field_speed_per_hz = 0;        ///< mechanical rad/s of the field per Hz: 4 pi / poles
    double friction_nm = 0, drag_nm = 0;  ///< when running; added when coasting
    double core_loss_w = 0;
    double three_rs = 0;  ///< 3 rs, so that 3 rs I^2 is the stator's loss
    double rated_current_a = 0, rated_torque_nm = 0, rated_slip = 0;
    double breakdown_torque_nm = 0, breakdown_slip = 0;
    double time_constant_s = 0;  ///< with open terminals

  private:
    struct Node {
        double slip_hz, slip_step, current_a, current_step, reactive_var, reactive_step;
    };
    static constexpr std::size_t nodes = 97;
    config::Motor motor_;
    double torque_low_ = 0, scale_ = 0;
    std::array<Node, nodes> table_{};
};

/// Torque of the pump at another speed, by a parabola through the present torque and speed.
double load_at(double load_nm, double speed_rad_s, double at_rad_s);

/// The feed of a motor.
struct Feed {
    double voltage_v = 0, frequency_hz = 0;
};

/// The moving parts of one motor.
struct MotorShaft {
    MotorMode mode = MotorMode::at_rest;
    bool moving = false;  ///< away from the settled curve
    double speed_rad_s = 0;
    /// Line-to-line rms; the angle has the same zero as the angle of the line.
    double residual_v = 0, residual_cycles = 0;
    double winding_rise_k = 0;

    /// The values that a motor settled on the line keeps: the load of the last look-up, slip and reactive
    /// power.
    double held_load_nm = std::numeric_limits<double>::infinity();
    double slip_hz = 0, reactive_var = 0;
};

/// The power and current that a motor draws from its feed, and the torque at its air gap.
struct MotorDraw {
    double torque_nm = 0, current_a = 0, electrical_w = 0, reactive_var = 0;
};

/// One implicit step of a fed shaft away from the settled curve. A shaft that reaches the curve is settled
/// again.
MotorDraw advance_moving(const MotorModel& model, MotorShaft& shaft, double dt_s, const Feed& feed,
                         double load_nm);
/// One step of a shaft without a feed. The shaft comes to rest below half a percent of rated speed.
void advance_coasting(const MotorModel& model, MotorShaft& shaft, double dt_s, double load_nm);
/// The moment when the feed goes away: sets the residual voltage at the terminals and its angle.
void begin_coasting(const MotorModel& model, MotorShaft& shaft, const Feed& feed, double feed_cycles);

}  // namespace freshet::plant
