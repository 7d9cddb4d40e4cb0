// Units of time in seconds. One reason to change: a unit of time.
#pragma once

namespace freshet::staging_campaign {

inline constexpr double s_per_ms = 0.001, s_per_min = 60, s_per_h = 3600;

}  // namespace freshet::staging_campaign
