// Reads a whole station file, or only its motor.
// One reason to change: how the parts of a station file come together.
#include <fmt/format.h>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive_settings.hpp"
#include "config/loader/read.hpp"
#include "config/loader/read_equipment.hpp"
#include "config/loader/read_settings.hpp"
#include "config/loader/reader.hpp"
#include "controller/core/settings_check.hpp"
#include "controller/words/settings_faults.hpp"

namespace freshet::config {
namespace {

/// The last line of defence, after all rules that know a key and its place: the core refuses such settings.
void check_by_core(Source& source, const core::Settings& settings) {
    const core::SettingsFinding finding = core::check(settings);
    if (!finding.sound())
        source.error({}, fmt::format("the controller's core refuses the settings, because {}",
                                     words::clause(finding)));
}

}  // namespace

tl::expected<StationFile, Errors> read_station_file(std::string_view text, const std::string& file,
                                                    const Units& units) {
    const auto document = parse_document(text, file);
    if (!document) return tl::unexpected(document.error());
    Source source{file, units, {}};
    TableReader reader(source, *document, "");
    if (!has_duty(reader)) return tl::unexpected(std::move(source.errors));
    StationFile result;
    result.station = read_equipment(reader);
    result.settings = read_settings(reader, result.station);
    reader.close();
    if (source.errors.empty()) report(source, *document, check_station(result.station, result.settings));
    if (source.errors.empty()) {
        derive_settings(result.settings, result.station);
        report(source, *document, check_service(result.station, result.settings));
    }
    if (source.errors.empty()) check_by_core(source, result.settings);
    if (!source.errors.empty()) return tl::unexpected(in_order(std::move(source.errors)));
    return result;
}

tl::expected<Motor, Errors> read_motor_file(std::string_view text, const std::string& file,
                                            const Units& units) {
    const auto document = parse_document(text, file);
    if (!document) return tl::unexpected(document.error());
    if (find(*document, "station") != nullptr)
        return read_station_file(text, file, units).map([](StationFile&& station) {
            return std::move(station.station.motor);
        });
    Source source{file, units, {}};
    TableReader reader(source, *document, "");
    Motor motor;
    in_table(reader, "motor", "a [motor] table", [&](TableReader& table) { motor = read_motor(table); });
    if (source.errors.empty()) {
        Findings findings;
        check_motor(findings, motor);
        report(source, *document, findings);
    }
    reader.close();
    if (!source.errors.empty()) return tl::unexpected(in_order(std::move(source.errors)));
    return motor;
}

}  // namespace freshet::config
