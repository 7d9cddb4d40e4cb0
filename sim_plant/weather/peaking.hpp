// The ratio of peak to average dry-weather flow by population, as design standards print it.
// One reason to change: a published peaking formula.
//
// A planning figure for a community, valid roughly from one thousand to a million people; it does not
// foretell a given day. `population_thousands` is above zero. Left out: industry,
// infiltration, storage on the way.
#pragma once

#include <cmath>

namespace freshet::plant {

/// Peak hourly over average flow = (18 + sqrt P) / (4 + sqrt P), P in thousands. The curve of Harmon,
/// 1 + 14 / (4 + sqrt P), in other words. Falls from 4.5 at P = 0 towards 1.
/// Sources: Great Lakes - Upper Mississippi River Board, Recommended Standards for Wastewater Facilities, as
/// quoted at sd-w.com/channel_flow/sewer_houses; that the formula is in the note to Fig. 1 is from memory.
/// W. G. Harmon (1918), as a textbook's Eq. 4.4 prints it (tests/reference/weather/inflow_test.cpp names the
/// copy).
inline double peaking_factor(double population_thousands) {
    const double root = std::sqrt(population_thousands);
    return (18.0 + root) / (4.0 + root);
}

}  // namespace freshet::plant
