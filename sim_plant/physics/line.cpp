// The supply's wander and its faults: see the header.
//
// One reason to change: how the supply behaves.
#include "sim_plant/physics/line.hpp"

#include <cmath>

namespace freshet::plant {

namespace {
constexpr double frequency_time_constant_s = 20;
constexpr double voltage_time_constant_s = 45;
/// A standby set is weaker than the utility, and its frequency varies more.
constexpr double generator_wander_ratio = 5;
constexpr double generator_strength = 1.0 / 7;

/// One draw of a first-order noise process of unit variance.
double drift(double value, double time_constant_s, MachineNoise& noise) {
    const double keep = 1 - line_draw_every_s / time_constant_s;
    return keep * value + std::sqrt(1 - keep * keep) * noise.normal();
}
}  // namespace

Line::Line(const config::Supply& supply, std::uint64_t seed)
    : supply_(supply),
      noise_(seed),
      frequency_hz_(supply.frequency_hz),
      source_v_(supply.voltage_v),
      wander_hz_(supply.frequency_wander_hz) {
    cycles_ = noise_.uniform();
    settle_source();
    load(0, 0);
}

void Line::settle_source() {
    const double strength =
        generator_ ? (generator_va_ > 0 ? generator_va_ : supply_.short_circuit_va * generator_strength)
                   : supply_.short_circuit_va;
    const double z = strength > 0 ? supply_.voltage_v * supply_.voltage_v / strength : 0;
    const double ratio = supply_.short_circuit_x_over_r;
    r_ohm_ = z / std::sqrt(1 + ratio * ratio);
    x_ohm_ = r_ohm_ * ratio;
    live_ = !lost_ || generator_;
}

void Line::load(double active_w, double reactive_var) {
    if (voltage_v_ > 0) {
        conductance_ = active_w / (voltage_v_ * voltage_v_);
        susceptance_ = reactive_var / (voltage_v_ * voltage_v_);
    }
    const double along = 1 + r_ohm_ * conductance_ + x_ohm_ * susceptance_;
    const double across = x_ohm_ * conductance_ - r_ohm_ * susceptance_;
    bus_share_ = live_ ? (1 - dip_) / std::sqrt(along * along + across * across) : 0;
    voltage_v_ = source_v_ * bus_share_;
}

void Line::draw() {
    until_draw_s_ += line_draw_every_s;
    cycles_ -= std::floor(cycles_);
    const double sway = wander_hz_ * (generator_ ? generator_wander_ratio : 1);
    frequency_noise_hz_ = drift(frequency_noise_hz_, frequency_time_constant_s, noise_);
    voltage_noise_ = drift(voltage_noise_, voltage_time_constant_s, noise_);
    const double next_hz = supply_.frequency_hz + sway * frequency_noise_hz_;
    const double next_v = supply_.voltage_v * (1 + supply_.voltage_wander_ratio * voltage_noise_);
    frequency_slope_ = (next_hz - frequency_hz_) / line_draw_every_s;
    voltage_slope_ = (next_v - source_v_) / line_draw_every_s;
}

void Line::set_fault(config::FaultKind kind, bool active, double amount) {
    using config::FaultKind;
    switch (kind) {
        case FaultKind::dip:
            dip_ = active ? amount : 0;
            break;
        case FaultKind::wander:
            wander_hz_ = active ? amount : supply_.frequency_wander_hz;
            break;
        case FaultKind::lost:
            lost_ = active;
            break;
        case FaultKind::generator:
            generator_ = active;
            generator_va_ = active ? amount : 0;
            break;
        default:
            break;
    }
    settle_source();
    load(0, 0);
}

}  // namespace freshet::plant
