// Writes each row as a line. Fields are numbers, instants and words without commas or quotes. Therefore
// no field needs quotes.
#include "controller/record/trend_writer.hpp"

#include <charconv>
#include <cmath>
#include <string_view>

#include "controller/words/instant.hpp"
#include "controller/words/states.hpp"

namespace freshet::record {
namespace {

/// A column and its resolution. The resolution is far finer than the resolution of any instrument. The last
/// ten digits of a double would make the file three times as long, and these digits have no meaning.
struct Column {
    std::string_view heading;
    double TrendRow::*value;
    double per_unit;  ///< steps of the resolution in one unit
};
constexpr double current_per_a = 1e3;

constexpr Column columns[] = {
    {"rain_mm_h", &TrendRow::rain_mm_h, 1e3},
    {"inflow_m3s", &TrendRow::inflow_m3s, 1e6},
    {"inflow_observed_m3s", &TrendRow::inflow_observed_m3s, 1e6},
    {"level_m", &TrendRow::level_m, 1e6},
    {"measured_m", &TrendRow::measured_m, 1e6},
    {"setpoint_m", &TrendRow::setpoint_m, 1e6},
    {"pumped_m3s", &TrendRow::pumped_m3s, 1e6},
    {"overflow_m3s", &TrendRow::overflow_m3s, 1e6},
    {"header_head_m", &TrendRow::header_head_m, 1e4},
    {"speed_reference_hz", &TrendRow::speed_reference_hz, 1e4},
    {"drive_frequency_hz", &TrendRow::drive_frequency_hz, 1e4},
    {"line_voltage_v", &TrendRow::line_voltage_v, 1e3},
    {"power_kw", &TrendRow::power_kw, 1e3},
};

void append_field(std::string& out, double value, double per_unit) {
    out += ',';
    if (!std::isfinite(value)) return;
    char text[32];
    out.append(text, std::to_chars(text, text + sizeof text, std::round(value * per_unit) / per_unit).ptr);
}

std::string heading_line(std::uint8_t pump_count) {
    std::string line = "time_utc";
    for (const Column& column : columns) line.append(",") += column.heading;
    line += ",measured_quality,measured_cause";
    for (int pump = 1; pump <= pump_count; ++pump) {
        const std::string prefix = ",pump_" + std::to_string(pump);
        line.append(prefix).append("_state").append(prefix).append("_current_a");
    }
    return line += "\r\n";  // RFC 4180 section 2, rule 1
}

}  // namespace

tl::expected<TrendWriter, store::StoreError> TrendWriter::create(const std::filesystem::path& path,
                                                                 std::uint8_t pump_count) {
    auto file = store::AppendedFile::create(path);
    if (!file) return tl::make_unexpected(file.error());
    file->append(heading_line(pump_count));
    if (file->failure()) return tl::make_unexpected(*file->failure());
    return TrendWriter(std::move(*file), pump_count);
}

void TrendWriter::append(const TrendRow& row) noexcept {
    words::append_instant(rows_, row.time_ms);
    for (const Column& column : columns) append_field(rows_, row.*column.value, column.per_unit);
    rows_ += ',';
    if (row.measured_quality) rows_ += words::word(*row.measured_quality).name;
    rows_ += ',';
    if (row.measured_quality) rows_ += words::word(row.measured_cause).name;
    for (std::size_t pump = 0; pump < pump_count_; ++pump) {
        rows_ += ',';
        rows_ += words::word(row.pump_state[pump]).name;
        append_field(rows_, row.pump_current_a[pump], current_per_a);
    }
    rows_ += "\r\n";
    if (rows_.size() >= batch_bytes_) write_rows();
}

void TrendWriter::write_rows() noexcept {
    file_.append(rows_);
    rows_.clear();
}

void TrendWriter::sync() noexcept {
    if (!rows_.empty()) write_rows();
    file_.sync();
}

}  // namespace freshet::record
