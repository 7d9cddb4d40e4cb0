// Turns columns of numbers into series. Each refusal names the line of the break.
// One reason to change: a kind of table that a scenario may name.
#include "config/loader/series.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <span>

#include "config/loader/csv.hpp"
#include "config/loader/units.hpp"
#include "controller/words/instant.hpp"

namespace freshet::config {
namespace {

struct Column {
    std::string_view heading;
    double factor;  ///< to SI; zero: an instant
};
constexpr std::array time_columns{Column{"t_s", 1}, Column{"t_min", 60}, Column{"t_h", 3600},
                                  Column{"time", 0}};
constexpr std::array rain_columns{Column{"rain_mm", 0.001}, Column{"rain_in", 0.0254}};
constexpr std::array flow_columns{Column{"flow_m3s", 1}, Column{"flow_l_s", 0.001},
                                  Column{"flow_gpm", us_gallon_m3 / 60},
                                  Column{"flow_mgd", us_gallon_m3 * 1e6 / 86400}};
constexpr std::array distribution_times{Column{"t_h", 1}, Column{"t_fraction", 1}};
constexpr std::array fraction_columns{Column{"cumulative_fraction", 1}};

/// Two columns of a table, with the line of each row.
struct Series {
    std::vector<SeriesPoint> points;
    std::vector<std::uint32_t> lines;
    std::vector<std::string> times;  ///< for messages: as written, or in seconds
    Errors errors;
    std::string file;

    void error(std::size_t row, std::string message) {
        errors.push_back({file, lines[row], 1, std::move(message)});
    }
};

std::string listed(std::span<const Column> columns) {
    std::string list;
    for (const Column& column : columns) list.append(list.empty() ? "" : ", ").append(column.heading);
    return list;
}

const Column* find(const CsvTable& table, std::size_t index, std::span<const Column> columns,
                   Series& series) {
    const CsvRow& heading = table.heading;
    const std::string_view text =
        index < heading.cells.size() ? heading.cells[index].text : std::string_view();
    const auto column = std::ranges::find(columns, text, &Column::heading);
    if (column != columns.end()) return &*column;
    series.errors.push_back(
        {series.file, heading.line, index < heading.cells.size() ? heading.cells[index].column : 1,
         fmt::format("heading {} is \"{}\"; expected one of {}", index + 1, text, listed(columns))});
    return nullptr;
}

std::optional<double> value_of(const CsvCell& cell, const Column& column) {
    if (column.factor == 0) {
        const auto instant_ms = words::parse_instant(cell.text);
        return instant_ms ? std::optional(static_cast<double>(*instant_ms) / 1000) : std::nullopt;
    }
    double value = 0;
    const auto [end, failure] = std::from_chars(cell.text.data(), cell.text.data() + cell.text.size(), value);
    if (failure != std::errc() || end != cell.text.data() + cell.text.size() || !std::isfinite(value))
        return std::nullopt;
    return value * column.factor;
}

std::string refusal_of(const CsvCell& cell, const Column& column) {
    const std::string_view expected =
        column.factor == 0 ? "a date and time with its offset from UTC, such as 2031-05-17T06:30:00Z"
                           : "a number";
    return cell.text.empty() ? fmt::format("a value is missing; expected {}", expected)
                             : fmt::format("\"{}\" cannot be read; expected {}", cell.text, expected);
}

Series read_series(std::string_view text, const std::string& file, std::span<const Column> times,
                   std::span<const Column> values) {
    Series series;
    series.file = file;
    const auto table = read_csv(text, file);
    if (!table) {
        series.errors = table.error();
        return series;
    }
    const Column *time = find(*table, 0, times, series), *value = find(*table, 1, values, series);
    if (time == nullptr || value == nullptr) return series;
    constexpr std::size_t reported_singly = 3;
    std::size_t unreadable = 0;
    for (const CsvRow& row : table->rows) {
        const std::optional<double> t = value_of(row.cells[0], *time), v = value_of(row.cells[1], *value);
        if (!t && ++unreadable <= reported_singly)
            series.errors.push_back({file, row.line, row.cells[0].column, refusal_of(row.cells[0], *time)});
        if (!v && ++unreadable <= reported_singly)
            series.errors.push_back({file, row.line, row.cells[1].column, refusal_of(row.cells[1], *value)});
        if (!t || !v) continue;
        series.points.push_back({*t, *v});
        series.lines.push_back(row.line);
        series.times.push_back(time->factor == 0 ? std::string(row.cells[0].text)
                                                 : fmt::format("{:g} s", *t));
    }
    if (unreadable > reported_singly)
        series.errors.back().message += fmt::format(" (and in {} more cells)", unreadable - reported_singly);
    for (std::size_t i = 1; i < series.points.size(); ++i)
        if (!(series.points[i].t_s > series.points[i - 1].t_s))
            series.error(
                i, fmt::format("the time does not rise from {} to {}; expected a time after that of line {}",
                               series.times[i - 1], series.times[i], series.lines[i - 1]));
    if (series.errors.empty() && series.points.size() < 2)
        series.error(0, "the series has one row; expected at least two");
    return series;
}

/// The median of the steps. A missing row makes one step longer and does not change the median.
double usual_step_s(const Series& series) {
    std::vector<double> steps_s;
    for (std::size_t i = 1; i < series.points.size(); ++i)
        steps_s.push_back(series.points[i].t_s - series.points[i - 1].t_s);
    const auto middle = steps_s.begin() + static_cast<std::ptrdiff_t>((steps_s.size() - 1) / 2);
    std::ranges::nth_element(steps_s, middle);
    return *middle;
}

/// A measured series has even steps. A logger's rounding may shift a time stamp by part of a step.
void refuse_gaps(Series& series) {
    if (!series.errors.empty()) return;
    constexpr double longest_steps = 1.5;
    const double step_s = usual_step_s(series);
    for (std::size_t i = 1; i < series.points.size(); ++i) {
        const double gap_s = series.points[i].t_s - series.points[i - 1].t_s;
        if (gap_s > longest_steps * step_s)
            series.error(
                i, fmt::format(
                       "the series has a gap of {:g} s, from {} in line {} to {}; expected steps of {:g} s",
                       gap_s, series.times[i - 1], series.lines[i - 1], series.times[i], step_s));
    }
    for (std::size_t i = 0; i < series.points.size(); ++i)
        if (series.points[i].value < 0)
            series.error(
                i, fmt::format("{:g} is below zero; expected a value of at least 0", series.points[i].value));
}

}  // namespace

tl::expected<RainDistribution, Errors> read_distribution(std::string_view text, const std::string& file) {
    Series series = read_series(text, file, distribution_times, fraction_columns);
    if (series.errors.empty()) {
        auto& points = series.points;
        if (points.front().t_s != 0 || points.front().value != 0)
            series.error(0, "the distribution does not begin at zero; expected 0, 0 in the first row");
        for (std::size_t i = 1; i < points.size(); ++i)
            if (points[i].value < points[i - 1].value)
                series.error(i, fmt::format("the cumulative fraction falls from {:g} to {:g}; expected a "
                                            "fraction that never falls",
                                            points[i - 1].value, points[i].value));
        if (points.back().value != 1)
            series.error(
                points.size() - 1,
                fmt::format(
                    "the distribution ends at {:g}; expected a cumulative fraction of 1 in the last row",
                    points.back().value));
    }
    if (!series.errors.empty()) return tl::unexpected(series.errors);
    RainDistribution distribution;
    const auto slash = file.find_last_of('/');
    distribution.name = file.substr(slash == std::string::npos ? 0 : slash + 1);
    distribution.name.erase(std::min(distribution.name.find_last_of('.'), distribution.name.size()));
    distribution.span = series.points.back().t_s;
    distribution.cumulative = std::move(series.points);
    return distribution;
}

tl::expected<MeasuredRain, Errors> read_measured_rain(std::string_view text, const std::string& file) {
    Series series = read_series(text, file, time_columns, rain_columns);
    refuse_gaps(series);
    if (series.errors.empty() && series.points.front().value != 0)
        series.error(
            0, "the first row has rain; expected 0, because each row holds the rain since the row before");
    MeasuredRain rain;
    for (const SeriesPoint& point : series.points) rain.depth_m += point.value;
    if (series.errors.empty() && rain.depth_m <= 0)
        series.error(0, "the series has no rain; expected some rain");
    if (!series.errors.empty()) return tl::unexpected(series.errors);
    rain.duration_s = series.points.back().t_s - series.points.front().t_s;
    rain.distribution.name = "measured";
    rain.distribution.span = rain.duration_s;
    double fallen_m = 0;
    for (const SeriesPoint& point : series.points) {
        fallen_m += point.value;
        rain.distribution.cumulative.push_back(
            {point.t_s - series.points.front().t_s, fallen_m / rain.depth_m});
    }
    rain.distribution.cumulative.back().value = 1;
    return rain;
}

tl::expected<std::vector<SeriesPoint>, Errors> read_measured_flow(std::string_view text,
                                                                  const std::string& file) {
    Series series = read_series(text, file, time_columns, flow_columns);
    refuse_gaps(series);
    if (!series.errors.empty()) return tl::unexpected(series.errors);
    const double first_s = series.points.front().t_s;
    for (SeriesPoint& point : series.points) point.t_s -= first_s;
    return std::move(series.points);
}

}  // namespace freshet::config
