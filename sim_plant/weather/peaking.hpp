// The ratio of peak to average dry-weather flow by population, as design standards print it.
// One reason to change: a published peaking formula.
//
// A planning figure for a community, valid roughly from one thousand to a million people. The figure does not
// predict a single day. `population_thousands` is above zero. Leaves out: industry, infiltration, storage in
// the sewers.
#pragma once

#include <cmath>

namespace freshet::plant {

/// Peak hourly flow divided by average flow = (18 + sqrt P) / (4 + sqrt P), P in thousands. The same curve as
/// Harmon's, 1 + 14 / (4 + sqrt P). The ratio falls from 4.5 at P = 0 towards 1.
/// Sources: Great Lakes - Upper Mississippi River Board, Recommended Standards for Wastewater Facilities, as
/// quoted at sd-w.com/channel_flow/sewer_houses. The place of the formula, the note to Fig. 1, is from
/// memory. W. G. Harmon (1918), as a textbook's Eq. 4.4 prints the formula
/// (tests/reference/weather/inflow_test.cpp names the copy).
inline double peaking_factor(double population_thousands) {
    const double root = std::sqrt(population_thousands);
    return (18.0 + root) / (4.0 + root);
}

}  // namespace freshet::plant
