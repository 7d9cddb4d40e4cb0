// A random station that empties a well, from one seed: equipment, settings and field map.
// One reason to change: the range of stations.
#pragma once

#include <cstdint>
#include <string>

#include "config/station.hpp"
#include "controller/core/settings.hpp"
#include "hal/modbus/field_plan.hpp"
#include "tests/property/staging/capacity.hpp"
#include "tests/property/staging/dice.hpp"

namespace freshet::staging_campaign {

struct RandomStation {
    config::Station given;    ///< as the controller knows the station
    config::Station real;     ///< as the water knows the station: curves up to 3 % off in flow
    core::Settings settings;  ///< from `given`
    modbus::FieldPlan plan;
    Capacity capacity;     ///< of `real`, from the floor to the top of the well
    double volume_m3 = 0;  ///< active volume: from the stop mark to the mark for another pump
    bool flow_meter = false;
    int refused = 0;  ///< draws that the checks of a station refused before this draw
};

/// The scan period of a station of the campaign, ms; zero: drawn, from 50 ms to 1 s.
enum class Scan : std::int32_t { drawn = 0, second = 1000 };

/// Two to eight pumps, 5 to 5,000 m2, flat to steep curves, 50 or 60 Hz, one or two transmitters with
/// noise. Motor and contactors are those of the shipped demonstration station, scaled. Every station
/// passes the checks of a station file. Throws std::runtime_error when a thousand draws give no station.
RandomStation random_station(std::uint64_t seed, Scan scan = Scan::drawn);

/// The true level of the mark for another pump, m: the level at which capacities are stated.
inline double reference_level_m(const RandomStation& station) {
    return station.settings.marks.stage_up_m;
}

/// One line about the station for a report.
std::string described(const RandomStation& station);

}  // namespace freshet::staging_campaign
