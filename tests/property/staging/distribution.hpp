// Quantiles of figures over the cases of a suite.
// One reason to change: which quantiles a report shows.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <ostream>
#include <vector>

namespace freshet::staging_campaign {

/// Prints the number of values and their quantiles: least, 5 %, quarter, half, three quarters, 95 %, greatest.
inline void print_quantiles(std::ostream& out, std::vector<double> values) {
    std::ranges::sort(values);
    out << values.size() << " runs:";
    for (const double share : std::array{0.0, 0.05, 0.25, 0.5, 0.75, 0.95, 1.0})
        if (!values.empty())
            out << " "
                << values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1) + 0.5)];
    out << " (least, 5 %, quarter, half, three quarters, 95 %, greatest)\n";
}

}  // namespace freshet::staging_campaign
