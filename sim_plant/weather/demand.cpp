// A demand that repeats every day. One reason to change: how a daily demand is read.
#include "sim_plant/weather/demand.hpp"

#include <cstddef>

#include "sim_plant/weather/calendar.hpp"

namespace freshet::plant {

namespace {

constexpr double grid_s = 10;

std::vector<double> sampled_day(const std::vector<config::SeriesPoint>& points) {
    const auto count = static_cast<std::size_t>(day_s / grid_s) + 1;
    std::vector<double> samples(count, 0.0);
    if (points.empty()) return samples;
    std::size_t next = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const double t = static_cast<double>(i) * grid_s;
        while (next < points.size() && points[next].t_s <= t) ++next;
        config::SeriesPoint before = next > 0 ? points[next - 1] : points.back();
        config::SeriesPoint after = next < points.size() ? points[next] : points.front();
        if (next == 0) before.t_s -= day_s;
        if (next == points.size()) after.t_s += day_s;
        samples[i] =
            before.value + (after.value - before.value) * (t - before.t_s) / (after.t_s - before.t_s);
    }
    return samples;
}

}  // namespace

DailyDemand::DailyDemand(const std::vector<config::SeriesPoint>& points, std::int64_t start_ms)
    : offset_s_(static_cast<double>(time_of_day_ms(start_ms)) / 1000.0),
      day_(0, grid_s, sampled_day(points)) {}

}  // namespace freshet::plant
