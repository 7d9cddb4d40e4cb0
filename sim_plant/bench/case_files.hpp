// The files of a case: a scenario and the files that it names, read and checked together.
// One reason to change: another file that a run needs.
#pragma once

#include <string>
#include <tl/expected.hpp>

#include "config/loader/load.hpp"
#include "hal/modbus/field_plan.hpp"

namespace freshet::bench {

struct CaseFiles {
    config::Scenario scenario;
    config::StationFile station;
    modbus::FieldPlan plan;
};

/// Reads a scenario, its station and its field map, or `field_map_file` in place of the scenario's field map.
/// Errors: every mistake in station and field map, one line for each.
tl::expected<CaseFiles, std::string> load_case(const std::string& scenario_file,
                                               const std::string& field_map_file = {});

}  // namespace freshet::bench
