// Calculates the flows of the combinations; see the header.
#include "tests/property/staging/capacity.hpp"

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

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

/// Synchronous speed of the motors at a frequency, over the pump's rated speed.
double synchronous_ratio(const config::Station& station, double frequency_hz) {
    constexpr double s_per_min = 60;
    return 2 * s_per_min * frequency_hz / station.motor.poles / station.pump.rated_speed_rpm;
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

double flow_at_drive_hz_m3s(const config::Station& station, std::size_t line_pumps, double drive_hz,
                            double level_m) {
    const config::Nameplate& plate = station.motor.nameplate;
    const double rated_ratio = plate.speed_rpm / station.pump.rated_speed_rpm;
    const double rated_slip = synchronous_ratio(station, plate.frequency_hz) - rated_ratio;
    const double line_ratio = line_pumps > 0 ? line_speed_ratio(station, line_pumps, level_m) : 1;
    std::vector<double> speeds(line_pumps + 1, line_ratio);
    speeds.back() = synchronous_ratio(station, drive_hz) - rated_slip;
    constexpr int passes = 4;
    for (int pass = 0; pass < passes; ++pass) {
        const double shaft_w = doubles::operating_point(station, speeds, level_m).shaft_power_w[line_pumps];
        const double torque_share = shaft_w / speeds.back() / (plate.power_w / rated_ratio);
        speeds.back() = synchronous_ratio(station, drive_hz) - rated_slip * torque_share;
    }
    return doubles::operating_point(station, speeds, level_m).total_flow_m3s;
}

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
