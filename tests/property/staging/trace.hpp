// A run in rows of text for people who look for the cause of a figure.
// One reason to change: what a row shows.
#pragma once

#include <cstdint>
#include <iosfwd>

#include "controller/core/advice.hpp"
#include "sim_plant/station/plant.hpp"
#include "tests/property/staging/random_station.hpp"

namespace freshet::staging_campaign {

/// Prints one row for each event of the scan, and one row of figures every ten seconds.
void trace_scan(std::ostream& out, const RandomStation& station, const plant::Plant& plant,
                const core::Advice& advice, std::int64_t scan);

}  // namespace freshet::staging_campaign
