// Circuit estimation from a nameplate: see the header.
//
// One reason to change: the relations by which a circuit is estimated.
#include "sim_plant/physics/nameplate.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "config/electrics/full_load_current.hpp"
#include "config/electrics/motor_circuit.hpp"

namespace freshet::plant {

namespace {

constexpr int unknowns = 5;
using Vector = Eigen::Vector<double, unknowns>;
using Matrix = Eigen::Matrix<double, unknowns, unknowns>;

constexpr double stator_share_of_leakage = 0.4;
constexpr double friction_share = 0.08, core_share = 0.27, stator_share_least = 0.15;

/// The nameplate with typical values in its gaps, and a mark for each gap.
struct FullPlate {
    config::Nameplate plate;
    bool efficiency_assumed = false, power_factor_assumed = false, speed_assumed = false,
         current_assumed = false;
    bool locked_current_assumed = false, locked_torque_assumed = false, breakdown_assumed = false;
};

FullPlate filled(const config::Motor& motor) {
    FullPlate full;
    config::Nameplate& p = full.plate;
    p = motor.nameplate;
    const auto fill = [](double& value, bool& assumed, double typical) {
        if (value > 0) return;
        value = typical;
        assumed = true;
    };
    // Larger motors have better efficiency. Typical full-load values between 1 kW and a few MW: common
    // practice.
    const double decades = std::clamp(std::log10(p.power_w / 1000), 0.0, 3.5);
    const bool has_current = p.current_a > 0;
    fill(p.efficiency, full.efficiency_assumed, 0.82 + 0.045 * decades);
    if (p.power_factor <= 0 && has_current) {
        p.power_factor = p.power_w / (p.efficiency * std::numbers::sqrt3 * p.voltage_v * p.current_a);
        full.power_factor_assumed = true;
    }
    fill(p.power_factor, full.power_factor_assumed, 0.82 + 0.025 * decades);
    fill(p.current_a, full.current_assumed, config::full_load_current_a(p));
    const double losses_share = 1 / p.efficiency - 1;
    const double typical_slip = 0.24 * losses_share / (1 + 0.24 * losses_share);
    fill(p.speed_rpm, full.speed_assumed, 120 * p.frequency_hz / motor.poles * (1 - typical_slip));
    fill(p.locked_rotor_current_ratio, full.locked_current_assumed, 6.0);
    fill(p.locked_rotor_torque_ratio, full.locked_torque_assumed, 0.9);
    fill(p.breakdown_torque_ratio, full.breakdown_assumed, 2.1);
    return full;
}

struct Figures {
    double torque = 0, current = 0, breakdown = 0, locked_current = 0, locked_torque = 0;
};

config::MotorCircuit circuit_of(const Vector& x, double rs) {
    config::MotorCircuit c;
    c.rs_ohm = rs;
    c.rr_ohm = std::exp(x[0]);
    c.xm_ohm = std::exp(x[1]);
    const double leakage = std::exp(x[2]);
    c.xls_ohm = stator_share_of_leakage * leakage;
    c.xlr_ohm = (1 - stator_share_of_leakage) * leakage;
    c.rr_standstill_ratio = std::exp(x[3]);
    c.xlr_standstill_ratio = std::exp(x[4]);
    return c;
}

Figures figures_of(const config::MotorCircuit& c, int poles, const config::Nameplate& p, double slip) {
    const config::MotorPoint rated =
        config::circuit_point(c, poles, p.frequency_hz, p.voltage_v, p.frequency_hz, slip);
    const config::MotorPoint locked =
        config::circuit_point(c, poles, p.frequency_hz, p.voltage_v, p.frequency_hz, 1);
    return {rated.torque_nm, rated.current_a,
            config::breakdown(c, poles, p.frequency_hz, p.voltage_v, p.frequency_hz).torque_nm,
            locked.current_a, locked.torque_nm};
}

/// The figures that the fit must meet.
struct PlateGoal {
    config::Nameplate plate;
    int poles = 4;
    double field_rad_s = 0, slip = 0, rs_ohm = 0, shaft_torque_nm = 0;
    Figures wanted;
};

/// Divides the losses. Fills friction and core loss of `motor` when the file gives no values.
PlateGoal goal_of(const FullPlate& full, config::Motor& motor) {
    const config::Nameplate& p = full.plate;
    PlateGoal goal;
    goal.plate = p;
    goal.poles = motor.poles;
    goal.field_rad_s = config::synchronous_speed(p.frequency_hz, motor.poles);
    goal.slip = 1 - p.speed_rpm * motor.poles / (120 * p.frequency_hz);
    const double losses_w = p.power_w * (1 / p.efficiency - 1);
    motor.nameplate = p;
    motor.has_circuit = true;
    if (motor.friction_loss_w <= 0) motor.friction_loss_w = friction_share * losses_w;
    if (motor.core_loss_w <= 0) motor.core_loss_w = core_share * losses_w;
    const double rotor_w = goal.slip / (1 - goal.slip) * (p.power_w + motor.friction_loss_w);
    const double stator_w = std::max(stator_share_least * losses_w,
                                     losses_w - rotor_w - motor.friction_loss_w - motor.core_loss_w);
    goal.rs_ohm = stator_w / (3 * p.current_a * p.current_a);
    goal.shaft_torque_nm = p.power_w / (goal.field_rad_s * (1 - goal.slip));
    goal.wanted = {goal.shaft_torque_nm + motor.friction_loss_w / goal.field_rad_s, p.current_a,
                   p.breakdown_torque_ratio * goal.shaft_torque_nm,
                   p.locked_rotor_current_ratio * p.current_a,
                   p.locked_rotor_torque_ratio * goal.shaft_torque_nm};
    return goal;
}

/// rr from slip and gap power, leakage from breakdown, magnetising reactance from the remaining reactive
/// power.
Vector first_guess(const PlateGoal& goal) {
    const config::Nameplate& p = goal.plate;
    const double phase_v = p.voltage_v / std::numbers::sqrt3;
    const double leakage = 3 * phase_v * phase_v / (2 * goal.field_rad_s * goal.wanted.breakdown);
    const double reactive = std::sqrt(std::max(0.02, 1 - p.power_factor * p.power_factor)) * p.current_a;
    const double active = p.power_factor * p.current_a;
    const double magnetising_a = std::max(0.1 * p.current_a, reactive - active * active * leakage / phase_v);
    return {std::log(goal.slip * phase_v / active), std::log(phase_v / magnetising_a), std::log(leakage),
            std::log(1.5), std::log(0.8)};
}

/// The error of a circuit in each figure. The running point has the greatest weight, because the starting
/// figures of a nameplate are often limits instead of values.
Vector residual(const PlateGoal& goal, const Vector& at) {
    const Figures got = figures_of(circuit_of(at, goal.rs_ohm), goal.poles, goal.plate, goal.slip);
    const Figures& wanted = goal.wanted;
    return Vector{5 * std::log(got.torque / wanted.torque), 5 * std::log(got.current / wanted.current),
                  2 * std::log(got.breakdown / wanted.breakdown),
                  std::log(got.locked_current / wanted.locked_current),
                  std::log(got.locked_torque / wanted.locked_torque)};
}

/// The slopes of the errors, by central differences. A slope from one side only would move the end of the
/// search.
Matrix jacobian_at(const PlateGoal& goal, const Vector& x) {
    constexpr double nudge = 1e-5;
    Matrix jacobian;
    for (int k = 0; k < unknowns; ++k) {
        const Vector aside = nudge * Vector::Unit(k);
        jacobian.col(k) = (residual(goal, x + aside) - residual(goal, x - aside)) / (2 * nudge);
    }
    return jacobian;
}

/// The limits of the unknowns.
struct Limits {
    Vector lowest{-30, -30, -30, std::log(0.7), std::log(0.3)};
    Vector highest{30, 30, 30, std::log(8.0), std::log(1.3)};
};

/// Takes an unknown out of the step when the unknown is at a limit and the errors push it beyond the limit.
/// Otherwise the limit would cut the step, the other unknowns would follow a step that was not made, and the
/// search would creep.
void hold_at_limits(Matrix& jacobian, const Vector& r, const Vector& x, const Limits& limits) {
    const Vector slope = jacobian.transpose() * r;
    for (int k = 0; k < unknowns; ++k)
        if ((x[k] <= limits.lowest[k] && slope[k] > 0) || (x[k] >= limits.highest[k] && slope[k] < 0))
            jacobian.col(k).setZero();
}

/// The damped step of least squares. An unknown on which no error depends does not move.
Vector damped_step(const Matrix& jacobian, const Vector& r, double damping) {
    Matrix normal = jacobian.transpose() * jacobian;
    normal.diagonal().array() += damping * (normal.diagonal().array() + 1e-6);
    return normal.ldlt().solve(-(jacobian.transpose() * r));
}

/// The method of Levenberg and Marquardt. The search ends with a step that is too short to have a meaning. Each
/// unknown stays within its limits.
Vector fitted(const PlateGoal& goal, Vector x) {
    const Limits limits;
    constexpr double longest_step = 0.7, step_without_meaning = 1e-10;
    Vector r = residual(goal, x);
    double damping = 1e-3;
    for (int iteration = 0; iteration < 60; ++iteration) {
        Matrix jacobian = jacobian_at(goal, x);
        hold_at_limits(jacobian, r, x, limits);
        // More damping makes the step shorter, so that the inner search ends, too.
        bool better = false;
        while (!better) {
            const Vector step = damped_step(jacobian, r, damping);
            // Negated, so that a step that is not a number ends the search.
            if (!(step.lpNorm<Eigen::Infinity>() >= step_without_meaning)) return x;
            const Vector tried = (x + step.cwiseMax(-longest_step).cwiseMin(longest_step))
                                     .cwiseMax(limits.lowest)
                                     .cwiseMin(limits.highest);
            const Vector there = residual(goal, tried);
            better = there.squaredNorm() < r.squaredNorm();
            damping = better ? damping / 5 : damping * 5;
            if (better) {
                x = tried;
                r = there;
            }
        }
    }
    return x;
}

/// Each figure of the nameplate, with the figure of the circuit.
std::vector<PlateCheck> checks_of(const FullPlate& full, const PlateGoal& goal, const config::Motor& motor) {
    const config::Nameplate& p = full.plate;
    const double field = goal.field_rad_s;
    const Figures got = figures_of(motor.circuit, motor.poles, p, goal.slip);
    const config::MotorPoint rated = config::circuit_point(motor.circuit, motor.poles, p.frequency_hz,
                                                           p.voltage_v, p.frequency_hz, goal.slip);
    const double shaft_w = (rated.torque_nm - motor.friction_loss_w / field) * field * (1 - goal.slip);
    const double input_w = rated.input_w + motor.core_loss_w;
    return {{"shaft power at rated speed, W", p.power_w, shaft_w, full.speed_assumed},
            {"current, A", p.current_a, rated.current_a, full.current_assumed},
            {"power factor", p.power_factor, input_w / (std::numbers::sqrt3 * p.voltage_v * rated.current_a),
             full.power_factor_assumed},
            {"efficiency", p.efficiency, shaft_w / input_w, full.efficiency_assumed},
            {"breakdown torque ratio", p.breakdown_torque_ratio, got.breakdown / goal.shaft_torque_nm,
             full.breakdown_assumed},
            {"locked-rotor current ratio", p.locked_rotor_current_ratio, got.locked_current / p.current_a,
             full.locked_current_assumed},
            {"locked-rotor torque ratio", p.locked_rotor_torque_ratio,
             got.locked_torque / goal.shaft_torque_nm, full.locked_torque_assumed}};
}

}  // namespace

CircuitEstimate estimate_circuit(const config::Motor& motor) {
    const FullPlate full = filled(motor);
    CircuitEstimate estimate;
    estimate.motor = motor;
    const PlateGoal goal = goal_of(full, estimate.motor);
    estimate.motor.circuit = circuit_of(fitted(goal, first_guess(goal)), goal.rs_ohm);
    estimate.checks = checks_of(full, goal, estimate.motor);
    for (const PlateCheck& check : estimate.checks)
        if (!check.assumed) estimate.worst_error = std::max(estimate.worst_error, std::abs(check.error()));
    return estimate;
}

config::Motor with_circuit(const config::Motor& motor) {
    return motor.has_circuit ? motor : estimate_circuit(motor).motor;
}

}  // namespace freshet::plant
