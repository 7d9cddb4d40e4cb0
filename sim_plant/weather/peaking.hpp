// Ratios of peak to average dry-weather flow by population, as design standards print them.
// One reason to change: a published peaking formula.
//
// Each is a planning figure for a community, valid roughly from one thousand to a million people; none says
// what a given day will bring. `population_thousands` is above zero everywhere. Left out: industry,
// infiltration, storage on the way.
#pragma once

#include <cmath>

namespace freshet::plant {

/// Harmon: peak over average = 1 + 14 / (4 + sqrt P), P in thousands.
/// Source: W. G. Harmon (1918), as a textbook's Eq. 4.4 prints it (tests/reference/weather/inflow_test.cpp
/// names the copy). Falls from 4.5 at P = 0 towards 1.
inline double harmon_peaking_factor(double population_thousands) {
    return 1.0 + 14.0 / (4.0 + std::sqrt(population_thousands));
}

/// Ten-States: peak hourly over average = (18 + sqrt P) / (4 + sqrt P), P in thousands. The same curve as
/// Harmon's. Source: Great Lakes - Upper Mississippi River Board, Recommended Standards for Wastewater
/// Facilities, as quoted at sd-w.com/channel_flow/sewer_houses; that the formula stands in the note to Fig. 1
/// is from memory.
inline double ten_states_peaking_factor(double population_thousands) {
    const double root = std::sqrt(population_thousands);
    return (18.0 + root) / (4.0 + root);
}

}  // namespace freshet::plant
