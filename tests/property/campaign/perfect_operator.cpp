// Calculates the bound; see the header.
#include "tests/property/campaign/perfect_operator.hpp"

#include <algorithm>
#include <cmath>

#include "sim_plant/physics/hydraulics.hpp"

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
    plant::Hydraulics water{base.station.station, scenario.initial_level_m};
    double first_s = -1;
    constexpr double step_s = 1;
    for (double t_s = 0; t_s < scenario.duration_s; t_s += step_s) {
        plant::HydraulicInputs inputs;
        inputs.inflow_m3s = at_m3s(scenario.weather.measured_inflow_m3s, t_s);
        if (water.state().level_m > base.station.settings.marks.stop_m) {
            if (first_s < 0) first_s = t_s;
            const double brought = between_pumps_s > 0 ? 1 + std::floor((t_s - first_s) / between_pumps_s)
                                                       : static_cast<double>(pumps);
            const auto on = static_cast<std::size_t>(std::min(brought, static_cast<double>(pumps)));
            std::fill_n(inputs.speed_ratio.begin(), on, 1.0);
        }
        water.step(step_s, inputs);
    }
    return water.state().overflow_m3;
}

}  // namespace freshet::campaign
