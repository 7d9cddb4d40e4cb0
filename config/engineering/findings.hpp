// What the engineering rules find wrong in a station, and in which value.
// One reason to change: what a finding must say.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace freshet::config {

struct Finding {
    std::string path;     ///< of the value in the station file: "pump.curve[2].head"
    std::string message;  ///< what is wrong; what is expected
};
using Findings = std::vector<Finding>;

inline void refuse(Findings& findings, std::string path, std::string message) {
    findings.push_back({std::move(path), std::move(message)});
}

/// Refuses a list with too few or too many points. Messages call it by `key`.
void check_count(Findings& findings, std::string path, std::string_view key, std::size_t count,
                 std::size_t least, std::size_t most);

}  // namespace freshet::config
