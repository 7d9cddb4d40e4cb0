// How line, drive, contactors and motors work together: see the header.
#include "sim_plant/physics/power_train.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <numbers>

#include "sim_plant/physics/closing.hpp"

namespace freshet::plant {

namespace {
constexpr double part_max_s = 0.005;
constexpr double low_voltage_ride_through_s = 0.02;
constexpr double parallel_reactance_pu = 0.15;
constexpr double parallel_trip_ratio = 2.5;   // of the drive's current limit
constexpr double overcurrent_trip_ratio = 2;  // of the drive's current limit
constexpr double rated_rise_k = 80, ambient_k = 298.15;
constexpr double heating_s = 1800, cooling_s = 5400;
constexpr double turn = 2 * std::numbers::pi;
constexpr double settled_mismatch_hz = 0.25;
/// A settled motor on the line keeps its figures for a second while its load changes by less, of rated
/// torque.
constexpr double hold_share = 3e-4;
/// The motor on the drive keeps its slip and current, the drive its loss, while torque or power change by
/// less, of rated.
constexpr double drive_hold_share = 1e-3;

}  // namespace

PowerTrain::PowerTrain(const config::Station& station, std::uint64_t seed)
    : station_(station),
      pump_count_(station.pump_count),
      model_(station.motor, station.pump.inertia_kgm2),
      line_(station.supply, seed ^ 0x6c696e65ULL),
      drive_(station.drive, station.motor.nameplate.voltage_v, station.motor.nameplate.frequency_hz,
             station.motor.nameplate.power_w),
      noise_(seed),
      output_(station.drive_output),
      contactors_{{{Contactor(station.drive_side), Contactor(station.line_side)},
                   {Contactor(station.drive_side), Contactor(station.line_side)},
                   {Contactor(station.drive_side), Contactor(station.line_side)},
                   {Contactor(station.drive_side), Contactor(station.line_side)},
                   {Contactor(station.drive_side), Contactor(station.line_side)},
                   {Contactor(station.drive_side), Contactor(station.line_side)},
                   {Contactor(station.drive_side), Contactor(station.line_side)},
                   {Contactor(station.drive_side), Contactor(station.line_side)}}} {
    const config::Nameplate& plate = model_.motor().nameplate;
    rated_speed_rad_s_ = model_.field_speed_per_hz * plate.frequency_hz * (1 - model_.rated_slip);
    impulse_per_hertz_ = model_.inertia_kgm2 * model_.field_speed_per_hz;
    hertz_per_impulse_ = 1 / impulse_per_hertz_;
    drive_hold_torque_nm_ = drive_hold_share * model_.rated_torque_nm;
    drive_hold_w_ = drive_hold_share * plate.power_w;
    hold_torque_nm_ = hold_share * model_.rated_torque_nm;
    flux_base_ = plate.frequency_hz / plate.voltage_v;
    drop_out_v_ = station.supply.drop_out_ratio * station.supply.voltage_v;
    parallel_x_ohm_ = parallel_reactance_pu * plate.voltage_v * plate.voltage_v / plate.power_w;
    const double limit_a = station.drive.current_limit_a;
    limit_torque_nm_ = trip_current_a_ = std::numeric_limits<double>::infinity();
    if (limit_a > 0) {
        trip_current_a_ = overcurrent_trip_ratio * limit_a;
        double low = 0;
        double high = 0.85 * model_.breakdown_torque_nm;
        for (int i = 0; i < 60; ++i) {
            const double middle = (low + high) / 2;
            SettledPoint point;
            const bool below = model_.settled(middle, point) && point.current_a < limit_a;
            (below ? low : high) = middle;
        }
        limit_torque_nm_ = low;
    }
    rewire();
    publish_slow();
    state_.line_voltage_v = line_.voltage_v();
    state_.line_frequency_hz = line_.frequency_hz();
}

void PowerTrain::place_on_line(std::size_t pump) {
    contactors_[pump].line_side.place(true);
    MotorShaft& shaft = shafts_[pump];
    shaft.mode = MotorMode::on_line;
    shaft.moving = false;
    shaft.speed_rad_s = rated_speed_rad_s_;
    rewire();
    publish_slow();
    state_.motors[pump].speed_rad_s = shaft.speed_rad_s;
    unsettled_ = true;
}

const PowerTrainState& PowerTrain::step(double dt_s, const Orders& orders,
                                        const std::array<double, 8>& load_torque_nm) {
    std::uint64_t pump_orders[2];
    static_assert(sizeof orders.pumps == sizeof pump_orders);
    std::memcpy(pump_orders, orders.pumps.data(), sizeof pump_orders);
    const auto station_orders = static_cast<std::uint8_t>(static_cast<unsigned>(orders.drive_run) |
                                                          static_cast<unsigned>(orders.synchronise) << 1U |
                                                          static_cast<unsigned>(orders.output_close) << 2U);
    if (dt_s != step_s_) {
        step_s_ = dt_s;
        per_step_ = 1 / dt_s;
    }
    const bool news = pump_orders[0] != pump_orders_[0] || pump_orders[1] != pump_orders_[1] ||
                      station_orders != station_orders_;
    closing_count_ = 0;
    if (news || unsettled_) {
        pump_orders_[0] = pump_orders[0];
        pump_orders_[1] = pump_orders[1];
        station_orders_ = station_orders;
        step_divided(dt_s, orders, load_torque_nm);
    } else {
        drive_.refer(orders.speed_hz);
        if (plain_)
            advance_settled(dt_s, load_torque_nm);
        else
            advance(dt_s, load_torque_nm);
    }
    state_.drive_ahead_rad = turn * drive_.ahead_cycles(line_);
    return state_;
}

bool PowerTrain::settled_now() const {
    if (output_.moving() || drive_.synchronising() || drive_.waiting() || drive_.tripped() || low_for_s_ > 0)
        return false;
    for (std::size_t i = 0; i < pump_count_; ++i) {
        if (contactors_[i].drive_side.moving() || contactors_[i].line_side.moving() || shafts_[i].moving)
            return false;
    }
    return true;
}

bool PowerTrain::plain() {
    line_count_ = 0;
    line_motors_w_ = 0;
    // Looked up at the first settled step.
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

double PowerTrain::turning_hz() const {
    double fastest = 0;
    if (!output_.closed()) return fastest;
    for (std::size_t i = 0; i < pump_count_; ++i) {
        if (contactors_[i].drive_side.closed())
            fastest = std::max(fastest, shafts_[i].speed_rad_s / model_.field_speed_per_hz);
    }
    return fastest;
}

void PowerTrain::follow(const Orders& orders) {
    const bool healthy = line_.live() && low_for_s_ < low_voltage_ride_through_s;
    drive_.watch_lock(healthy && !emergency_, turning_hz());
    const bool was_energised = drive_.energised();
    drive_.order(orders.drive_run && !emergency_, orders.synchronise, orders.speed_hz, turning_hz(), line_);
    if (!emergency_ || !orders.output_close) output_.order(orders.output_close && healthy, noise_);
    for (std::size_t i = 0; i < pump_count_; ++i) {
        const bool held = emergency_ || pump_tripped_[i] || !healthy;
        Pair& pair = contactors_[i];
        if (!held || !orders.pumps[i].drive_side_close)
            pair.drive_side.order(orders.pumps[i].drive_side_close, noise_);
        if (!held || !orders.pumps[i].line_side_close)
            pair.line_side.order(orders.pumps[i].line_side_close, noise_);
    }
    if (drive_.energised() != was_energised) rewire();
}

void PowerTrain::step_divided(double dt_s, const Orders& orders, const std::array<double, 8>& load_nm) {
    for (std::size_t i = 0; i < pump_count_; ++i)
        entry_speed_[i] = shafts_[i].speed_rad_s = state_.motors[i].speed_rad_s;
    follow(orders);
    unsettled_ = true;
    std::array<double, 8> load = load_nm;
    double at_s = 0;
    constexpr double rounding_s = 1e-9;
    while (dt_s - at_s > rounding_s) {
        double part_s = dt_s - at_s;
        bool fine = drive_.synchronising() || drive_.searching() || low_for_s_ > 0;
        part_s = std::min(part_s, output_.movement_left_s());
        for (std::size_t i = 0; i < pump_count_; ++i) {
            part_s = std::min({part_s, contactors_[i].drive_side.movement_left_s(),
                               contactors_[i].line_side.movement_left_s()});
            fine = fine || shafts_[i].moving;
            load[i] = load_at(load_nm[i], entry_speed_[i], shafts_[i].speed_rad_s);
        }
        if (fine) part_s = std::min(part_s, part_max_s);
        per_step_ = 1 / part_s;
        advance(part_s, load);
        at_s += part_s;
        const bool was_energised = drive_.energised();
        drive_.pass_time(part_s);
        watch_supply(part_s);
        drive_.watch_lock(line_.live() && low_for_s_ < low_voltage_ride_through_s && !emergency_,
                          turning_hz());
        if (drive_.energised() != was_energised) rewire();
        move_contacts(part_s, at_s);
    }
    unsettled_ = !settled_now();
    plain_ = plain();
    step_s_ = 0;
    publish_slow();
}

void PowerTrain::watch_supply(double dt_s) {
    if (line_.voltage_v() >= drop_out_v_) {
        low_for_s_ = 0;
        low_handled_ = false;
        return;
    }
    low_for_s_ += dt_s;
    if (low_for_s_ < low_voltage_ride_through_s || low_handled_) return;
    low_handled_ = true;
    fall_out_all();
    if (drive_.running()) drive_.trip(DriveTrip::under_voltage);
    rewire();
}

void PowerTrain::fall_out_all() {
    output_.fall_out(noise_);
    for (std::size_t i = 0; i < pump_count_; ++i) {
        contactors_[i].drive_side.fall_out(noise_);
        contactors_[i].line_side.fall_out(noise_);
    }
}

void PowerTrain::move_contacts(double dt_s, double at_s) {
    bool changed = false;
    if (output_.advance(dt_s)) {
        changed = true;
        for (std::size_t i = 0; i < pump_count_; ++i) {
            if (output_.closed() && contactors_[i].drive_side.closed())
                record(ContactorAt::drive_output, i, at_s);
        }
    }
    for (std::size_t i = 0; i < pump_count_; ++i) {
        Pair& pair = contactors_[i];
        if (pair.drive_side.advance(dt_s)) {
            changed = true;
            if (pair.drive_side.closed() && output_.closed()) record(ContactorAt::drive_side, i, at_s);
        }
        if (pair.line_side.advance(dt_s)) {
            changed = true;
            if (pair.line_side.closed()) record(ContactorAt::line_side, i, at_s);
        }
    }
    if (changed) rewire();
}

void PowerTrain::record(ContactorAt where, std::size_t pump, double at_s) {
    const bool onto_line = where == ContactorAt::line_side;
    const double dead_v = 0.02 * model_.rated_v();
    if (onto_line ? !line_.live() : drive_.voltage_v() < dead_v) return;
    const double source_v = onto_line ? line_.voltage_v() : drive_.voltage_v();
    const double source_hz = onto_line ? line_.frequency_hz() : drive_.frequency_hz();
    const double source_cycles = onto_line ? line_.cycles() : drive_.cycles();
    const MotorShaft& shaft = shafts_[pump];
    double terminal_v = 0;
    double terminal_hz = source_hz;
    double terminal_cycles = source_cycles;
    switch (shaft.mode) {
        case MotorMode::on_line:
            terminal_v = line_.voltage_v();
            terminal_hz = line_.frequency_hz();
            terminal_cycles = line_.cycles();
            break;
        case MotorMode::on_drive:
            terminal_v = drive_.voltage_v();
            terminal_hz = drive_.frequency_hz();
            terminal_cycles = drive_.cycles();
            break;
        case MotorMode::coasting:
            terminal_v = shaft.residual_v;
            if (terminal_v > 0) {
                terminal_hz = shaft.speed_rad_s / model_.field_speed_per_hz;
                terminal_cycles = shaft.residual_cycles;
            }
            break;
        case MotorMode::at_rest:
        case MotorMode::on_both:
            break;
    }
    if (closing_count_ == closings_.size()) return;
    ClosingRecord& entry = closings_[closing_count_++];
    entry = {};
    entry.at_s = at_s;
    entry.pump = static_cast<std::uint8_t>(pump);
    entry.contactor = where;
    entry.from_rest = terminal_v <= 0;
    entry.angle_deg = 360 * within_half_a_turn(terminal_cycles - source_cycles);
    entry.slip_hz = terminal_hz - source_hz;
    entry.voltage_difference_ratio = (terminal_v - source_v) / model_.rated_v();
    entry.resultant_v_per_hz_pu =
        resultant_v_per_hz(terminal_v / model_.rated_v(), terminal_hz / model_.rated_hz(),
                           source_v / model_.rated_v(), source_hz / model_.rated_hz(), entry.angle_deg);
    if (!study_closings_) return;

    ClosingCase closing;
    closing.before = shaft.mode == MotorMode::coasting && terminal_v > 0 ? Before::residual
                     : terminal_v > 0                                    ? Before::source
                                                                         : Before::rest;
    closing.angle_deg = entry.angle_deg;
    closing.slip_hz = entry.slip_hz;
    closing.volts_difference_ratio = entry.voltage_difference_ratio;
    closing.line_v = source_v;
    closing.line_hz = source_hz;
    closing.pump_inertia_kgm2 = station_.pump.inertia_kgm2;
    if (closing.before == Before::source) {
        const double speed_ratio = shaft.speed_rad_s / rated_speed_rad_s_;
        const double fan_nm = model_.rated_torque_nm * speed_ratio * speed_ratio;
        if (fan_nm > 0)
            closing.load_ratio = std::max(0.0, state_.motors[pump].torque_nm - model_.friction_nm) / fan_nm;
    }
    const ClosingResult result = closing_study(model_.motor(), closing);
    entry.peak_current_ratio = result.peak_current_ratio;
    entry.torque_max_ratio = result.torque_max_nm / result.rated_torque_nm;
    entry.torque_min_ratio = result.torque_min_nm / result.rated_torque_nm;
}

void PowerTrain::rewire() {
    active_count_ = 0;
    drive_pump_ = no_pump;
    for (std::size_t i = 0; i < pump_count_; ++i) {
        MotorShaft& shaft = shafts_[i];
        const bool by_line = contactors_[i].line_side.closed() && line_.live();
        const bool by_drive = contactors_[i].drive_side.closed() && output_.closed() && drive_.energised();
        const bool was_fed = shaft.mode >= MotorMode::on_drive;
        MotorMode next = by_line ? (by_drive ? MotorMode::on_both : MotorMode::on_line) : MotorMode::on_drive;
        if (!by_line && !by_drive) next = shaft.speed_rad_s > 0 ? MotorMode::coasting : MotorMode::at_rest;
        const bool fed = next >= MotorMode::on_drive;
        if (was_fed && !fed && next == MotorMode::coasting) {
            const bool was_on_drive = shaft.mode == MotorMode::on_drive;
            const Feed before{was_on_drive ? state_.drive_voltage_v : state_.line_voltage_v,
                              was_on_drive ? state_.drive_frequency_hz : state_.line_frequency_hz};
            begin_coasting(model_, shaft, before, was_on_drive ? drive_.cycles() : line_.cycles());
        }
        if (fed && next != shaft.mode) {
            const double feed_hz = by_line ? line_.frequency_hz() : drive_.frequency_hz();
            const double off_hz = feed_hz - shaft.speed_rad_s / model_.field_speed_per_hz;
            const double stable_hz = model_.breakdown_slip * model_.rated_hz();
            // A start on the drive begins at no frequency: the shaft follows it from rest.
            shaft.moving = std::abs(off_hz) >
                           (was_fed ? stable_hz : std::min(stable_hz, settled_mismatch_hz + 0.5 * stable_hz));
            shaft.residual_v = 0;
        }
        if (!fed) {
            shaft.moving = false;
            MotorState& shown = state_.motors[i];
            shown.current_a = shown.torque_nm = shown.electrical_power_w = 0;
        }
        shaft.mode = next;
        if (next == MotorMode::on_drive) drive_pump_ = i;
        if (next != MotorMode::at_rest) active_[active_count_++] = static_cast<std::uint8_t>(i);
    }
    unsettled_ = true;
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
        state_.drive_output_w = drive_w;
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

void PowerTrain::advance(double dt_s, const std::array<double, 8>& load_nm) {
    const bool second_over = line_.advance(dt_s);
    line_.load(state_.line_power_w, line_var_);
    const double line_v = line_.voltage_v();
    const double line_hz = line_.frequency_hz();

    double rate_hz_s = 0;
    if (drive_.synchronising()) {
        drive_.advance_synchronising(dt_s, line_);
    } else if (drive_.energised()) {
        rate_hz_s = drive_.ramp_hz_s(per_step_, least_ramp_room(load_nm));
        drive_.advance_ramp(dt_s, rate_hz_s);
    }
    const double drive_hz = drive_.frequency_hz();
    const double drive_v = drive_.voltage_v();

    // The drive keeps rated flux unless it matches the line.
    const double line_flux = line_v * flux_base_ / line_hz;
    const double drive_flux = drive_.synchronising() && drive_hz > 0 ? drive_v * flux_base_ / drive_hz : 1;
    const double accelerating_nm = impulse_per_hertz_ * rate_hz_s;

    double line_w = 0;
    double line_var = 0;
    double drive_w = 0;
    double drive_a = 0;
    bool someone_moves = false;
    bool someone_rests = false;
    bool in_parallel = false;
    for (std::uint8_t n = 0; n < active_count_; ++n) {
        const std::size_t i = active_[n];
        MotorShaft& shaft = shafts_[i];
        MotorState& shown = state_.motors[i];
        if (shaft.mode == MotorMode::coasting) {
            advance_coasting(model_, shaft, dt_s, load_nm[i]);
            someone_rests = someone_rests || shaft.mode == MotorMode::at_rest;
            shown.speed_rad_s = shaft.speed_rad_s;
            shown.residual_voltage_v = shaft.residual_v;
            continue;
        }
        const bool from_line = shaft.mode != MotorMode::on_drive;
        in_parallel = in_parallel || shaft.mode == MotorMode::on_both;
        const double feed_hz = from_line ? line_hz : drive_hz;
        const double flux = from_line ? line_flux : drive_flux;
        MotorDraw draw;
        if (!shaft.moving) {
            draw.torque_nm = load_nm[i] + model_.friction_nm + (from_line ? 0 : accelerating_nm);
            shaft.moving = !settle(shaft, draw, feed_hz, flux);
        }
        if (shaft.moving) {
            draw = advance_moving(model_, shaft, dt_s, {from_line ? line_v : drive_v, feed_hz}, load_nm[i]);
            someone_moves = true;
        }
        if (from_line) {
            line_w += draw.electrical_w;
            line_var += draw.reactive_var;
            shaft.reactive_var = draw.reactive_var;
        } else {
            drive_w += draw.electrical_w;
            drive_a += draw.current_a;
        }
        shown.speed_rad_s = shaft.speed_rad_s;
        shown.current_a = draw.current_a;
        shown.torque_nm = draw.torque_nm;
        shown.electrical_power_w = draw.electrical_w;
    }
    const double drive_input_w = drive_.energised() ? drive_w + drive_.loss_w(drive_w) : 0;
    line_w += drive_input_w;
    state_.energy_j += line_w * dt_s;
    state_.line_power_w = line_w;
    state_.drive_input_w = drive_input_w;
    state_.drive_output_w = drive_w;
    state_.drive_current_a = drive_a;
    state_.line_voltage_v = line_v;
    state_.line_frequency_hz = line_hz;
    state_.drive_voltage_v = drive_v;
    state_.drive_frequency_hz = drive_hz;
    line_var_ = line_var;
    if (line_v < drop_out_v_ || someone_moves) unsettled_ = true;
    if (drive_a > trip_current_a_) {
        drive_.trip(DriveTrip::overcurrent);
        rewire();
    } else if (someone_rests) {
        rewire();
    }

    state_.circulating_a = 0;
    if (in_parallel) {
        const double ahead = turn * drive_.ahead_cycles(line_);
        const double gap_v = std::sqrt(
            std::max(0.0, drive_v * drive_v + line_v * line_v - 2 * drive_v * line_v * std::cos(ahead)));
        const double circulating_a = gap_v / (std::numbers::sqrt3 * parallel_x_ohm_);
        state_.circulating_a = circulating_a;
        state_.circulating_peak_a = std::max(state_.circulating_peak_a, circulating_a);
        state_.circulating_duty_a2s += circulating_a * circulating_a * dt_s;
        unsettled_ = true;
        if (station_.drive.current_limit_a > 0 &&
            circulating_a > parallel_trip_ratio * station_.drive.current_limit_a) {
            drive_.trip(DriveTrip::circulating_current);
            rewire();
        }
    }
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

void PowerTrain::publish_slow() {
    state_.drive_ready = drive_.ready();
    state_.drive_running = drive_.running();
    state_.drive_tripped = drive_.tripped();
    state_.drive_trip = drive_.trip_cause();
    state_.drive_in_sync = drive_.in_sync();
    state_.output_closed = output_.closed();
    state_.output_auxiliary = output_.auxiliary_closed();
    state_.on_generator = line_.on_generator();
    state_.line_live = line_.live();
    for (std::size_t i = 0; i < pump_count_; ++i) {
        MotorState& shown = state_.motors[i];
        const Pair& pair = contactors_[i];
        shown.drive_side_closed = pair.drive_side.closed();
        shown.line_side_closed = pair.line_side.closed();
        shown.drive_side_auxiliary = pair.drive_side.auxiliary_closed();
        shown.line_side_auxiliary = pair.line_side.auxiliary_closed();
        shown.tripped = pump_tripped_[i];
        shown.mode = shafts_[i].mode;
        shown.speed_rad_s = shafts_[i].speed_rad_s;
        shown.residual_voltage_v = shafts_[i].residual_v;
    }
}

void PowerTrain::set_contactor_fault(ContactorAt where, std::size_t pump, config::FaultKind kind, bool active,
                                     double amount) {
    Contactor& contactor = where == ContactorAt::drive_output ? output_
                           : where == ContactorAt::drive_side ? contactors_[pump].drive_side
                                                              : contactors_[pump].line_side;
    contactor.set_fault(kind, active, amount);
    unsettled_ = true;
}

void PowerTrain::set_drive_fault(config::FaultKind kind, bool active, double amount) {
    drive_.set_fault(kind, active, amount);
    rewire();
}

void PowerTrain::set_line_fault(config::FaultKind kind, bool active, double amount) {
    line_.set_fault(kind, active, amount);
    rewire();
}

void PowerTrain::set_pump_trip(std::size_t pump, bool active) {
    pump_tripped_[pump] = active;
    if (active) {
        contactors_[pump].drive_side.fall_out(noise_);
        contactors_[pump].line_side.fall_out(noise_);
    }
    unsettled_ = true;
}

void PowerTrain::set_emergency_stop(bool active) {
    emergency_ = active;
    if (active) fall_out_all();
    unsettled_ = true;
}

}  // namespace freshet::plant
