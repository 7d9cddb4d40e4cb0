// A motor's tables, and its shaft away from the settled curve: see the header.
//
// One reason to change: how a motor and its pump's shaft move.
#include "sim_plant/physics/motor.hpp"

#include <algorithm>
#include <cmath>

#include "sim_plant/physics/nameplate.hpp"

namespace freshet::plant {

namespace {
constexpr double table_share_of_breakdown = 0.9;
constexpr double table_share_braking = 0.4;
constexpr double drag_share = 0.005;  // of rated torque: bearings and seal of a coasting set
constexpr double rest_share = 0.005;  // of rated field speed
}  // namespace

MotorModel::MotorModel(const config::Motor& motor, double pump_inertia_kgm2) : motor_(with_circuit(motor)) {
    const config::Nameplate& plate = motor_.nameplate;
    const config::MotorCircuit& c = motor_.circuit;
    inertia_kgm2 = motor_.inertia_kgm2 + pump_inertia_kgm2;
    field_speed_per_hz = config::synchronous_speed(1, motor_.poles);
    const double field_speed = config::synchronous_speed(rated_hz(), motor_.poles);
    friction_nm = motor_.friction_loss_w / field_speed;
    core_loss_w = motor_.core_loss_w;
    three_rs = 3 * c.rs_ohm;
    time_constant_s = config::open_circuit_time_constant(c, rated_hz());

    const config::Breakdown top = config::breakdown(c, motor_.poles, rated_hz(), rated_v(), rated_hz());
    breakdown_torque_nm = top.torque_nm;
    breakdown_slip = top.slip;
    rated_slip = config::slip_for_shaft_power(motor_, plate.power_w);
    const config::MotorPoint rated =
        config::circuit_point(c, motor_.poles, rated_hz(), rated_v(), rated_hz(), rated_slip);
    rated_current_a = rated.current_a;
    rated_torque_nm = rated.torque_nm - friction_nm;
    drag_nm = friction_nm + drag_share * rated_torque_nm;

    torque_low_ = -table_share_braking * top.torque_nm;
    const double torque_high = table_share_of_breakdown * top.torque_nm;
    scale_ = (nodes - 1) / (torque_high - torque_low_);
    for (std::size_t i = 0; i < nodes; ++i) {
        const double torque = torque_low_ + static_cast<double>(i) / scale_;
        const double slip =
            config::slip_for_torque(c, motor_.poles, rated_hz(), rated_v(), rated_hz(), torque);
        const config::MotorPoint point =
            config::circuit_point(c, motor_.poles, rated_hz(), rated_v(), rated_hz(), slip);
        table_[i] = {slip * rated_hz(), 0, point.current_a, 0, point.reactive_var, 0};
    }
    for (std::size_t i = 0; i + 1 < nodes; ++i) {
        table_[i].slip_step = table_[i + 1].slip_hz - table_[i].slip_hz;
        table_[i].current_step = table_[i + 1].current_a - table_[i].current_a;
        table_[i].reactive_step = table_[i + 1].reactive_var - table_[i].reactive_var;
    }
}

double load_at(double load_nm, double speed_rad_s, double at_rad_s) {
    // Below this speed the parabola through the present value is not usable.
    constexpr double slow_rad_s = 0.5;
    if (std::abs(speed_rad_s) < slow_rad_s) return load_nm;
    const double ratio = at_rad_s / speed_rad_s;
    return load_nm * ratio * std::abs(ratio);
}

MotorDraw advance_moving(const MotorModel& model, MotorShaft& shaft, double dt_s, const Feed& feed,
                         double load_nm) {
    const double field = model.field_speed_per_hz * feed.frequency_hz;
    const auto electric = [&](double speed) {
        return config::circuit_point(model.circuit(), model.poles(), model.rated_hz(), feed.voltage_v,
                                     feed.frequency_hz, 1 - speed / field);
    };
    const double before = shaft.speed_rad_s;
    const double nudge = 1e-5 * field;
    const config::MotorPoint here = electric(before);
    const double slope_electric = (electric(before + nudge).torque_nm - here.torque_nm) / nudge;
    const double slope_load = before > 0.5 ? 2 * load_nm / before : 0;
    const double friction = model.friction_nm * std::min(1.0, before / (rest_share * field));
    const double surplus = here.torque_nm - load_nm - friction;
    // With a rising torque curve the implicit step would go the wrong way, so only damping terms enter the
    // step.
    const double damping = std::max(0.0, slope_load - slope_electric);
    shaft.speed_rad_s = std::max(0.0, before + dt_s * surplus / (model.inertia_kgm2 + dt_s * damping));

    const config::MotorPoint now = electric(shaft.speed_rad_s);
    const double slip = 1 - shaft.speed_rad_s / field;
    const double calm = 0.02 * model.rated_torque_nm;
    if (std::abs(surplus) < calm && std::abs(slip) < 0.8 * model.breakdown_slip) shaft.moving = false;
    return {now.torque_nm, now.current_a, now.input_w + model.core_loss_w, now.reactive_var};
}

void begin_coasting(const MotorModel& model, MotorShaft& shaft, const Feed& feed, double feed_cycles) {
    const double field = model.field_speed_per_hz * feed.frequency_hz;
    if (feed.frequency_hz <= 0 || feed.voltage_v <= 0) return;
    const double slip = 1 - shaft.speed_rad_s / field;
    const config::MotorPoint point = config::circuit_point(model.circuit(), model.poles(), model.rated_hz(),
                                                           feed.voltage_v, feed.frequency_hz, slip);
    const config::Phasor residual =
        config::open_circuit_voltage(model.circuit(), model.rated_hz(), feed.frequency_hz, point);
    shaft.residual_v = std::numbers::sqrt3 * std::abs(residual);
    shaft.residual_cycles = feed_cycles + std::arg(residual) / (2 * std::numbers::pi);
}

void advance_coasting(const MotorModel& model, MotorShaft& shaft, double dt_s, double load_nm) {
    const double before = shaft.speed_rad_s;
    const double rated_field = model.field_speed_per_hz * model.rated_hz();
    // w (J + dt (T_load / w)) = J w0 - dt T_drag: one factor makes the parabola implicit, and w never passes
    // zero.
    const double load = std::max(0.0, load_nm);
    const double damping = before > 0.5 ? load / before : 0;
    const double after = std::max(
        0.0, (model.inertia_kgm2 * before - dt_s * model.drag_nm) / (model.inertia_kgm2 + dt_s * damping));
    shaft.speed_rad_s = after;
    if (shaft.residual_v > 0) {
        const double ratio = before > 0 ? after / before : 0;
        shaft.residual_v *= ratio * std::exp(-dt_s / model.time_constant_s);
        shaft.residual_cycles += 0.5 * (before + after) / model.field_speed_per_hz * dt_s;
        shaft.residual_cycles -= std::floor(shaft.residual_cycles);
        if (shaft.residual_v < 1e-3 * model.rated_v()) shaft.residual_v = 0;
    }
    if (after < rest_share * rated_field) {
        shaft.speed_rad_s = 0;
        shaft.residual_v = 0;
        shaft.mode = MotorMode::at_rest;
    }
}

}  // namespace freshet::plant
