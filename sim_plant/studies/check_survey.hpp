// The data that the parts of the check share. Only the files of the check include this file.
// One reason to change: a figure that several parts of the check need.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "controller/core/flow_table.hpp"
#include "sim_plant/studies/check_findings.hpp"

namespace freshet::studies {

using config::Station;
using config::StationFile;
using core::Settings;

inline constexpr double litres = 1000, percent = 100, ms_per_s = 1000;
inline constexpr const char* common_practice = "common practice";

/// Pumps at line frequency, together on the main.
struct Running {
    double total_flow_m3s = 0, header_head_m = 0;      ///< head above the station datum
    double each_flow_m3s = 0, each_shaft_power_w = 0;  ///< of each pump
};

/// Everything that the parts of the check share.
struct Survey {
    const StationFile& file;
    const Station& station;
    const Settings& settings;
    config::Motor motor;  ///< with its circuit
    double setpoint_m = 0, line_ratio = 1;
    core::FlowTable flows;
    std::vector<Running> running;  ///< by number of pumps at line speed, from one
    std::vector<Finding> findings;

    void add(Severity severity, std::string about, std::string says, double figure, std::string unit,
             std::string rule = "", std::string source = "") {
        findings.push_back({severity, std::move(about), std::move(says), figure, std::move(unit),
                            std::move(rule), std::move(source)});
    }
    const Running& all() const { return running.back(); }
    const Running& firm() const { return running[running.size() - 2]; }
};

/// The electrical part: line starts, residual voltage, sync check, nameplate.
void check_electrical(Survey& s);

}  // namespace freshet::studies
