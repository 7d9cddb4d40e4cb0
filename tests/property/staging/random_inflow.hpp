// A random inflow of a named kind for a station of the campaign.
// One reason to change: the kinds of inflow.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

#include "config/scenario.hpp"
#include "tests/property/staging/random_station.hpp"

namespace freshet::staging_campaign {

enum class Kind : std::uint8_t {
    steps,
    ramps,
    saws,
    pulses,
    gusts,
    diurnal,
    in_band,
    at_capacity,
    dry_up,
    storm,
    surge,
    count
};
inline constexpr std::size_t kind_count = static_cast<std::size_t>(Kind::count);

constexpr std::string_view name_of(Kind kind) {
    constexpr std::array<std::string_view, kind_count> names{"steps",  "ramps",   "saws",    "pulses",
                                                             "gusts",  "diurnal", "in_band", "at_capacity",
                                                             "dry_up", "storm",   "surge"};
    return names[static_cast<std::size_t>(kind)];
}

/// The kinds follow one another by seed.
constexpr Kind kind_of(std::uint64_t seed) {
    return static_cast<Kind>(seed % kind_count);
}

/// Two to four hours. The inflow seldom passes the flow of all pumps.
config::Scenario random_inflow(const RandomStation& station, Kind kind, std::uint64_t seed);

/// A run of a station of the campaign with this inflow. The well begins at `level_m`.
config::Scenario inflow_scenario(std::vector<config::SeriesPoint> inflow_m3s, double duration_s,
                                 double level_m, std::uint64_t seed);

/// An inflow that rises from zero to `inflow_m3s` in `rise_s`, and is constant from then on. The well
/// begins at `level_m`.
config::Scenario constant_inflow(double inflow_m3s, double rise_s, double duration_s, double level_m,
                                 std::uint64_t seed);

}  // namespace freshet::staging_campaign
