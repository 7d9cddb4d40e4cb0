// Reads the files of a case, as declared in the header.
// One reason to change: see there.
#include "sim_plant/bench/case_files.hpp"

#include <utility>

namespace freshet::bench {

tl::expected<CaseFiles, std::string> load_case(const std::string& scenario_file,
                                               const std::string& field_map_file) {
    auto scenario = config::load_scenario(scenario_file);
    if (!scenario) return tl::unexpected(config::text_of(scenario.error()));
    auto station = config::load_station_file(scenario->station_file);
    const std::string& map_file = field_map_file.empty() ? scenario->field_map_file : field_map_file;
    const auto map =
        station ? config::load_field_map_for(*station, map_file) : config::load_field_map(map_file);
    std::string wrong;
    if (!station) wrong += config::text_of(station.error());
    if (!map) wrong += config::text_of(map.error());
    if (!wrong.empty()) return tl::unexpected(wrong);
    auto plan = modbus::compile(*map);
    if (!plan) {
        for (const std::string& error : plan.error()) wrong += error + "\n";
        return tl::unexpected(wrong);
    }
    return CaseFiles{std::move(*scenario), std::move(*station), std::move(*plan)};
}

}  // namespace freshet::bench
