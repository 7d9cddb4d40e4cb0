// Fetches a file's text and hands it to the reader of its kind.
// One reason to change: how files are fetched.
#include "config/loader/load.hpp"

#include "config/loader/document.hpp"
#include "config/loader/read.hpp"

namespace freshet::config {
namespace {

template <class Read>
auto load(const std::string& path, Read read)
    -> decltype(read(std::string_view(), path, std::declval<const Units&>())) {
    const auto text = read_text(path);
    if (!text) return tl::unexpected(text.error());
    const auto units = Units::open();
    if (!units) return tl::unexpected(Errors{{path, 0, 0, units.error()}});
    return read(*text, path, *units);
}

}  // namespace

tl::expected<StationFile, Errors> load_station_file(const std::string& path) {
    return load(path, read_station_file);
}

tl::expected<Scenario, Errors> load_scenario(const std::string& path) {
    return load(path, read_scenario);
}
tl::expected<FieldMap, Errors> load_field_map(const std::string& path) {
    return load(path, read_field_map);
}
tl::expected<FieldMap, Errors> load_field_map_for(const StationFile& file, const std::string& path) {
    auto map = load_field_map(path);
    if (!map) return map;
    Errors apart = check_together(*map, file);
    if (!apart.empty()) return tl::unexpected(std::move(apart));
    return map;
}
tl::expected<Motor, Errors> load_motor(const std::string& path) {
    return load(path, read_motor_file);
}

}  // namespace freshet::config
