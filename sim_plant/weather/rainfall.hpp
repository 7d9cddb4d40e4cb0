// Rain over time: the cumulative depth of storms by a distribution.
// One reason to change: how the rain of a storm is distributed in time.
//
// Equations: P(t) = sum over storms of depth times F((t - begin) / duration), F the cumulative distribution.
// Units: m, s; F and its argument from 0 to 1. Valid: rising tables, durations above zero.
// Source of the 24-hour tables: each file in config/storms names its own source. Leaves out: the variation of
// rain over the catchment, areal reduction of point rain, losses before rain reaches the ground.
#pragma once

#include <vector>

#include "config/scenario.hpp"

namespace freshet::plant {

/// The fraction of the depth that has fallen after a fraction of the duration, linear between the table's
/// points; 0 before, 1 after. The table starts at (0, 0), rises in both columns, and ends at (span, 1).
double cumulative_fraction(const config::RainDistribution& distribution, double duration_fraction);

/// Rain that has fallen by `t_s` after the start of the run, m, over all storms.
double rain_depth_m(const std::vector<config::Storm>& storms, double t_s);

}  // namespace freshet::plant
