// A demand that repeats every day, for filling and pressure duties. One reason to change: how a daily demand
// is read.
//
// Equations: straight lines between the points, and across midnight from the last point to the first. Units:
// s after midnight of station time (UTC), m3/s. Valid: demands of zero or more, the points of one day.
// Source of the shape of such patterns: common practice. The scenario gives the figures.
// Leaves out: a difference between weekdays and weekends, the change of demand with pressure (hydraulics.hpp
// has this change), leaks, daylight saving.
#pragma once

#include <cstdint>
#include <vector>

#include "config/scenario.hpp"
#include "sim_plant/weather/uniform_series.hpp"

namespace freshet::plant {

class DailyDemand {
  public:
    /// `points`: seconds after midnight of station time (UTC), below a day, strictly rising; and m3/s. No
    /// points: no demand. `start_ms`: station time at t = 0.
    DailyDemand(const std::vector<config::SeriesPoint>& points, std::int64_t start_ms);

    /// Demand at `t_s` after the start of the run, m3/s. `t_s` is zero or more.
    [[nodiscard]] double at_m3s(double t_s) const {
        const double since_midnight_s = t_s + offset_s_;
        const auto days = static_cast<std::int64_t>(since_midnight_s * (1.0 / 86400.0));
        return day_.at(since_midnight_s - static_cast<double>(days) * 86400.0);
    }

  private:
    double offset_s_;
    UniformSeries day_;
};

}  // namespace freshet::plant
