// The engineering check of a station: findings with figures, rules and the sources of the rules. One reason
// to change: a finding of the check.
//
// The loader has already refused descriptions that contradict themselves. The check does not replace the
// design of a licensed engineer, because rules differ from place to place, and the check leaves many matters
// out.
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
    double figure = 0;   ///< the judged figure, SI
    std::string unit;    ///< of the figure
    std::string rule;    ///< the rule for the figure; empty: for information only
    std::string source;  ///< of the rule
};

/// The flows for which the station is built, when they are known.
struct DesignFlows {
    double average_m3s = 0, peak_m3s = 0;
    std::string from;  ///< the source of the flows, for the text
};

/// All findings, in a fixed order. `file` comes from the loader and therefore does not contradict itself.
std::vector<Finding> examine(const config::StationFile& file, const std::optional<DesignFlows>& flows);

}  // namespace freshet::studies
