// Rain over time. One reason to change: how a storm's rain is laid out in time.
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

config::RainDistribution uniform_distribution() {
    return {"uniform", {{0, 0}, {1, 1}}, 1};
}

config::RainDistribution triangular_distribution(double peak_fraction, std::size_t points) {
    const double p = peak_fraction;
    std::vector<double> times{p};
    for (std::size_t i = 0; i <= points; ++i)
        times.push_back(static_cast<double>(i) / static_cast<double>(points));
    std::sort(times.begin(), times.end());
    times.erase(std::unique(times.begin(), times.end()), times.end());
    config::RainDistribution distribution{"triangular", {}, 1};
    for (const double x : times)
        distribution.cumulative.push_back({x, x <= p ? x * x / p : 1 - (1 - x) * (1 - x) / (1 - p)});
    return distribution;
}

double greatest_share(const config::RainDistribution& distribution, double window_fraction) {
    // The cumulative curve is made of straight lines, so the greatest window begins or ends at one of its
    // points.
    double greatest = 0;
    for (const auto& point : distribution.cumulative) {
        const double x = point.t_s / distribution.span;
        for (const double from : {x, x - window_fraction})
            greatest = std::max(greatest, cumulative_fraction(distribution, from + window_fraction) -
                                              cumulative_fraction(distribution, from));
    }
    return greatest;
}

}  // namespace freshet::plant
