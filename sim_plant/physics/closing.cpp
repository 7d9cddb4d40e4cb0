// Integration of the fifth-order machine before and after a closing: see the header.
//
// One reason to change: the machine model of a closing, or the figures that a study reports.
#include "sim_plant/physics/closing.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "config/electrics/motor_circuit.hpp"
#include "config/numerics/root.hpp"
#include "sim_plant/physics/nameplate.hpp"

namespace freshet::plant {

namespace {

constexpr double two_pi = 2 * std::numbers::pi;
/// Peak phase value divided by the line-to-line rms value.
constexpr double peak_of_rms = std::numbers::sqrt2 / std::numbers::sqrt3;
constexpr double part_s = 1e-4;
constexpr double watch_s = 0.3;
constexpr double shown_before_s = 0.03;

/// A vector that turns at a constant rate. A rotation in each step takes the place of a sine.
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

/// The steady operating point on a fan. There is one slip, because the fan's torque falls with slip where the
/// motor's torque rises.
double steady_slip(const config::Motor& motor, const Fan& fan, double voltage_v, double frequency_hz) {
    const double field = config::synchronous_speed(frequency_hz, motor.poles);
    const double rated_hz = motor.nameplate.frequency_hz;
    const double most = config::breakdown(motor.circuit, motor.poles, rated_hz, voltage_v, frequency_hz).slip;
    const auto over_nm = [&](double slip) {
        return config::circuit_point(motor.circuit, motor.poles, rated_hz, voltage_v, frequency_hz, slip)
                   .torque_nm -
               fan.torque(field * (1 - slip));
    };
    return config::root_between(over_nm, 0, most);
}

/// Flux linkages of a steady point. `angle_rad` is the angle of the source's vector.
MachineState steady_state(const MachineConstants& m, const config::MotorPoint& point, double angle_rad,
                          double speed_rad_s) {
    const config::Phasor turned = std::polar(std::numbers::sqrt2, angle_rad);
    const config::Phasor stator = point.stator_a * turned;
    // The machine model counts current into the rotor as positive.
    const config::Phasor rotor = -point.rotor_a * turned;
    const config::Phasor psi_s = m.ls * stator + m.lm * rotor;
    const config::Phasor psi_r = m.lr * rotor + m.lm * stator;
    return {psi_s.real(), psi_s.imag(), psi_r.real(), psi_r.imag(), speed_rad_s};
}

/// Lets the machine coast with open terminals. The flux is exact for the mean speed of each part.
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

/// Stator flux of a machine with open terminals: the rotor's flux through the air gap.
void open_terminals(const MachineConstants& m, MachineState& x) {
    x.stator_d = m.lm / m.lr * x.rotor_d;
    x.stator_q = m.lm / m.lr * x.rotor_q;
}

/// The data of a closing study.
struct Study {
    const config::Motor& motor;
    const ClosingCase& closing;
    MachineConstants machine;
    Fan fan;
    double line_v = 0, line_hz = 0;
    double source_v = 0, source_hz = 0, source_angle_rad = 0;  ///< at the terminals before the closing

    /// The source feeds the motor until the closing.
    bool fed() const { return closing.before == Before::source && closing.gap_s <= 0; }
};

/// The trace, if the caller wants one, and the angle of the current vector at each point of the trace.
struct Trace {
    std::vector<ClosingTracePoint>* points;
    std::vector<double> vector_angle_rad;

    void add(const ClosingTracePoint& point, double angle_rad) {
        if (points == nullptr) return;
        points->push_back(point);
        vector_angle_rad.push_back(angle_rad);
    }
};

/// Also fills the rated figures of `result`. A start or a residual closing is compared with these rated
/// figures.
Study study_of(const config::Motor& motor, const ClosingCase& closing, ClosingResult& result) {
    const config::Nameplate& plate = motor.nameplate;
    Study study{motor, closing, machine_constants(motor, closing.pump_inertia_kgm2), {}};
    study.line_v = closing.line_v > 0 ? closing.line_v : plate.voltage_v;
    study.line_hz = closing.line_hz > 0 ? closing.line_hz : plate.frequency_hz;
    study.source_v = study.line_v + closing.volts_difference_ratio * plate.voltage_v;
    study.source_hz = study.line_hz + closing.slip_hz;
    study.source_angle_rad = closing.angle_deg * std::numbers::pi / 180;

    const double rated_slip = config::slip_for_shaft_power(motor, plate.power_w);
    const config::MotorPoint rated = config::circuit_point(motor.circuit, motor.poles, plate.frequency_hz,
                                                           plate.voltage_v, plate.frequency_hz, rated_slip);
    const double friction_nm = study.machine.friction_nm;
    study.fan.rated_rad_s = config::synchronous_speed(plate.frequency_hz, motor.poles) * (1 - rated_slip);
    study.fan.friction_nm = friction_nm;
    study.fan.at_rated_nm = closing.load_ratio * (rated.torque_nm - friction_nm);

    result.rated_torque_nm = rated.torque_nm - friction_nm;
    result.steady_current_peak_a = std::numbers::sqrt2 * rated.current_a;
    result.steady_torque_nm = rated.torque_nm;
    return study;
}

/// A machine with open terminals, at the source's frequency, with a residual voltage.
MachineState open_machine(const Study& study) {
    const MachineConstants& m = study.machine;
    MachineState x;
    x.speed_rad_s = two_pi * study.source_hz / m.pole_pairs;
    // v = (Lm / Lr) (j w - rr / Lr) psi_r at open terminals
    const config::Phasor terminal = std::polar(peak_of_rms * study.source_v, study.source_angle_rad);
    const config::Phasor psi_r =
        terminal / (m.lm / m.lr * config::Phasor{-m.rr / m.lr, two_pi * study.source_hz});
    x.rotor_d = psi_r.real();
    x.rotor_q = psi_r.imag();
    open_terminals(m, x);
    return x;
}

/// The machine in steady running on the source. The trace gets the time before the closing.
MachineState machine_on_source(const Study& study, ClosingResult& result, Trace& trace) {
    const config::Motor& motor = study.motor;
    const double slip = steady_slip(motor, study.fan, study.source_v, study.source_hz);
    const config::MotorPoint point = config::circuit_point(
        motor.circuit, motor.poles, motor.nameplate.frequency_hz, study.source_v, study.source_hz, slip);
    const double speed = config::synchronous_speed(study.source_hz, motor.poles) * (1 - slip);
    result.steady_current_peak_a = std::numbers::sqrt2 * point.current_a;
    result.steady_torque_nm = point.torque_nm;
    const double current_angle_rad = study.source_angle_rad + std::arg(point.stator_a);
    const double current_peak_a = std::numbers::sqrt2 * point.current_a;
    const double gap_s = study.closing.gap_s;
    const int shown = static_cast<int>(shown_before_s / part_s);
    for (int n = -shown; n < 0; ++n)
        trace.add({n * part_s - gap_s, 0, current_peak_a, point.torque_nm, speed},
                  current_angle_rad + two_pi * study.source_hz * (n * part_s));
    for (int n = -static_cast<int>(gap_s / part_s); n < 0; ++n) trace.add({n * part_s, 0, 0, 0, speed}, 0);
    return steady_state(study.machine, point, study.source_angle_rad, speed);
}

/// Fills the voltage, frequency and angle of the motor's terminals at the instant of closing.
void state_terminals(const Study& study, const MachineState& x, double line_angle_rad,
                     ClosingResult& result) {
    const MachineConstants& m = study.machine;
    const config::Nameplate& plate = study.motor.nameplate;
    result.speed_rad_s = x.speed_rad_s;
    if (study.fed()) {
        result.terminal_v = study.source_v;
        result.terminal_hz = study.source_hz;
        result.terminal_angle_deg = study.closing.angle_deg;
    } else if (study.closing.before != Before::rest) {
        const double w = m.pole_pairs * x.speed_rad_s;
        const config::Phasor terminal =
            m.lm / m.lr * config::Phasor{-m.rr / m.lr, w} * config::Phasor{x.rotor_d, x.rotor_q};
        result.terminal_v = std::abs(terminal) / peak_of_rms;
        result.terminal_hz = w / two_pi;
        const double ahead = std::arg(terminal) - line_angle_rad;
        result.terminal_angle_deg = std::remainder(ahead, two_pi) * 180 / std::numbers::pi;
    }
    result.resultant_v_per_hz_pu = resultant_v_per_hz(
        result.terminal_v / plate.voltage_v, result.terminal_hz / plate.frequency_hz,
        study.line_v / plate.voltage_v, study.line_hz / plate.frequency_hz, result.terminal_angle_deg);
}

/// Integrates over the time after the closing and keeps the extreme values.
void watch_closing(const Study& study, MachineState x, double line_angle_rad, ClosingResult& result,
                   Trace& trace) {
    const MachineConstants& m = study.machine;
    Turning line(peak_of_rms * study.line_v, line_angle_rad, two_pi * study.line_hz, part_s / 2);
    MachineCurrents i = machine_currents(m, x);
    double current_squared = i.stator_d * i.stator_d + i.stator_q * i.stator_q;
    double worst_angle_rad = std::atan2(i.stator_q, i.stator_d);
    result.torque_max_nm = result.torque_min_nm = study.fed() ? result.steady_torque_nm : 0;
    const auto parts = static_cast<int>(watch_s / part_s);
    for (int n = 1; n <= parts; ++n) {
        x = runge_kutta(m, study.fan, x, line, part_s);
        i = machine_currents(m, x);
        const double torque = machine_torque(m, x, i);
        const double squared = i.stator_d * i.stator_d + i.stator_q * i.stator_q;
        if (squared > current_squared) {
            current_squared = squared;
            worst_angle_rad = std::atan2(i.stator_q, i.stator_d);
        }
        result.torque_max_nm = std::max(result.torque_max_nm, torque);
        result.torque_min_nm = std::min(result.torque_min_nm, torque);
        if (trace.points != nullptr)
            trace.add({n * part_s, 0, std::sqrt(squared), torque, x.speed_rad_s},
                      std::atan2(i.stator_q, i.stator_d));
    }
    result.peak_current_a = std::sqrt(current_squared);
    result.peak_current_ratio = result.peak_current_a / result.steady_current_peak_a;
    if (trace.points == nullptr) return;
    // At the worst point on wave, phase a has the direction of the longest current vector.
    for (std::size_t n = 0; n < trace.points->size(); ++n) {
        ClosingTracePoint& point = (*trace.points)[n];
        point.current_a = point.current_vector_a * std::cos(trace.vector_angle_rad[n] - worst_angle_rad);
    }
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
    m.friction_nm =
        motor.friction_loss_w / config::synchronous_speed(motor.nameplate.frequency_hz, motor.poles);
    return m;
}

ClosingResult closing_study(const config::Motor& motor, const ClosingCase& closing,
                            std::vector<ClosingTracePoint>* trace) {
    ClosingResult result;
    const Study study = study_of(motor, closing, result);
    Trace shown{trace, {}};
    MachineState x;
    double line_angle_rad = 0;
    if (closing.before == Before::residual) x = open_machine(study);
    if (closing.before == Before::source) {
        x = machine_on_source(study, result, shown);
        if (closing.gap_s > 0) {
            coast(study.machine, study.fan, x, closing.gap_s);
            open_terminals(study.machine, x);
            line_angle_rad = std::fmod(two_pi * study.line_hz * closing.gap_s, two_pi);
        }
    }
    state_terminals(study, x, line_angle_rad, result);
    watch_closing(study, x, line_angle_rad, result, shown);
    return result;
}

}  // namespace freshet::plant
