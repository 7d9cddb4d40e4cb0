// A station of the campaign as the foreseeing operator sees it.
// One reason to change: where the figures of the foreseeing operator come from.
#include <algorithm>
#include <cmath>
#include <limits>

#include "config/engineering/derive.hpp"
#include "config/numerics/root.hpp"
#include "controller/core/steady_flow.hpp"
#include "sim_plant/weather/inflow.hpp"
#include "tests/property/staging/foreseeing.hpp"
#include "tests/property/staging/ideal_operators.hpp"
#include "tests/property/staging/random_inflow.hpp"
#include "tests/property/staging/seconds.hpp"

namespace freshet::staging_campaign {
namespace {

/// The shortest times of the prompt operator, who brings on every pump at an inflow that no pump carries.
struct Times {
    double start_s = std::numeric_limits<double>::infinity();
    double hand_over_s = std::numeric_limits<double>::infinity();
};

Times shortest_times(const RandomStation& station) {
    constexpr double duration_s = 1800, no_pump_carries = 1.5;
    const std::size_t pump_count = station.given.pump_count;
    const double inflow_m3s =
        no_pump_carries * station.capacity.full_m3s(pump_count, reference_level_m(station));
    plant::Plant plant{station.real,
                       constant_inflow(inflow_m3s, 1, duration_s, reference_level_m(station), 1),
                       station.settings.scan_ms};
    PromptOperator prompt{station, {}};
    Times times;
    double ordered_s = 0, full_s = 0;
    bool on_drive_before = false, full = false;
    const double scan_s = station.settings.scan_ms * s_per_ms;
    for (double t_s = 0; t_s < duration_s && pumps_running(plant, pump_count) < pump_count; t_s += scan_s) {
        const plant::Orders& orders = prompt.decide(plant);
        const bool on_drive = std::ranges::any_of(orders.pumps, &plant::PumpOrders::drive_side_close);
        if (on_drive && !on_drive_before) ordered_s = t_s;
        if (!on_drive && on_drive_before && full)
            times.hand_over_s = std::min(times.hand_over_s, t_s - full_s);
        on_drive_before = on_drive;
        plant.step(orders);
        const plant::PowerTrainState& electrical = plant.electrical();
        const bool at_line = electrical.drive_running &&
                             std::abs(electrical.drive_frequency_hz - electrical.line_frequency_hz) <
                                 station.settings.drive.tolerance_hz;
        if (at_line && !full) {
            full_s = t_s + scan_s;
            times.start_s = std::min(times.start_s, full_s - ordered_s);
        }
        full = at_line || (full && on_drive);
    }
    return times;
}

/// The level at which the well holds a volume above the floor.
double level_at_m(const config::Station& station, double volume_m3) {
    const double top_m = station.well.storage.back().level_m;
    const auto more_m3 = [&](double level_m) {
        return config::volume_between_m3(station, 0, level_m) - volume_m3;
    };
    return more_m3(top_m) <= 0 ? top_m : config::root_between(more_m3, 0, top_m);
}

Foresight foresight_of(const RandomStation& station) {
    const config::Station& real = station.real;
    const config::Well& well = real.well;
    const Times times = shortest_times(station);
    Foresight seen;
    seen.pumps = station.given.pump_count;
    seen.start_s = times.start_s;
    seen.hand_over_s = times.hand_over_s;
    // The first water comes shortly before the minimum flow (source: the affinity law; the head at no flow
    // carries the lift from about nine tenths of the speed of minimum flow on, common practice).
    constexpr double before_minimum_flow = 0.9;
    const double minimum_hz = core::minimum_flow_speed_hz(station.settings, 0, reference_level_m(station));
    seen.delivers_s = before_minimum_flow * minimum_hz / station.given.supply.frequency_hz * seen.start_s;
    seen.stop_m3 = config::volume_between_m3(real, 0, station.settings.marks.stop_m);
    seen.crest_m3 = config::volume_between_m3(real, 0, well.overflow_level_m);
    constexpr double above_crest_m = 0.6;
    seen.top_m3 = config::volume_between_m3(
        real, 0, std::min(well.overflow_level_m + above_crest_m, well.storage.back().level_m));
    seen.full_m3s = [&station](std::size_t pumps, double volume_m3) {
        return station.capacity.full_m3s(pumps, level_at_m(station.real, volume_m3));
    };
    seen.least_m3s = [&station](std::size_t line_pumps, double volume_m3) {
        return station.capacity.least_m3s(line_pumps, level_at_m(station.real, volume_m3));
    };
    // Francis, as the plant's well (source: the header of sim_plant/physics/well.hpp).
    seen.weir_m3s = [&station](double volume_m3) {
        const config::Well& real_well = station.real.well;
        const double head_m = std::max(0.0, level_at_m(station.real, volume_m3) - real_well.overflow_level_m);
        return real_well.overflow_coefficient * real_well.overflow_width_m * head_m * std::sqrt(head_m);
    };
    return seen;
}

}  // namespace

ForeseenRun foreseen_run(const RandomStation& station, const config::Scenario& scenario) {
    constexpr double shortest_step_s = 4, steps_most = 1800;
    ForeseenRun run;
    run.station = foresight_of(station);
    run.step_s = std::max(shortest_step_s, std::ceil(scenario.duration_s / steps_most));
    const plant::Inflow inflow{scenario.weather, scenario.start_ms, scenario.duration_s, scenario.seed};
    for (double t_s = 0; t_s + run.step_s <= scenario.duration_s; t_s += run.step_s) {
        double sum_m3s = 0;
        for (double part_s = 0.5; part_s < run.step_s; part_s += 1) sum_m3s += inflow.at_m3s(t_s + part_s);
        run.inflow_m3s.push_back(sum_m3s / run.step_s);
    }
    run.volume_m3 = config::volume_between_m3(station.real, 0, scenario.initial_level_m);
    return run;
}

Foreseen foreseen(const RandomStation& station, const config::Scenario& scenario) {
    const ForeseenRun run = foreseen_run(station, scenario);
    return foresee(run.station, run.inflow_m3s, run.step_s, run.volume_m3);
}

}  // namespace freshet::staging_campaign
