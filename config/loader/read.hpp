// Reads our files from text in memory. The loader calls these functions with a file's text, and tests call
// them with spoilt text.
// One reason to change: a kind of file.
#pragma once

#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "config/loader/load.hpp"
#include "config/loader/units.hpp"

namespace freshet::config {

/// Messages call the text by `file`. Other files that the text names are looked for in the folder of `file`.
tl::expected<StationFile, Errors> read_station_file(std::string_view text, const std::string& file,
                                                    const Units& units);
tl::expected<Scenario, Errors> read_scenario(std::string_view text, const std::string& file,
                                             const Units& units);
tl::expected<FieldMap, Errors> read_field_map(std::string_view text, const std::string& file,
                                              const Units& units);
tl::expected<Motor, Errors> read_motor_file(std::string_view text, const std::string& file,
                                            const Units& units);

}  // namespace freshet::config
