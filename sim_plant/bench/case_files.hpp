// The files of a case: a scenario and what it names, read and checked together.
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

/// Reads a scenario, its station and its field map, or `field_map_file` in place of that one. Errors: all
/// that is wrong in station and field map at once, a line each.
tl::expected<CaseFiles, std::string> load_case(const std::string& scenario_file,
                                               const std::string& field_map_file = {});

}  // namespace freshet::bench
