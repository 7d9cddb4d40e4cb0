// Rain and inflow tables: distributions over time, and measured series.
// One reason to change: a kind of table that a scenario may name.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "config/loader/errors.hpp"
#include "config/scenario.hpp"

namespace freshet::config {

/// A rain distribution: heading `t_h` or `t_fraction`, then `cumulative_fraction`; from (0, 0) to (end, 1),
/// time rising strictly, the fraction never falling. Its rows need not be evenly spaced, because each row
/// holds the sum since the beginning. Between two rows the rain is even.
tl::expected<RainDistribution, Errors> read_distribution(std::string_view text, const std::string& file);

/// A measured rain series: heading `t_s`, `t_min`, `t_h` or `time` (RFC 3339 with offset), then `rain_mm` or
/// `rain_in`: the depth fallen since the row before. The first row is therefore zero. The steps are even; a
/// longer step is a gap.
struct MeasuredRain {
    RainDistribution distribution;
    double depth_m = 0, duration_s = 0;
};
tl::expected<MeasuredRain, Errors> read_measured_rain(std::string_view text, const std::string& file);

/// A measured flow: time as above, then `flow_m3s`, `flow_l_s`, `flow_gpm` or `flow_mgd`. Even steps. Time
/// counts from the first row.
tl::expected<std::vector<SeriesPoint>, Errors> read_measured_flow(std::string_view text,
                                                                  const std::string& file);

}  // namespace freshet::config
