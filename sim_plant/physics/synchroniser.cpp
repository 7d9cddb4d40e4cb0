// The phase loop: see the header.
//
// One reason to change: how the drive matches the line, or when the drive reports that it is in sync.
#include "sim_plant/physics/synchroniser.hpp"

#include <algorithm>
#include <cmath>

namespace freshet::plant {

namespace {
constexpr double measuring_lag_s = 0.1;
constexpr double gain_per_s = 1.5;
constexpr double braking = 1.2;  // the exact braking curve has 2; a smaller factor leaves room for the wander
constexpr double wanted_slip_max_hz = 0.4;
constexpr double voltage_slew_ratio = 0.05;
}  // namespace

void Synchroniser::engage(double line_hz) {
    measured_hz_ = line_hz;
    release();
}

void Synchroniser::advance(double dt_s, const SynchroniserView& view, double& drive_hz, double& drive_v) {
    measured_hz_ += (view.line_hz - measured_hz_) * std::min(1.0, dt_s / measuring_lag_s);
    const double off = view.ahead_cycles - bias_cycles_;
    const double distance = std::abs(off);
    const double swiftness = std::min(
        {gain_per_s * distance, std::sqrt(braking * settings_.slew_hz_s * distance), wanted_slip_max_hz});
    const double wanted_slip = escape_hz_ != 0 ? escape_hz_ : (off > 0 ? -swiftness : swiftness);
    const double reach = settings_.slew_hz_s * dt_s;
    drive_hz += std::clamp(measured_hz_ + wanted_slip - drive_hz, -reach, reach);
    const double voltage_reach = voltage_slew_ratio * settings_.rated_v * dt_s;
    drive_v += std::clamp(view.line_v - drive_v, -voltage_reach, voltage_reach);

    const bool within = std::abs(view.ahead_cycles) * 360 < settings_.window_deg &&
                        std::abs(drive_hz - view.line_hz) < claim_slip_max_hz &&
                        std::abs(drive_v - view.line_v) < claim_voltage_max_ratio * settings_.rated_v;
    within_s_ = within ? within_s_ + dt_s : 0;
    in_sync_ = within && within_s_ >= settings_.hold_s;
}

}  // namespace freshet::plant
