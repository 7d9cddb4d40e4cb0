// Reads a whole station file, or only its motor.
// One reason to change: how the parts of a station file come together.
#include <fmt/format.h>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive_settings.hpp"
#include "config/loader/read.hpp"
#include "config/loader/read_equipment.hpp"
#include "config/loader/read_settings.hpp"
#include "config/loader/reader.hpp"

namespace freshet::config {

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
