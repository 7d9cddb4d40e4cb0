// The inflow of the well. One reason to change: the parts of the inflow.
#include "sim_plant/weather/inflow.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>
#include <vector>

#include "sim_plant/physics/noise.hpp"
#include "sim_plant/weather/calendar.hpp"
#include "sim_plant/weather/rainfall.hpp"
#include "sim_plant/weather/runoff.hpp"
#include "sim_plant/weather/unit_hydrograph.hpp"

namespace freshet::plant {

namespace {

constexpr double usual_grid_s = 10;
constexpr double fine_grid_s = 1;
constexpr std::int64_t hour_ms = 3'600'000;
/// Time constant of the wander of the dry-weather flow, and the time between two draws.
constexpr double wander_time_s = 900;
constexpr double wander_step_s = 60;

/// Cumulative rain on the grid, and its integral over time. Both have values between and beyond the grid
/// points.
struct Rain {
    double grid_s = usual_grid_s, first_s = 0;
    std::vector<double> depth_m, integral_m_s;

    [[nodiscard]] double last_s() const { return first_s + grid_s * static_cast<double>(depth_m.size() - 1); }

    /// Integral of the cumulative depth up to `t_s`. The integral is exact for an intensity that is constant
    /// within each cell.
    [[nodiscard]] double integral_at(double t_s) const {
        if (t_s <= first_s) return 0;
        if (t_s >= last_s()) return integral_m_s.back() + depth_m.back() * (t_s - last_s());
        const auto i = static_cast<std::size_t>((t_s - first_s) / grid_s);
        if (i + 1 >= depth_m.size()) return integral_m_s.back();
        const double x = t_s - first_s - static_cast<double>(i) * grid_s;
        return integral_m_s[i] + depth_m[i] * x + 0.5 * (depth_m[i + 1] - depth_m[i]) * x * x / grid_s;
    }
};

Rain rain_of(const std::vector<config::Storm>& storms, double grid_s) {
    Rain rain;
    rain.grid_s = grid_s;
    if (storms.empty()) {
        rain.depth_m = rain.integral_m_s = {0.0};
        return rain;
    }
    double begins_s = std::numeric_limits<double>::max(), ends_s = std::numeric_limits<double>::lowest();
    for (const auto& storm : storms) {
        begins_s = std::min(begins_s, storm.begins_s);
        ends_s = std::max(ends_s, storm.begins_s + storm.duration_s);
    }
    // A dry cell before the first drop, so that the intensity before the storm is zero.
    const double first_cell = std::floor(begins_s / grid_s) - 1;
    const auto cells = static_cast<std::size_t>(std::ceil(ends_s / grid_s) - first_cell);
    rain.first_s = first_cell * grid_s;
    rain.depth_m.reserve(cells + 1);
    rain.integral_m_s.reserve(cells + 1);
    for (std::size_t i = 0; i <= cells; ++i) {
        rain.depth_m.push_back(rain_depth_m(storms, (first_cell + static_cast<double>(i)) * grid_s));
        rain.integral_m_s.push_back(
            i == 0 ? 0.0 : rain.integral_m_s[i - 1] + 0.5 * grid_s * (rain.depth_m[i - 1] + rain.depth_m[i]));
    }
    return rain;
}

/// Flow at grid points from `first_s`. The flow before and after these points is zero.
struct Response {
    double first_s = 0;
    std::vector<double> flow_m3s;
};

Response sewer_response(const Rain& rain, const config::SewerTriangle& triangle, double area_m2) {
    // The grid cannot show a response shorter than a cell, so the response is at least a cell long.
    const double peak_s = std::max(triangle.time_to_peak_s, rain.grid_s);
    const double recession_s = std::max(triangle.time_to_peak_s * triangle.recession_ratio, rain.grid_s);
    const double slope_up = 2.0 * triangle.r * area_m2 / (peak_s + recession_s) / peak_s;
    const double slope_down = slope_up * peak_s / recession_s;

    Response response;
    response.first_s = rain.first_s;
    const double ends_s = rain.last_s() + peak_s + recession_s;
    const auto count = static_cast<std::size_t>(std::ceil((ends_s - rain.first_s) / rain.grid_s)) + 1;
    response.flow_m3s.resize(count);
    for (std::size_t i = 0; i + 1 < count; ++i) {
        const double t_s = rain.first_s + static_cast<double>(i) * rain.grid_s;
        const double flow_m3s = slope_up * rain.integral_at(t_s) -
                                (slope_up + slope_down) * rain.integral_at(t_s - peak_s) +
                                slope_down * rain.integral_at(t_s - peak_s - recession_s);
        // Differences of large integrals may be a little below zero.
        response.flow_m3s[i] = std::max(flow_m3s, 0.0);
    }
    return response;
}

Response surface_response(const Rain& rain, const config::Catchment& catchment) {
    const double grid_s = rain.grid_s;
    const double concentration_s = catchment.time_of_concentration_s;
    const auto burst_cells =
        static_cast<std::size_t>(std::max(1.0, std::round(burst_s(concentration_s) / grid_s)));
    const double peak_s = time_to_peak_s(static_cast<double>(burst_cells) * grid_s, concentration_s);

    // One burst of unit volume. The samples are scaled, so that the straight lines between them contain
    // exactly this volume.
    const double last_ratio = dimensionless_unit_hydrograph.back().time_ratio;
    std::vector<double> unit(static_cast<std::size_t>(std::ceil(last_ratio * peak_s / grid_s)) + 1);
    double sum = 0;
    for (std::size_t i = 0; i < unit.size(); ++i) {
        unit[i] = dimensionless_flow_ratio(static_cast<double>(i) * grid_s / peak_s);
        sum += unit[i];
    }
    for (double& ordinate : unit) ordinate /= sum * grid_s;

    Response response;
    response.first_s = rain.first_s;
    response.flow_m3s.resize(rain.depth_m.size() + burst_cells + unit.size());
    double runoff_before_m = 0;
    // The first cell is dry. The bursts count from the beginning of the storm.
    for (std::size_t from = 1; from + 1 < rain.depth_m.size(); from += burst_cells) {
        const std::size_t to = std::min(from + burst_cells, rain.depth_m.size() - 1);
        const double runoff_m = plant::runoff_depth_m(rain.depth_m[to], catchment.curve_number);
        const double excess_m3 = (runoff_m - runoff_before_m) * catchment.surface_area_m2;
        runoff_before_m = runoff_m;
        if (excess_m3 <= 0) continue;
        for (std::size_t i = 0; i < unit.size(); ++i) response.flow_m3s[from + i] += excess_m3 * unit[i];
    }
    return response;
}

/// Adds the part of a response that is within the run. `flow_m3s` is on the same grid, from t = 0.
void add_within_run(const Response& response, double grid_s, std::vector<double>& flow_m3s) {
    const auto shift = static_cast<std::int64_t>(std::llround(response.first_s / grid_s));
    for (std::size_t i = 0; i < response.flow_m3s.size(); ++i) {
        const std::int64_t at = shift + static_cast<std::int64_t>(i);
        if (at >= 0 && at < static_cast<std::int64_t>(flow_m3s.size()))
            flow_m3s[static_cast<std::size_t>(at)] += response.flow_m3s[i];
    }
}

/// Slow wander with mean zero and standard deviation 1: a first-order autoregression, drawn once a minute.
UniformSeries wander(double duration_s, std::uint64_t seed) {
    NoiseSource noise(seed);
    const double keep = std::exp(-wander_step_s / wander_time_s);
    const double add = std::sqrt(1 - keep * keep) / NoiseSource::bell_deviation;
    std::vector<double> values{noise.bell() / NoiseSource::bell_deviation};
    const auto count = static_cast<std::size_t>(std::ceil(duration_s / wander_step_s)) + 1;
    while (values.size() < count) values.push_back(keep * values.back() + add * noise.bell());
    return {0, wander_step_s, values};
}

void add_dry_weather(const config::DryWeather& dry, std::int64_t start_ms, double duration_s,
                     std::uint64_t seed, double grid_s, std::vector<double>& flow_m3s) {
    const bool wanders = dry.variation_ratio > 0;
    const UniformSeries variation = wander(wanders ? duration_s : 0, seed);
    for (std::size_t i = 0; i < flow_m3s.size(); ++i) {
        const double t_s = static_cast<double>(i) * grid_s;
        const double factor = dry_weather_factor(dry, start_ms + std::llround(t_s * 1000));
        const double varied = wanders ? 1 + dry.variation_ratio * variation.at(t_s) : 1.0;
        flow_m3s[i] += dry.average_m3s * factor * std::max(varied, 0.0);
    }
}

/// A measured series often has points between the points of the usual grid. Such a series gets a finer grid.
double grid_for(const std::vector<config::SeriesPoint>& measured) {
    const bool even = std::all_of(measured.begin(), measured.end(), [](const config::SeriesPoint& p) {
        return p.t_s == usual_grid_s * std::round(p.t_s / usual_grid_s);
    });
    return even ? usual_grid_s : fine_grid_s;
}

void read_measured(const std::vector<config::SeriesPoint>& measured, double grid_s,
                   std::vector<double>& flow_m3s) {
    std::size_t next = 0;
    for (std::size_t i = 0; i < flow_m3s.size(); ++i) {
        const double t_s = static_cast<double>(i) * grid_s;
        while (next < measured.size() && measured[next].t_s <= t_s) ++next;
        if (next == 0 || next == measured.size()) {
            flow_m3s[i] = next == 0 ? measured.front().value : measured.back().value;
            continue;
        }
        const auto& before = measured[next - 1];
        const auto& after = measured[next];
        flow_m3s[i] =
            before.value + (after.value - before.value) * (t_s - before.t_s) / (after.t_s - before.t_s);
    }
}

}  // namespace

struct Inflow::Parts {
    UniformSeries flow, rain;
};

Inflow::Parts Inflow::prepare(const config::Weather& weather, std::int64_t start_ms, double duration_s,
                              std::uint64_t seed) {
    const double grid_s = grid_for(weather.measured_inflow_m3s);
    std::vector<double> flow_m3s(static_cast<std::size_t>(std::ceil(duration_s / grid_s)) + 1, 0.0);
    const Rain rain = rain_of(weather.storms, grid_s);

    if (!weather.measured_inflow_m3s.empty()) {
        read_measured(weather.measured_inflow_m3s, grid_s, flow_m3s);
    } else {
        add_dry_weather(weather.dry, start_ms, duration_s, seed, grid_s, flow_m3s);
        const auto& catchment = weather.catchment;
        for (const auto& triangle : catchment.triangles)
            add_within_run(sewer_response(rain, triangle, catchment.sewered_area_m2), grid_s, flow_m3s);
        if (catchment.surface_area_m2 > 0)
            add_within_run(surface_response(rain, catchment), grid_s, flow_m3s);
    }
    return {UniformSeries(0, grid_s, flow_m3s), UniformSeries(rain.first_s, grid_s, rain.depth_m)};
}

Inflow::Inflow(Parts&& parts) : flow_(std::move(parts.flow)), rain_(std::move(parts.rain)) {}

Inflow::Inflow(const config::Weather& weather, std::int64_t start_ms, double duration_s, std::uint64_t seed)
    : Inflow(prepare(weather, start_ms, duration_s, seed)) {}

double dry_weather_factor(const config::DryWeather& dry, std::int64_t time_ms) {
    const auto hourly = [&dry](std::int64_t at_ms) {
        const auto hour = static_cast<std::size_t>(time_of_day_ms(at_ms) / hour_ms);
        return is_weekend(at_ms) ? dry.weekend[hour] : dry.weekday[hour];
    };
    // Each hour's factor is valid at the middle of the hour.
    const std::int64_t half_back_ms = time_ms - hour_ms / 2;
    const std::int64_t into_ms = time_of_day_ms(half_back_ms) % hour_ms;
    const double share = static_cast<double>(into_ms) / static_cast<double>(hour_ms);
    const double before = hourly(half_back_ms);
    return before + share * (hourly(half_back_ms + hour_ms) - before);
}

}  // namespace freshet::plant
