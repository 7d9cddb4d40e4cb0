// Integration of the fifth-order machine around a closing: see the header.
#include "sim_plant/physics/closing.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim_plant/physics/motor_circuit.hpp"
#include "sim_plant/physics/nameplate.hpp"

namespace freshet::plant {

namespace {

constexpr double two_pi = 2 * std::numbers::pi;
constexpr double part_s = 1e-4;
constexpr double watch_s = 0.3;
constexpr double shown_before_s = 0.03;

/// A vector turning at a constant rate, by rotation instead of a sine each time.
class Turning {
  public:
    Turning(double size, double angle_rad, double rate_rad_s, double half_step_s)
        : d_(size * std::cos(angle_rad)),
          q_(size * std::sin(angle_rad)),
          c_(std::cos(rate_rad_s * half_step_s)),
          s_(std::sin(rate_rad_s * half_step_s)) {}
    double d() const { return d_; }
    double q() const { return q_; }
    void half_step() {
        const double d = c_ * d_ - s_ * q_;
        q_ = s_ * d_ + c_ * q_;
        d_ = d;
    }

  private:
    double d_, q_, c_, s_;
};

struct Fan {
    double at_rated_nm = 0, rated_rad_s = 1, friction_nm = 0;
    double torque(double speed_rad_s) const {
        const double ratio = speed_rad_s / rated_rad_s;
        return at_rated_nm * ratio * std::abs(ratio) + friction_nm * std::clamp(ratio * 100, -1.0, 1.0);
    }
};

MachineState plus(const MachineState& x, const MachineState& k, double h) {
    return {x.stator_d + h * k.stator_d, x.stator_q + h * k.stator_q, x.rotor_d + h * k.rotor_d,
            x.rotor_q + h * k.rotor_q, x.speed_rad_s + h * k.speed_rad_s};
}

MachineState runge_kutta(const MachineConstants& m, const Fan& fan, const MachineState& x, Turning& source,
                         double h) {
    const auto rate = [&](const MachineState& at) {
        return machine_rate(m, at, source.d(), source.q(), fan.torque(at.speed_rad_s));
    };
    const MachineState k1 = rate(x);
    source.half_step();
    const MachineState k2 = rate(plus(x, k1, h / 2));
    const MachineState k3 = rate(plus(x, k2, h / 2));
    source.half_step();
    const MachineState k4 = rate(plus(x, k3, h));
    MachineState sum = plus(x, k1, h / 6);
    sum = plus(sum, k2, h / 3);
    sum = plus(sum, k3, h / 3);
    return plus(sum, k4, h / 6);
}

/// A steady operating point on a fan: by bisection of slip, since the fan rises where the motor falls.
double steady_slip(const config::Motor& motor, const Fan& fan, double voltage_v, double frequency_hz) {
    const double field = synchronous_speed(frequency_hz, motor.poles);
    const double rated_hz = motor.nameplate.frequency_hz;
    double low = 0;
    double high = breakdown(motor.circuit, motor.poles, rated_hz, voltage_v, frequency_hz).slip;
    for (int i = 0; i < 60; ++i) {
        const double middle = (low + high) / 2;
        const double torque =
            circuit_point(motor.circuit, motor.poles, rated_hz, voltage_v, frequency_hz, middle).torque_nm;
        (torque < fan.torque(field * (1 - middle)) ? low : high) = middle;
    }
    return (low + high) / 2;
}

/// Flux linkages of a steady point, the source's vector lying at `angle_rad`.
MachineState steady_state(const MachineConstants& m, const MotorPoint& point, double angle_rad,
                          double speed_rad_s) {
    const Phasor turned = std::polar(std::numbers::sqrt2, angle_rad);
    const Phasor stator = point.stator_a * turned;
    const Phasor rotor = -point.rotor_a * turned;  // the machine model counts rotor current into the rotor
    const Phasor psi_s = m.ls * stator + m.lm * rotor;
    const Phasor psi_r = m.lr * rotor + m.lm * stator;
    return {psi_s.real(), psi_s.imag(), psi_r.real(), psi_r.imag(), speed_rad_s};
}

/// Lets the open machine coast: exact in the flux for the mean speed of each part.
void coast(const MachineConstants& m, const Fan& fan, MachineState& x, double gap_s) {
    const auto parts = static_cast<int>(std::ceil(gap_s / part_s));
    if (parts == 0) return;
    const double h = gap_s / parts;
    const double decay = std::exp(-m.rr / m.lr * h);
    for (int i = 0; i < parts; ++i) {
        const double before = x.speed_rad_s;
        const double middle = before - fan.torque(before) / m.inertia * h / 2;
        x.speed_rad_s = std::max(0.0, before - fan.torque(middle) / m.inertia * h);
        const double angle = m.pole_pairs * (before + x.speed_rad_s) / 2 * h;
        const double c = decay * std::cos(angle);
        const double s = decay * std::sin(angle);
        const double d = c * x.rotor_d - s * x.rotor_q;
        x.rotor_q = s * x.rotor_d + c * x.rotor_q;
        x.rotor_d = d;
    }
}

/// Stator flux of an open machine: what the rotor sends through the air gap.
void open_terminals(const MachineConstants& m, MachineState& x) {
    x.stator_d = m.lm / m.lr * x.rotor_d;
    x.stator_q = m.lm / m.lr * x.rotor_q;
}

}  // namespace

double resultant_v_per_hz(double motor_v_pu, double motor_hz_pu, double line_v_pu, double line_hz_pu,
                          double angle_deg) {
    const double a = motor_hz_pu > 0 ? motor_v_pu / motor_hz_pu : 0;
    const double b = line_hz_pu > 0 ? line_v_pu / line_hz_pu : 0;
    return std::sqrt(std::max(0.0, a * a + b * b - 2 * a * b * std::cos(angle_deg * std::numbers::pi / 180)));
}

MachineConstants machine_constants(const config::Motor& motor, double pump_inertia_kgm2) {
    const config::MotorCircuit& c = motor.circuit;
    const double base = two_pi * motor.nameplate.frequency_hz;
    MachineConstants m;
    m.rs = c.rs_ohm;
    m.rr = c.rr_ohm;
    m.lm = c.xm_ohm / base;
    m.ls = (c.xls_ohm + c.xm_ohm) / base;
    m.lr = (c.xlr_ohm + c.xm_ohm) / base;
    m.d = m.ls * m.lr - m.lm * m.lm;
    m.pole_pairs = motor.poles / 2.0;
    m.inertia = motor.inertia_kgm2 + pump_inertia_kgm2;
    m.friction_nm = motor.friction_loss_w / synchronous_speed(motor.nameplate.frequency_hz, motor.poles);
    return m;
}

ClosingResult closing_study(const config::Motor& motor, const ClosingCase& closing,
                            std::vector<ClosingTracePoint>* trace) {
    const config::Nameplate& plate = motor.nameplate;
    const MachineConstants m = machine_constants(motor, closing.pump_inertia_kgm2);
    const double line_v = closing.line_v > 0 ? closing.line_v : plate.voltage_v;
    const double line_hz = closing.line_hz > 0 ? closing.line_hz : plate.frequency_hz;
    const double source_v = line_v + closing.volts_difference_ratio * plate.voltage_v;
    const double source_hz = line_hz + closing.slip_hz;
    const double angle = closing.angle_deg * std::numbers::pi / 180;
    const double peak_of_rms = std::numbers::sqrt2 / std::numbers::sqrt3;

    const double rated_slip = slip_for_shaft_power(motor, plate.power_w);
    const MotorPoint rated = circuit_point(motor.circuit, motor.poles, plate.frequency_hz, plate.voltage_v,
                                           plate.frequency_hz, rated_slip);
    Fan fan;
    fan.rated_rad_s = synchronous_speed(plate.frequency_hz, motor.poles) * (1 - rated_slip);
    fan.friction_nm = m.friction_nm;
    fan.at_rated_nm = closing.load_ratio * (rated.torque_nm - m.friction_nm);

    ClosingResult result;
    result.rated_torque_nm = rated.torque_nm - m.friction_nm;
    result.steady_current_peak_a = std::numbers::sqrt2 * rated.current_a;
    result.steady_torque_nm = rated.torque_nm;

    MachineState x;
    double line_angle = 0;
    std::vector<double> vector_angle;  // of the current, for each point of the trace
    switch (closing.before) {
        case Before::rest:
            break;
        case Before::residual: {
            x.speed_rad_s = two_pi * source_hz / m.pole_pairs;
            // v = (Lm / Lr) (j w - rr / Lr) psi_r at open terminals
            const Phasor terminal = std::polar(peak_of_rms * source_v, angle);
            const Phasor psi_r = terminal / (m.lm / m.lr * Phasor{-m.rr / m.lr, two_pi * source_hz});
            x.rotor_d = psi_r.real();
            x.rotor_q = psi_r.imag();
            open_terminals(m, x);
            break;
        }
        case Before::source: {
            const double slip = steady_slip(motor, fan, source_v, source_hz);
            const MotorPoint point =
                circuit_point(motor.circuit, motor.poles, plate.frequency_hz, source_v, source_hz, slip);
            const double speed = synchronous_speed(source_hz, motor.poles) * (1 - slip);
            x = steady_state(m, point, angle, speed);
            result.steady_current_peak_a = std::numbers::sqrt2 * point.current_a;
            result.steady_torque_nm = point.torque_nm;
            if (closing.gap_s > 0) {
                coast(m, fan, x, closing.gap_s);
                open_terminals(m, x);
                line_angle = std::fmod(two_pi * line_hz * closing.gap_s, two_pi);
            }
            if (trace != nullptr) {
                const double current_angle = angle + std::arg(point.stator_a);
                const double current_peak = std::numbers::sqrt2 * point.current_a;
                const int shown = static_cast<int>(shown_before_s / part_s);
                for (int n = -shown; n < 0; ++n) {
                    trace->push_back({n * part_s - closing.gap_s, 0, current_peak, point.torque_nm, speed});
                    vector_angle.push_back(current_angle + two_pi * source_hz * (n * part_s));
                }
                for (int n = -static_cast<int>(closing.gap_s / part_s); n < 0; ++n) {
                    trace->push_back({n * part_s, 0, 0, 0, speed});
                    vector_angle.push_back(0);
                }
            }
            break;
        }
    }

    result.speed_rad_s = x.speed_rad_s;
    const bool fed = closing.before == Before::source && closing.gap_s <= 0;
    if (fed) {
        result.terminal_v = source_v;
        result.terminal_hz = source_hz;
        result.terminal_angle_deg = closing.angle_deg;
    } else if (closing.before != Before::rest) {
        const double w = m.pole_pairs * x.speed_rad_s;
        const Phasor terminal = m.lm / m.lr * Phasor{-m.rr / m.lr, w} * Phasor{x.rotor_d, x.rotor_q};
        result.terminal_v = std::abs(terminal) / peak_of_rms;
        result.terminal_hz = w / two_pi;
        const double ahead = std::arg(terminal) - line_angle;
        result.terminal_angle_deg = std::remainder(ahead, two_pi) * 180 / std::numbers::pi;
    }
    result.resultant_v_per_hz_pu =
        resultant_v_per_hz(result.terminal_v / plate.voltage_v, result.terminal_hz / plate.frequency_hz,
                           line_v / plate.voltage_v, line_hz / plate.frequency_hz, result.terminal_angle_deg);

    Turning line(peak_of_rms * line_v, line_angle, two_pi * line_hz, part_s / 2);
    MachineCurrents i = machine_currents(m, x);
    double current_squared = i.stator_d * i.stator_d + i.stator_q * i.stator_q;
    double worst_angle = std::atan2(i.stator_q, i.stator_d);
    result.torque_max_nm = result.torque_min_nm = fed ? result.steady_torque_nm : 0;
    const auto parts = static_cast<int>(watch_s / part_s);
    for (int n = 1; n <= parts; ++n) {
        x = runge_kutta(m, fan, x, line, part_s);
        i = machine_currents(m, x);
        const double torque = machine_torque(m, x, i);
        const double squared = i.stator_d * i.stator_d + i.stator_q * i.stator_q;
        if (squared > current_squared) {
            current_squared = squared;
            worst_angle = std::atan2(i.stator_q, i.stator_d);
        }
        result.torque_max_nm = std::max(result.torque_max_nm, torque);
        result.torque_min_nm = std::min(result.torque_min_nm, torque);
        if (trace != nullptr) {
            vector_angle.push_back(std::atan2(i.stator_q, i.stator_d));
            trace->push_back({n * part_s, 0, std::sqrt(squared), torque, x.speed_rad_s});
        }
    }
    result.peak_current_a = std::sqrt(current_squared);
    result.peak_current_ratio = result.peak_current_a / result.steady_current_peak_a;
    if (trace != nullptr) {
        // The worst point on wave is the one that lays phase a along the vector at its longest.
        for (std::size_t n = 0; n < trace->size(); ++n) {
            ClosingTracePoint& point = (*trace)[n];
            point.current_a = point.current_vector_a * std::cos(vector_angle[n] - worst_angle);
        }
    }
    return result;
}

}  // namespace freshet::plant
