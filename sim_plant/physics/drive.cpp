// The drive's ramps, start, trip and synchronism: see the header.
//
// One reason to change: how the drive behaves.
#include "sim_plant/physics/drive.hpp"

#include <algorithm>
#include <cmath>

namespace freshet::plant {

namespace {
constexpr double search_s = 1;
constexpr double turning_too_fast_hz = 3;
constexpr double never_in_sync_deg = 40;
constexpr double escape_hz = 0.3;

/// Loss at an output power, from the efficiency points (output divided by rated output).
double loss_at(const std::vector<config::EfficiencyPoint>& points, double rated_w, double load) {
    const auto loss = [&](const config::EfficiencyPoint& p) {
        return p.load_ratio * rated_w * (1 / p.efficiency - 1);
    };
    if (points.empty()) return 0;
    if (load <= points.front().load_ratio) return loss(points.front());
    for (std::size_t i = 1; i < points.size(); ++i) {
        const config::EfficiencyPoint& a = points[i - 1];
        const config::EfficiencyPoint& b = points[i];
        if (load <= b.load_ratio)
            return loss(a) + (loss(b) - loss(a)) * (load - a.load_ratio) / (b.load_ratio - a.load_ratio);
    }
    return load * rated_w * (1 / points.back().efficiency - 1);
}
}  // namespace

Drive::Drive(const config::Drive& data, double motor_v, double motor_hz, double motor_w)
    : data_(data),
      synchroniser_({data.slew_hz_s, data.sync_window_deg, data.sync_hold_s, motor_v}),
      volts_per_hertz_(motor_v / motor_hz) {
    constexpr double load_max = 1.65;
    loss_scale_ = (loss_nodes - 1) / (load_max * motor_w);
    for (std::size_t i = 0; i < loss_.size(); ++i)
        loss_[i] = loss_at(data.efficiency, motor_w, load_max * static_cast<double>(i) / (loss_nodes - 1));
}

void Drive::start(double turning_hz) {
    if (turning_hz > turning_too_fast_hz && !data_.flying_start) {
        trip();
        return;
    }
    running_ = true;
    frequency_hz_ = voltage_v_ = 0;
    searching_ = data_.flying_start && turning_hz > 0;
    search_left_s_ = searching_ ? search_s : 0;
}

void Drive::stop() {
    running_ = synchronising_ = captured_ = searching_ = false;
    synchroniser_.release();
    frequency_hz_ = voltage_v_ = search_left_s_ = 0;
}

void Drive::order(bool run, bool synchronise, double reference_hz, double turning_hz, const Line& line) {
    run_ordered_ = run;
    refer(reference_hz);
    if (running_ && (!run || not_ready_)) stop();
    if (!running_ && run && ready()) start(turning_hz);
    const bool wants = synchronise && running_ && line.live();
    if (wants && !synchronising_) synchroniser_.engage(line.frequency_hz());
    if (!wants) {
        synchroniser_.release();
        captured_ = false;
    }
    synchronising_ = wants;
}

void Drive::advance_synchronising(double dt_s, const Line& line) {
    if (search_left_s_ > 0) return;
    // The line has already turned through this step. The drive must turn, too, before the angles are
    // compared.
    turn(frequency_hz_, dt_s);
    const double off = frequency_hz_ - line.frequency_hz();
    if (!captured_) captured_ = std::abs(off) <= capture_hz;
    if (captured_) {
        synchroniser_.advance(dt_s, {line.frequency_hz(), line.voltage_v(), ahead_cycles(line)},
                              frequency_hz_, voltage_v_);
    } else {
        frequency_hz_ += std::clamp(-off, -data_.ramp_down_hz_s * dt_s, data_.ramp_up_hz_s * dt_s);
        voltage_v_ = volts_per_hertz_ * frequency_hz_;
    }
}

void Drive::trip() {
    stop();
    tripped_ = true;
    lock_left_s_ = data_.restart_lock_s;
}

void Drive::watch_lock(bool supply_healthy, double turning_hz) {
    supply_healthy_ = supply_healthy;
    if (searching_ && search_left_s_ <= 0) {
        frequency_hz_ = turning_hz;
        voltage_v_ = volts_per_hertz_ * turning_hz;
        searching_ = false;
    }
    if (tripped_ && !trip_fault_ && lock_left_s_ <= 0 && !run_ordered_) tripped_ = false;
}

void Drive::set_fault(config::FaultKind kind, bool active, double amount) {
    using config::FaultKind;
    switch (kind) {
        case FaultKind::trip:
            trip_fault_ = active;
            if (active) trip();
            break;
        case FaultKind::never_in_sync:
            synchroniser_.set_bias_cycles(active ? (amount != 0 ? amount : never_in_sync_deg) / 360 : 0);
            break;
        case FaultKind::slips_out_of_sync:
            synchroniser_.set_escape_hz(active ? (amount != 0 ? amount : escape_hz) : 0);
            break;
        case FaultKind::loses_reference:
            reference_lost_ = active;
            if (active && amount > 0) reference_hz_ = amount;
            break;
        case FaultKind::not_ready:
            not_ready_ = active;
            break;
        default:
            break;
    }
}

}  // namespace freshet::plant
