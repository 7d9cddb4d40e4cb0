// The arrest time against the noise and the lag of the level transmitter.
// One reason to change: what the speed may do with the noise of the level.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "config/engineering/checks.hpp"
#include "config/engineering/proposal.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/store.hpp"

namespace freshet::config {

/// Outside the deadband the speed follows the level with the gain 2 A / (arrest m), A the area of the store and m
/// the flow per hertz. The controller smooths the level by a straight line through at most 324 samples of a
/// second, whose end has 2 / sqrt(N) of the noise of a sample (source: the recursive least-squares fit of a
/// straight line, common practice).
void check_arrest(Findings& findings, const Station& station, const core::Settings& settings,
                  const core::FlowTable& flows) {
    if (station.duty == Duty::hold_pressure || station.instruments.level.empty()) return;
    constexpr double longest_memory = 324, gain = 2, noise_of_a_line = 2;
    constexpr double calm_hz = 0.5, lags = 4, every_s = 10;
    const auto& level = station.instruments.level.front();
    const double m3s_per_hz = flows.flow_per_hz(0);
    if (!(m3s_per_hz > 0)) return;
    const double area_m2 = core::store_area_m2(settings, settings.marks.setpoint_m);
    const double smooth_m = noise_of_a_line * level.noise_m / std::sqrt(longest_memory);
    const double by_noise_s = gain * area_m2 * smooth_m / (m3s_per_hz * calm_hz);
    const double needed_s = std::max(by_noise_s, lags * level.lag_s);
    const double arrest_s = settings.demand.arrest_s;
    if (arrest_s >= needed_s) return;
    refuse(findings, "control.demand.arrest",
           fmt::format(
               "arrest is {:g} s, but with a noise of {:g} mm, a lag of {:g} s and a store of {:.0f} m2 the "
               "speed would move by more than {:g} Hz without any change of the water; expected at least "
               "{:.0f} s",
               arrest_s, 1000 * level.noise_m, level.lag_s, area_m2, calm_hz,
               std::ceil(needed_s / every_s) * every_s));
}

}  // namespace freshet::config
