// Orders, contacts, supply and faults of the electrical side: see the header.
//
// One reason to change: which contacts are closed, and which source feeds each motor.
#include "sim_plant/physics/power_train.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>

#include "sim_plant/physics/parallel_sources.hpp"

namespace freshet::plant {

namespace {
constexpr double part_max_s = 0.005;
constexpr double low_voltage_ride_through_s = 0.02;
constexpr double overcurrent_trip_ratio = 2;  // of the drive's current limit
constexpr double settled_mismatch_hz = 0.25;
/// A settled motor on the line keeps its figures for a second while its load changes by less than this share
/// of rated torque.
constexpr double hold_share = 3e-4;
/// The motor on the drive keeps its slip and current, and the drive keeps its loss, while torque or power
/// change by less than this share of the rated value.
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
    parallel_x_ohm_ = parallel_reactance_ohm(plate);
    find_current_limit();
    rewire();
    publish_slow();
    state_.line_voltage_v = line_.voltage_v();
    state_.line_frequency_hz = line_.frequency_hz();
}

/// The torque at which the settled motor draws the drive's limit, and the current at which the drive trips.
void PowerTrain::find_current_limit() {
    const double limit_a = station_.drive.current_limit_a;
    limit_torque_nm_ = trip_current_a_ = std::numeric_limits<double>::infinity();
    if (limit_a <= 0) return;
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
    state_.drive_ahead_rad = ahead_rad();
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
    if (drive_.running()) drive_.trip();
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
    const LiveSide line{line_.voltage_v(), line_.frequency_hz(), line_.cycles()};
    const LiveSide drive{drive_.voltage_v(), drive_.frequency_hz(), drive_.cycles()};
    const LiveSide& source = onto_line ? line : drive;
    const MotorShaft& shaft = shafts_[pump];
    LiveSide terminals{0, source.frequency_hz, source.cycles};
    switch (shaft.mode) {
        case MotorMode::on_line:
            terminals = line;
            break;
        case MotorMode::on_drive:
            terminals = drive;
            break;
        case MotorMode::coasting:
            if (shaft.residual_v > 0)
                terminals = {shaft.residual_v, shaft.speed_rad_s / model_.field_speed_per_hz,
                             shaft.residual_cycles};
            break;
        case MotorMode::at_rest:
        case MotorMode::on_both:
            break;
    }
    if (closing_count_ == closings_.size()) return;
    ClosingRecord& entry = closings_[closing_count_++];
    entry = closing_record(model_, shaft, station_.pump.inertia_kgm2, rated_speed_rad_s_,
                           state_.motors[pump].torque_nm, source, terminals);
    entry.at_s = at_s;
    entry.pump = static_cast<std::uint8_t>(pump);
    entry.contactor = where;
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
            // A start on the drive begins at zero frequency, and the shaft follows the frequency from rest.
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

void PowerTrain::publish_slow() {
    state_.drive_ready = drive_.ready();
    state_.drive_running = drive_.running();
    state_.drive_tripped = drive_.tripped();
    state_.drive_in_sync = drive_.in_sync();
    state_.output_closed = output_.closed();
    state_.output_auxiliary = output_.auxiliary_closed();
    state_.on_generator = line_.on_generator();
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
