// Rain over time. One reason to change: how the rain of a storm is distributed in time.
#include "sim_plant/weather/rainfall.hpp"

#include <algorithm>

namespace freshet::plant {

double cumulative_fraction(const config::RainDistribution& distribution, double duration_fraction) {
    const auto& table = distribution.cumulative;
    if (duration_fraction <= 0 || table.empty()) return 0;
    if (duration_fraction >= 1) return 1;
    const double t = duration_fraction * distribution.span;
    const auto above =
        std::upper_bound(table.begin(), table.end(), t,
                         [](double value, const config::SeriesPoint& p) { return value < p.t_s; });
    if (above == table.begin()) return 0;
    if (above == table.end()) return 1;
    const auto below = above - 1;
    return below->value + (above->value - below->value) * (t - below->t_s) / (above->t_s - below->t_s);
}

double rain_depth_m(const std::vector<config::Storm>& storms, double t_s) {
    double depth_m = 0;
    for (const auto& storm : storms)
        depth_m += storm.depth_m *
                   cumulative_fraction(storm.distribution, (t_s - storm.begins_s) / storm.duration_s);
    return depth_m;
}

}  // namespace freshet::plant
