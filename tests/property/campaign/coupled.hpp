// The real bench, scan by scan. The judge of the laws sees every scan.
// One reason to change: the figures that a run of the campaign gives.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "config/loader/load.hpp"
#include "config/scenario.hpp"
#include "controller/core/controller.hpp"
#include "controller/record/run_summary.hpp"
#include "hal/modbus/field_plan.hpp"
#include "tests/property/laws.hpp"

namespace freshet::campaign {

/// A shipped scenario with its station, map and a controller at rest. Made once, and copied for every run.
struct Base {
    config::Scenario scenario;
    config::StationFile station;
    modbus::FieldPlan plan;
    core::Controller controller;
};
/// Reads config/scenarios/NAME.toml. Throws std::runtime_error with the messages of the loader.
Base load_base(const std::string& name);

struct Outcome {
    std::uint64_t digest = 0;  ///< of every scan's advice and of the station's figures at the end
    std::int64_t scans = 0;
    std::vector<laws::Broken> broken;  ///< of the first scan that broke a law
    double broken_s = 0;               ///< its time after the start
    double suction_dry_s = 0;  ///< time in which a fed pump turned with the level below the suction level
    int transfers_per_hour_max = 0;  ///< begun in any sixty minutes
    int starts_per_hour_max = 0;     ///< of one pump in any sixty minutes
    double level_at_end_m = 0;       ///< true level
    record::RunSummary summary;      ///< without the controller's alarms
};

struct Watch {
    bool laws = true;
    bool digest = true;
};

/// Runs `scenario` at the station of `base`.
Outcome run(const Base& base, const config::Scenario& scenario, const Watch& watch);

}  // namespace freshet::campaign
