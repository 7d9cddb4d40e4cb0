// Loads our files. The rest of the program needs no other header for that.
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

/// The contents of a station file: the equipment, and the complete settings of the controller.
struct StationFile {
    Station station;
    core::Settings settings;
};

/// A station file that passed every check. Errors: everything that is wrong in the file, each with its place.
tl::expected<StationFile, Errors> load_station_file(const std::string& path);

/// A scenario file with the tables that it names. The loader reads the station too, because the station
/// decides which levels and devices are valid. Paths in the file start from the file's own folder. Errors:
/// those of every file read.
tl::expected<Scenario, Errors> load_scenario(const std::string& path);

/// A field map. Errors: everything that is wrong in the file, such as unknown signals, wrong types and
/// overlapping addresses.
tl::expected<FieldMap, Errors> load_field_map(const std::string& path);

/// A field map for this station. Errors: those of the map itself, else those of `check_together`.
tl::expected<FieldMap, Errors> load_field_map_for(const StationFile& file, const std::string& path);

/// Signals that the station needs and the field map lacks, and signals of pumps that the station does not
/// have. A station needs its measured values, the drive, the line, and each pump's contacts, selector, trip
/// and current. Every other signal is optional.
Errors check_together(const FieldMap& map, const StationFile& file);

/// A motor, from a file that holds only a [motor] table, or from a station file.
tl::expected<Motor, Errors> load_motor(const std::string& path);

}  // namespace freshet::config
