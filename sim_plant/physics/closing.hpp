// The effect of a closing on an induction motor: currents and torques around the instant, from a fifth-order
// machine model. One reason to change: the machine model of a closing, or the figures that a study reports.
//
// Equations (stationary reference frame, space vectors of peak phase value, p pole pairs, w_r electrical
// rotor speed):
//   d psi_s/dt = v_s - rs i_s,   d psi_r/dt = j w_r psi_r - rr i_r
//   i_s = (Lr psi_s - Lm psi_r) / D,  i_r = (Ls psi_r - Lm psi_s) / D,  D = Ls Lr - Lm^2
//   T_e = 3/2 p Im(conj(psi_s) i_s),  J d w_m/dt = T_e - T_load - T_friction
//   T_load of a fan = share T_rated (w_m / w_rated)^2
//   open terminals: i_s = 0,  d psi_r/dt = (j w_r - rr / Lr) psi_r
//   resultant volts per hertz = |V_m / f_m exp(j delta) - V_l / f_l| over V_r / f_r,
//   with V_m, f_m, delta of the motor's terminals.
// psi_r is continuous over opening and closing. There is no zero sequence (three wires), and the model is the
// same for every stator angle. Therefore the highest phase current over all points on wave is the greatest
// length of the current vector, and one integration gives the exact worst case.
// Method: classical Runge-Kutta of fourth order at 0.1 ms (3 points on the unit circle per electrical degree
//   at 60 Hz would be 46 us; the error against a stiff solver at 1e-10 is below 1e-6), 0.3 s after the
//   closing.
// Units: SI. V and A of results are peak values where the name says peak, otherwise line-to-line rms.
// Valid: slip within 5 Hz, motors from a few kW upwards.
// Source: P. Krause, O. Wasynczuk, S. Sudhoff, Analysis of Electric Machinery, chapter on induction machines
//   (flux linkages per second in the stationary frame), from memory. Limit 1.33 per unit: ANSI/NEMA
//   C50.41-2012, as quoted in public teaching programs, not from the standard itself.
// Leaves out: saturation, deep bars (the model uses the running rotor resistance), torsion of the shaft, the
//   drive's own reaction, the supply's impedance (the line is stiff, so the figures are on the safe side).
#pragma once

#include <vector>

#include "config/station.hpp"

namespace freshet::plant {

/// Highest resultant volts per hertz, per unit, at which a motor may be reconnected: ANSI/NEMA C50.41-2012,
/// as quoted.
inline constexpr double resultant_limit_pu = 1.33;

/// The state of the motor's terminals before the closing.
enum class Before : std::uint8_t {
    source,    ///< a source feeds the motor and leads the line by the angle
    residual,  ///< open terminals with a residual voltage that leads the line by the angle
    rest       ///< a motor at rest without voltage: a start
};

struct ClosingCase {
    Before before = Before::source;
    double angle_deg = 0;  ///< lead of the terminals over the line
    double slip_hz = 0;    ///< frequency of the terminals minus the frequency of the line
    /// Voltage of the terminals minus voltage of the line, divided by the rated voltage.
    double volts_difference_ratio = 0;
    double load_ratio = 1;           ///< share of the rated torque, on a fan characteristic
    double gap_s = 0;                ///< time with open terminals before the closing (Before::source only)
    double line_v = 0, line_hz = 0;  ///< 0: rated
    double pump_inertia_kgm2 = 0;    ///< added to the motor's own inertia
};

struct ClosingResult {
    /// Before the closing; rated values for a start or a residual closing.
    double steady_current_peak_a = 0, steady_torque_nm = 0;
    double peak_current_a = 0, peak_current_ratio = 0;
    double torque_max_nm = 0, torque_min_nm = 0;
    double resultant_v_per_hz_pu = 0;
    double rated_torque_nm = 0;
    /// At the instant of closing.
    double speed_rad_s = 0, terminal_v = 0, terminal_angle_deg = 0, terminal_hz = 0;
    bool within_limit() const { return resultant_v_per_hz_pu <= resultant_limit_pu; }
};

struct ClosingTracePoint {
    double t_s = 0;        ///< time after the closing; negative before the closing
    double current_a = 0;  ///< phase a at the worst point on wave
    double current_vector_a = 0, torque_nm = 0, speed_rad_s = 0;
};

/// Studies one closing. The motor must have a circuit (see `with_circuit`). `trace` gets the course, a point
/// every 0.1 ms.
ClosingResult closing_study(const config::Motor& motor, const ClosingCase& closing,
                            std::vector<ClosingTracePoint>* trace = nullptr);

/// The resultant of two volts-per-hertz phasors. Voltages and frequencies are per unit of rated.
double resultant_v_per_hz(double motor_v_pu, double motor_hz_pu, double line_v_pu, double line_hz_pu,
                          double angle_deg);

/// The machine model itself, for callers who integrate the model themselves.
struct MachineState {
    double stator_d = 0, stator_q = 0, rotor_d = 0, rotor_q = 0;  ///< flux linkages, V s
    double speed_rad_s = 0;                                       ///< mechanical speed
};
struct MachineConstants {
    double rs = 0, rr = 0, ls = 0, lr = 0, lm = 0, d = 0;
    double pole_pairs = 2, inertia = 1, friction_nm = 0;
};
MachineConstants machine_constants(const config::Motor& motor, double pump_inertia_kgm2);
struct MachineCurrents {
    double stator_d = 0, stator_q = 0, rotor_d = 0, rotor_q = 0;
};
inline MachineCurrents machine_currents(const MachineConstants& m, const MachineState& x) {
    const double by = 1 / m.d;
    return {(m.lr * x.stator_d - m.lm * x.rotor_d) * by, (m.lr * x.stator_q - m.lm * x.rotor_q) * by,
            (m.ls * x.rotor_d - m.lm * x.stator_d) * by, (m.ls * x.rotor_q - m.lm * x.stator_q) * by};
}
inline double machine_torque(const MachineConstants& m, const MachineState& x, const MachineCurrents& i) {
    return 1.5 * m.pole_pairs * (x.stator_d * i.stator_q - x.stator_q * i.stator_d);
}
/// Rate of change of the state under a stator voltage vector and a load torque.
inline MachineState machine_rate(const MachineConstants& m, const MachineState& x, double v_d, double v_q,
                                 double load_nm) {
    const MachineCurrents i = machine_currents(m, x);
    const double w = m.pole_pairs * x.speed_rad_s;
    MachineState rate;
    rate.stator_d = v_d - m.rs * i.stator_d;
    rate.stator_q = v_q - m.rs * i.stator_q;
    rate.rotor_d = -w * x.rotor_q - m.rr * i.rotor_d;
    rate.rotor_q = w * x.rotor_d - m.rr * i.rotor_q;
    rate.speed_rad_s = (machine_torque(m, x, i) - load_nm) / m.inertia;
    return rate;
}

}  // namespace freshet::plant
