// Calculates the flows of the combinations; see the header.
#include "tests/property/staging/capacity.hpp"

#include <algorithm>
#include <cmath>
#include <span>

#include "config/numerics/root.hpp"
#include "tests/doubles/operating_point.hpp"

namespace freshet::staging_campaign {
namespace {

/// Speed of `pumps` motors on the line, over the pump's rated speed. A motor with less load than rated
/// turns faster: the slip is in proportion to the torque (source: common practice for small slips).
double line_speed_ratio(const config::Station& station, std::size_t pumps, double level_m) {
    const config::Nameplate& plate = station.motor.nameplate;
    constexpr double s_per_min = 60;
    const double synchronous_rpm = 2 * s_per_min * plate.frequency_hz / station.motor.poles;
    const double rated_slip = 1 - plate.speed_rpm / synchronous_rpm;
    double ratio = 1;
    constexpr int passes = 4;
    for (int pass = 0; pass < passes; ++pass) {
        std::array<double, 8> speeds{};
        speeds.fill(ratio);
        const double shaft_w =
            doubles::operating_point(station, std::span(speeds).first(pumps), level_m).shaft_power_w[0];
        const double torque_share = shaft_w / (ratio * plate.power_w);
        ratio = (1 - rated_slip * torque_share) * synchronous_rpm / station.pump.rated_speed_rpm;
    }
    return ratio;
}

/// Flow of the station while `line_pumps` run at `line_ratio` of rated speed and one more pump delivers
/// its minimum flow.
double least_flow_m3s(const config::Station& station, std::size_t line_pumps, double line_ratio,
                      double level_m) {
    std::array<double, 8> speeds{};
    std::fill_n(speeds.begin(), line_pumps, line_ratio);
    const std::span<const double> running = std::span(speeds).first(line_pumps + 1);
    // The minimum flow falls with the speed by the affinity law (source: common practice).
    const auto above_minimum_m3s = [&](double speed) {
        speeds[line_pumps] = speed;
        return doubles::operating_point(station, running, level_m).flow_m3s[line_pumps] -
               station.pump.minimum_flow_m3s * speed;
    };
    constexpr double slowest = 0.2;
    if (above_minimum_m3s(1) > 0) {
        speeds[line_pumps] =
            above_minimum_m3s(slowest) < 0 ? config::root_between(above_minimum_m3s, slowest, 1) : slowest;
    }
    return doubles::operating_point(station, running, level_m).total_flow_m3s;
}

}  // namespace

Capacity::Capacity(const config::Station& station, double lowest_m, double highest_m)
    : pumps_(station.pump_count), lowest_m_(lowest_m), step_m_((highest_m - lowest_m) / (levels - 1)) {
    for (std::size_t i = 0; i < levels; ++i) {
        const double level_m = lowest_m + static_cast<double>(i) * step_m_;
        for (std::size_t pumps = 0; pumps <= pumps_; ++pumps) {
            const double ratio = pumps > 0 ? line_speed_ratio(station, pumps, level_m) : 1;
            full_[pumps][i] = doubles::capacity_m3s(station, pumps, ratio, level_m);
            if (pumps < pumps_) least_[pumps][i] = least_flow_m3s(station, pumps, ratio, level_m);
        }
    }
}

double Capacity::at(const Table& table, std::size_t pumps, double level_m) const {
    const double place = std::clamp((level_m - lowest_m_) / step_m_, 0.0, static_cast<double>(levels - 1));
    const std::size_t low = std::min(static_cast<std::size_t>(place), levels - 2);
    const double share = place - static_cast<double>(low);
    return table[pumps][low] + share * (table[pumps][low + 1] - table[pumps][low]);
}

}  // namespace freshet::staging_campaign
