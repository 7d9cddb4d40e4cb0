// One run at a shipped or an invented station, with the figures that an operator would see.
// One reason to change: a figure of a case, or how a case is made from a shipped station.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "config/scenario.hpp"
#include "config/station.hpp"
#include "controller/core/advice.hpp"
#include "controller/core/settings.hpp"
#include "hal/modbus/field_plan.hpp"
#include "sim_plant/station/plant.hpp"

namespace freshet::operator_cases {

inline constexpr double s_per_min = 60, s_per_h = 3600;

/// Hours with one inflow.
inline std::vector<config::SeriesPoint> constant(double inflow_m3s, double hours) {
    return {{0, inflow_m3s}, {hours * s_per_h, inflow_m3s}};
}

struct Case {
    config::Station station;
    core::Settings settings;
    config::Scenario scenario;
    modbus::FieldPlan plan;
};

/// The station, the field map and the scenario config/scenarios/NAME.toml. Throws std::runtime_error with
/// the messages of the loader.
Case shipped(const std::string& name);

/// The shipped demonstration well with this inflow in place of its weather, from `level_m`.
Case demonstration_well(std::vector<config::SeriesPoint> inflow_m3s, double level_m);

/// A station of `pumps` pumps, each with `ratio` times the flow of the demonstration's pumps against the
/// same heads (an invented station). Store, weir, main, motor, drive and supply are scaled to the flow.
Case scaled_well(std::uint8_t pumps, double ratio, std::vector<config::SeriesPoint> inflow_m3s,
                 double level_m);

/// Derives the settings again after a change of the equipment. Throws std::runtime_error with the first
/// finding when the checks of a station refuse the station.
void derive_again(Case& one);

/// A fault of a device, named as in a scenario file. `lasts_s` of zero: to the end of the run.
config::Fault fault(const std::string& device, config::FaultKind kind, double begins_s = 0,
                    double lasts_s = 0, double amount = 0);

struct Watched {
    double overflow_m3 = 0, level_max_m = 0, level_min_m = 0, suction_dry_s = 0;
    double low_cutoff_m = 0;                          ///< of the settings
    double below_minimum_flow_s = 0, backflow_s = 0;  ///< sums over the pumps
    int starts = 0, line_starts = 0, hand_overs = 0, take_backs = 0;
    int line_stops = 0;  ///< stops from the line that the controller began
    int transfers_per_hour_max = 0;

    int transfers() const { return hand_overs + take_backs; }
};

/// Called after each scan, at `t_s` after the start of the run.
using EachScan = std::function<void(double t_s, const plant::Plant& plant, const core::Advice& advice)>;

Watched watched_run(const Case& one, const EachScan& each = {});

/// Prints the figures of a case on one line.
void print(const std::string& name, const Watched& figures);

}  // namespace freshet::operator_cases
