// Line, drive and motors during a step in which no contact moves: see the header.
//
// One reason to change: how power and speed follow from loads, line and drive.
#include <algorithm>
#include <limits>

#include "sim_plant/physics/parallel_sources.hpp"
#include "sim_plant/physics/power_train.hpp"

namespace freshet::plant {

namespace {
constexpr double parallel_trip_ratio = 2.5;  // of the drive's current limit
constexpr double rated_rise_k = 80, ambient_k = 298.15;
constexpr double heating_s = 1800, cooling_s = 5400;
}  // namespace

bool PowerTrain::plain() {
    line_count_ = 0;
    line_motors_w_ = 0;
    // The first settled step looks up the figures.
    drive_loss_at_w_ = drive_held_torque_nm_ = std::numeric_limits<double>::infinity();
    std::uint8_t on_drive = 0;
    for (std::uint8_t n = 0; n < active_count_; ++n) {
        const std::size_t i = active_[n];
        if (shafts_[i].mode == MotorMode::on_drive) {
            ++on_drive;
        } else if (shafts_[i].mode == MotorMode::on_line) {
            on_line_[line_count_++] = static_cast<std::uint8_t>(i);
            line_motors_w_ += state_.motors[i].electrical_power_w;
            shafts_[i].held_load_nm = std::numeric_limits<double>::infinity();
        } else {
            return false;
        }
    }
    return on_drive <= 1;
}

bool PowerTrain::settle(MotorShaft& shaft, MotorDraw& draw, double feed_hz, double flux) const {
    SettledPoint point;
    const double squared = flux * flux;
    if (!model_.settled(draw.torque_nm / squared, point)) return false;
    const double shaft_hz = feed_hz - point.slip_hz;
    shaft.slip_hz = point.slip_hz;
    shaft.speed_rad_s = model_.field_speed_per_hz * (shaft_hz > 0 ? shaft_hz : 0);
    draw.current_a = flux * point.current_a;
    draw.reactive_var = squared * point.reactive_var;
    draw.electrical_w = draw.torque_nm * (model_.field_speed_per_hz * feed_hz) +
                        model_.three_rs * (draw.current_a * draw.current_a) + model_.core_loss_w;
    return true;
}

double PowerTrain::least_ramp_room(const std::array<double, 8>& load_nm) const {
    if (drive_pump_ == no_pump) return std::numeric_limits<double>::infinity();
    const std::size_t pump = drive_pump_;
    if (shafts_[pump].moving && state_.motors[pump].current_a > station_.drive.current_limit_a) return 0;
    return (limit_torque_nm_ - load_nm[pump]) * hertz_per_impulse_;
}

void PowerTrain::renew(std::size_t pump, double load_nm) {
    MotorShaft& shaft = shafts_[pump];
    MotorState& shown = state_.motors[pump];
    MotorDraw draw;
    draw.torque_nm = load_nm + model_.friction_nm;
    const double flux = line_.voltage_v() * flux_base_ / line_.frequency_hz();
    if (!settle(shaft, draw, line_.frequency_hz(), flux)) {
        shaft.moving = unsettled_ = true;
        return;
    }
    line_motors_w_ += draw.electrical_w - shown.electrical_power_w;
    line_var_ += draw.reactive_var - shaft.reactive_var;
    shaft.reactive_var = draw.reactive_var;
    shaft.held_load_nm = load_nm;
    shown.current_a = draw.current_a;
    shown.torque_nm = draw.torque_nm;
    shown.electrical_power_w = draw.electrical_w;
}

void PowerTrain::renew_on_drive(std::size_t pump, double torque_nm) {
    MotorDraw draw;
    draw.torque_nm = torque_nm;
    if (!settle(shafts_[pump], draw, drive_.frequency_hz(), 1)) {
        shafts_[pump].moving = unsettled_ = true;
        return;
    }
    drive_motor_loss_w_ = model_.three_rs * (draw.current_a * draw.current_a) + model_.core_loss_w;
    drive_held_torque_nm_ = torque_nm;
    state_.motors[pump].current_a = state_.drive_current_a = draw.current_a;
}

void PowerTrain::advance_settled(double dt_s, const std::array<double, 8>& load_nm) {
    const bool second_over = line_.advance(dt_s);
    if (second_over) {
        line_.load(state_.line_power_w, line_var_);
        line_motors_w_ = line_var_ = 0;
        for (std::uint8_t n = 0; n < line_count_; ++n) {
            const std::size_t i = on_line_[n];
            line_motors_w_ += state_.motors[i].electrical_power_w;
            line_var_ += shafts_[i].reactive_var;
            renew(i, load_nm[i]);
        }
        heat_windings();
    }
    const double line_hz = line_.frequency_hz();
    const double line_v = line_.voltage_v();
    for (std::uint8_t n = 0; n < line_count_; ++n) {
        const std::size_t i = on_line_[n];
        if (__builtin_fabs(load_nm[i] - shafts_[i].held_load_nm) > hold_torque_nm_) renew(i, load_nm[i]);
        state_.motors[i].speed_rad_s = model_.field_speed_per_hz * (line_hz - shafts_[i].slip_hz);
    }

    double drive_w = 0;
    if (drive_.energised()) {
        const double rate_hz_s = drive_.ramp_hz_s(per_step_, least_ramp_room(load_nm));
        drive_.advance_ramp(dt_s, rate_hz_s);
        if (drive_pump_ != no_pump) {
            const std::size_t pump = drive_pump_;
            MotorShaft& shaft = shafts_[pump];
            MotorState& shown = state_.motors[pump];
            const double torque_nm = load_nm[pump] + model_.friction_nm + impulse_per_hertz_ * rate_hz_s;
            if (__builtin_fabs(torque_nm - drive_held_torque_nm_) > drive_hold_torque_nm_)
                renew_on_drive(pump, torque_nm);
            const double hz = drive_.frequency_hz();
            const double shaft_hz = hz - shaft.slip_hz;
            shown.speed_rad_s = model_.field_speed_per_hz * (shaft_hz > 0 ? shaft_hz : 0);
            drive_w = torque_nm * (model_.field_speed_per_hz * hz) + drive_motor_loss_w_;
            shown.electrical_power_w = drive_w;
            shown.torque_nm = torque_nm;
        }
        if (__builtin_fabs(drive_w - drive_loss_at_w_) > drive_hold_w_) {
            drive_loss_at_w_ = drive_w;
            drive_loss_w_ = drive_.loss_w(drive_w);
        }
        state_.drive_input_w = drive_w + drive_loss_w_;
        state_.drive_voltage_v = drive_.voltage_v();
        state_.drive_frequency_hz = drive_.frequency_hz();
    }
    const double line_w = line_motors_w_ + state_.drive_input_w;
    state_.energy_j += line_w * dt_s;
    state_.line_power_w = line_w;
    state_.line_voltage_v = line_v;
    state_.line_frequency_hz = line_hz;
    if (line_v < drop_out_v_ || state_.drive_current_a > trip_current_a_) unsettled_ = true;
}

/// The drive's part of a step. Returns the rate of change of its frequency, Hz/s.
double PowerTrain::advance_drive(double dt_s, const std::array<double, 8>& load_nm) {
    if (drive_.synchronising()) {
        drive_.advance_synchronising(dt_s, line_);
        return 0;
    }
    if (!drive_.energised()) return 0;
    const double rate_hz_s = drive_.ramp_hz_s(per_step_, least_ramp_room(load_nm));
    drive_.advance_ramp(dt_s, rate_hz_s);
    return rate_hz_s;
}

/// One fed motor's part of a step. The motor is settled on its curve or moves; `moved` becomes true when the
/// motor moves.
MotorDraw PowerTrain::advance_fed(MotorShaft& shaft, double dt_s, const Supplied& by, double load_nm,
                                  bool& moved) {
    MotorDraw draw;
    if (!shaft.moving) {
        draw.torque_nm = load_nm + model_.friction_nm + by.accelerating_nm;
        shaft.moving = !settle(shaft, draw, by.frequency_hz, by.flux);
    }
    if (shaft.moving) {
        draw = advance_moving(model_, shaft, dt_s, {by.voltage_v, by.frequency_hz}, load_nm);
        moved = true;
    }
    return draw;
}

/// Every motor's part of a step, and the total draw of all motors.
PowerTrain::Drawn PowerTrain::advance_motors(double dt_s, const Supplied& by_line, const Supplied& by_drive,
                                             const std::array<double, 8>& load_nm) {
    Drawn drawn;
    for (std::uint8_t n = 0; n < active_count_; ++n) {
        const std::size_t i = active_[n];
        MotorShaft& shaft = shafts_[i];
        MotorState& shown = state_.motors[i];
        if (shaft.mode == MotorMode::coasting) {
            advance_coasting(model_, shaft, dt_s, load_nm[i]);
            drawn.came_to_rest = drawn.came_to_rest || shaft.mode == MotorMode::at_rest;
            shown.speed_rad_s = shaft.speed_rad_s;
            continue;
        }
        const bool from_line = shaft.mode != MotorMode::on_drive;
        drawn.in_parallel = drawn.in_parallel || shaft.mode == MotorMode::on_both;
        const MotorDraw draw =
            advance_fed(shaft, dt_s, from_line ? by_line : by_drive, load_nm[i], drawn.moving);
        if (from_line) {
            drawn.line_w += draw.electrical_w;
            drawn.line_var += draw.reactive_var;
            shaft.reactive_var = draw.reactive_var;
        } else {
            drawn.drive_w += draw.electrical_w;
            drawn.drive_a += draw.current_a;
        }
        shown.speed_rad_s = shaft.speed_rad_s;
        shown.current_a = draw.current_a;
        shown.torque_nm = draw.torque_nm;
        shown.electrical_power_w = draw.electrical_w;
    }
    return drawn;
}

/// A motor on drive and line together: the current between drive and line may trip the drive.
void PowerTrain::watch_parallel(double drive_v, double line_v) {
    const double between_a = circulating_current_a(drive_v, line_v, ahead_rad(), parallel_x_ohm_);
    unsettled_ = true;
    if (station_.drive.current_limit_a > 0 &&
        between_a > parallel_trip_ratio * station_.drive.current_limit_a) {
        drive_.trip();
        rewire();
    }
}

void PowerTrain::advance(double dt_s, const std::array<double, 8>& load_nm) {
    const bool second_over = line_.advance(dt_s);
    line_.load(state_.line_power_w, line_var_);
    const double rate_hz_s = advance_drive(dt_s, load_nm);
    const double line_v = line_.voltage_v(), line_hz = line_.frequency_hz();
    const double drive_v = drive_.voltage_v(), drive_hz = drive_.frequency_hz();
    // The drive keeps rated flux except while synchronising, when the drive matches the line's voltage.
    const double drive_flux = drive_.synchronising() && drive_hz > 0 ? drive_v * flux_base_ / drive_hz : 1;
    const Drawn drawn =
        advance_motors(dt_s, {line_v, line_hz, line_v * flux_base_ / line_hz, 0},
                       {drive_v, drive_hz, drive_flux, impulse_per_hertz_ * rate_hz_s}, load_nm);

    const double drive_input_w = drive_.energised() ? drawn.drive_w + drive_.loss_w(drawn.drive_w) : 0;
    const double line_w = drawn.line_w + drive_input_w;
    state_.energy_j += line_w * dt_s;
    state_.line_power_w = line_w;
    state_.drive_input_w = drive_input_w;
    state_.drive_current_a = drawn.drive_a;
    state_.line_voltage_v = line_v;
    state_.line_frequency_hz = line_hz;
    state_.drive_voltage_v = drive_v;
    state_.drive_frequency_hz = drive_hz;
    line_var_ = drawn.line_var;
    if (line_v < drop_out_v_ || drawn.moving) unsettled_ = true;
    if (drawn.drive_a > trip_current_a_) {
        drive_.trip();
        rewire();
    } else if (drawn.came_to_rest) {
        rewire();
    }
    if (drawn.in_parallel) watch_parallel(drive_v, line_v);
    if (second_over) heat_windings();
}

void PowerTrain::heat_windings() {
    for (std::size_t i = 0; i < pump_count_; ++i) {
        MotorShaft& shaft = shafts_[i];
        const double ratio = state_.motors[i].current_a / model_.rated_current_a;
        const double towards_k = rated_rise_k * ratio * ratio;
        const double time_constant_s = shaft.mode >= MotorMode::on_drive ? heating_s : cooling_s;
        shaft.winding_rise_k += (towards_k - shaft.winding_rise_k) * line_draw_every_s / time_constant_s;
        state_.motors[i].winding_temperature_k = ambient_k + shaft.winding_rise_k;
    }
}

}  // namespace freshet::plant
