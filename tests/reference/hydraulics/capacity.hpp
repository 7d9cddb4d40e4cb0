// What a number of like pumps give together, for checks that compare such flows.
// One reason to change: which stations such checks describe.
#pragma once

#include <array>
#include <span>

#include "sim_plant/physics/station_capacity.hpp"

namespace freshet::tests {

/// Flow of up to eight pumps at one speed, m3/s.
inline double capacity_m3s(const config::Station& station, std::size_t pumps, double speed_ratio,
                           double level_m) {
    std::array<double, 8> speeds{};
    speeds.fill(speed_ratio);
    return plant::operating_point(station, std::span(speeds).first(pumps), level_m).total_flow_m3s;
}

}  // namespace freshet::tests
