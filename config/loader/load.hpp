// Reading of our files: the whole of what the rest of the program needs to know about the loader.
// One reason to change: a kind of file.
#pragma once

#include <string>

#include <tl/expected.hpp>

#include "config/field_map.hpp"
#include "config/loader/errors.hpp"
#include "config/scenario.hpp"
#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// What one station file holds: its equipment, and the settings of its controller, complete.
struct StationFile {
    Station station;
    core::Settings settings;
};

/// A station file, checked. Errors: everything that is wrong in it, each with its place; nothing is
/// half-read.
tl::expected<StationFile, Errors> load_station_file(const std::string& path);

/// A scenario file with the tables it names; its station is read too, so that levels and devices can be
/// judged. Paths inside it are taken from its own folder. Errors: those of every file read.
tl::expected<Scenario, Errors> load_scenario(const std::string& path);

/// A field map. Errors: unknown signals, wrong types, overlapping addresses, and all else that is wrong in
/// it.
tl::expected<FieldMap, Errors> load_field_map(const std::string& path);

/// A field map for this station. Errors: those of the map, or of the two together.
tl::expected<FieldMap, Errors> load_field_map_for(const StationFile& file, const std::string& path);

/// What a field map lacks for a station, and what it has of pumps that the station has not. A station needs
/// its measured values, the drive, the line, each pump's contacts, selector, trip and current; the rest is
/// welcome.
Errors check_together(const FieldMap& map, const StationFile& file);

/// A motor: a file with a [motor] table alone, or a station file, of which only the motor is wanted.
tl::expected<Motor, Errors> load_motor(const std::string& path);

}  // namespace freshet::config
