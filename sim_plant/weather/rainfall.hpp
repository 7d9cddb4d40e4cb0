// Rain over time: cumulative depth of storms by a distribution.
// One reason to change: how a storm's rain is laid out in time.
//
// Equations: P(t) = sum over storms of depth times F((t - begin) / duration), F the cumulative distribution.
// Units: m, s; F and its argument from 0 to 1. Valid: rising tables, durations above zero.
// Source of the 24-hour tables: each file in config/storms names its own. Left out: how rain varies over the
// catchment, areal reduction of point rain, losses before it reaches the ground.
#pragma once

#include <cstddef>
#include <vector>

#include "config/scenario.hpp"

namespace freshet::plant {

/// Fraction of the depth fallen by a fraction of the duration, linear between the table's points; 0 before, 1
/// after. The table starts at (0, 0), rises in both columns, and ends at (span, 1).
double cumulative_fraction(const config::RainDistribution& distribution, double duration_fraction);

/// Rain fallen by `t_s` after the start of the run, m, over all storms.
double rain_depth_m(const std::vector<config::Storm>& storms, double t_s);

/// The same depth at every instant of the duration.
config::RainDistribution uniform_distribution();

/// Intensity rising in a straight line to twice the mean and falling again, the peak at `peak_fraction` of
/// the duration (above 0, below 1). Cumulative depth is x^2/p before the peak and 1 - (1-x)^2/(1-p) after;
/// sampled at `points` even steps and at the peak. Source of a peak at 3/8: common practice.
config::RainDistribution triangular_distribution(double peak_fraction, std::size_t points = 200);

/// Greatest share of the depth that falls within any `window_fraction` of the duration: the check by which a
/// distribution is recognised.
double greatest_share(const config::RainDistribution& distribution, double window_fraction);

}  // namespace freshet::plant
