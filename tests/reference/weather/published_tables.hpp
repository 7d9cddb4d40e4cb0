// Reads the tables that these tests compare with. One reason to change: how the tables are kept.
#pragma once

#include <cstdlib>
#include <fstream>
#include <string>
#include <vector>

#include "config/scenario.hpp"

namespace freshet::tests {

/// Rows of numbers of a comma-separated file, without comments and heading. Empty when the file cannot be
/// read.
inline std::vector<std::vector<double>> rows_of(const std::string& path) {
    std::ifstream file(path);
    std::vector<std::vector<double>> rows;
    bool heading = true;
    for (std::string line; std::getline(file, line);) {
        if (line.empty() || line.front() == '#') continue;
        if (heading) {
            heading = false;
            continue;
        }
        std::vector<double> row;
        const char* at = line.c_str();
        for (char* end = nullptr;; at = end + 1) {
            row.push_back(std::strtod(at, &end));
            if (*end != ',') break;
        }
        rows.push_back(row);
    }
    return rows;
}

/// A rain distribution of config/storms.
inline config::RainDistribution shipped_distribution(const std::string& name) {
    config::RainDistribution distribution{name, {}, 0};
    for (const auto& row : rows_of(std::string(FRESHET_SOURCE_DIR) + "/config/storms/" + name + ".csv"))
        distribution.cumulative.push_back({row.at(0), row.at(1)});
    if (!distribution.cumulative.empty()) distribution.span = distribution.cumulative.back().t_s;
    return distribution;
}

}  // namespace freshet::tests
