// The engineering check of a station: what a reviewer would look at, with figures, rules and where the rules
// come from. One reason to change: something that a check looks at.
//
// It judges what is well described; descriptions that contradict themselves are refused by the loader before.
// A check is no substitute for the design of a licensed engineer: rules differ by place, and many matters are
// not looked at.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "config/loader/load.hpp"

namespace freshet::studies {

enum class Severity : std::uint8_t { info, warning, error };

struct Finding {
    Severity severity = Severity::info;
    std::string about;   ///< stable short name, for programs: "main_velocity"
    std::string says;    ///< a sentence with the figures and their units
    double figure = 0;   ///< the figure judged, SI
    std::string unit;    ///< of the figure
    std::string rule;    ///< what it is held against; empty: nothing, it is for information
    std::string source;  ///< of the rule
};

/// Flows that the station is for, where they are known.
struct DesignFlows {
    double average_m3s = 0, peak_m3s = 0;
    std::string from;  ///< where they come from, for the text
};

/// All findings, in a fixed order. `file` as loaded, so free of contradictions.
std::vector<Finding> examine(const config::StationFile& file, const std::optional<DesignFlows>& flows);

}  // namespace freshet::studies
