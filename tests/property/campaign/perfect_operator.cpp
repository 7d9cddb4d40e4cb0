// The bound; see the header.
#include "tests/property/campaign/perfect_operator.hpp"

#include <algorithm>
#include <cmath>

#include "controller/core/flow_table.hpp"

namespace freshet::campaign {
namespace {

double at_m3s(const std::vector<config::SeriesPoint>& series, double t_s) {
    for (std::size_t i = 1; i < series.size(); ++i) {
        if (t_s > series[i].t_s) continue;
        const config::SeriesPoint& a = series[i - 1];
        const config::SeriesPoint& b = series[i];
        return a.value + (b.value - a.value) * (t_s - a.t_s) / (b.t_s - a.t_s);
    }
    return series.back().value;
}

}  // namespace

double least_overflow_m3(const Base& base, const config::Scenario& scenario, std::size_t pumps,
                         double between_pumps_s) {
    const core::Settings& settings = base.station.settings;
    const config::Well& well = base.station.station.well;
    const core::FlowTable flows{settings};
    double level_m = scenario.initial_level_m, overflow_m3 = 0, first_s = -1;
    constexpr double step_s = 1;
    for (double t_s = 0; t_s < scenario.duration_s; t_s += step_s) {
        double pumped_m3s = 0;
        if (level_m > settings.marks.stop_m) {
            if (first_s < 0) first_s = t_s;
            const double brought = between_pumps_s > 0 ? 1 + std::floor((t_s - first_s) / between_pumps_s)
                                                       : static_cast<double>(pumps);
            const double on = std::min(brought, static_cast<double>(pumps));
            if (on > 0) pumped_m3s = flows.total_m3s(static_cast<std::size_t>(on), 0, level_m);
        }
        const double head_m = std::max(level_m - well.overflow_level_m, 0.0);
        const double spilt_m3s =
            well.overflow_coefficient * well.overflow_width_m * head_m * std::sqrt(head_m);
        overflow_m3 += spilt_m3s * step_s;
        level_m += step_s * (at_m3s(scenario.weather.measured_inflow_m3s, t_s) - pumped_m3s - spilt_m3s) /
                   core::store_area_m2(settings, level_m);
    }
    return overflow_m3;
}

}  // namespace freshet::campaign
