// The trend: RFC 4180, a unit in each heading, empty where missing.
// One reason to change: a column of trend.csv.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "controller/record/trend_writer.hpp"
#include "tests/doubles/scratch_folder.hpp"
#include "tests/unit/record/invented_run.hpp"

namespace freshet::record {
namespace {

using doubles::bytes_of;
using doubles::lines_of;
using doubles::ScratchFolder;
using invented::storm_ms;

std::vector<std::string> fields_of(std::string line) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    std::vector<std::string> fields(1);
    for (const char letter : line) {
        if (letter == ',') {
            fields.emplace_back();
        } else {
            fields.back() += letter;
        }
    }
    return fields;
}

std::string field(const ScratchFolder& folder, std::size_t row, const std::string& heading) {
    const auto lines = lines_of(folder / "trend.csv");
    const auto headings = fields_of(lines.at(0));
    const auto column = std::find(headings.begin(), headings.end(), heading) - headings.begin();
    return fields_of(lines.at(row)).at(static_cast<std::size_t>(column));
}

void write(const ScratchFolder& folder, const TrendRow& row, std::uint8_t pumps = 2) {
    auto trend = TrendWriter::create(folder / "trend.csv", pumps);
    ASSERT_TRUE(trend.has_value());
    trend->append(row);
}

TEST(Trend, in_batches_leaves_the_same_file_as_row_by_row) {
    const ScratchFolder one_by_one, in_batches;
    constexpr int rows = 2000;  // several batches, and a part of one at the end
    const auto fill = [](TrendWriter& trend) {
        for (int i = 0; i < rows; ++i)
            trend.append({.time_ms = storm_ms + 1000 * i, .level_m = 2.5 + 0.001 * i});
        trend.sync();
    };
    auto single = TrendWriter::create(one_by_one / "trend.csv", 2);
    auto batched = TrendWriter::create(in_batches / "trend.csv", 2);
    batched->write_in_batches();

    fill(*single);
    fill(*batched);

    EXPECT_EQ(lines_of(one_by_one / "trend.csv").size(), rows + 1U);
    EXPECT_EQ(bytes_of(in_batches / "trend.csv"), bytes_of(one_by_one / "trend.csv"));
}

TEST(Trend, row_by_row_is_on_its_way_to_the_disk_before_the_next_row) {
    const ScratchFolder folder;
    auto trend = TrendWriter::create(folder / "trend.csv", 2);
    for (int i = 0; i < 3; ++i) {
        trend->append({.time_ms = storm_ms + 1000 * i});
        EXPECT_EQ(lines_of(folder / "trend.csv").size(), static_cast<std::size_t>(i + 2));
    }
}

TEST(Trend, ends_each_line_as_rfc_4180_section_2_rule_1_asks) {
    const ScratchFolder folder;
    write(folder, {.time_ms = storm_ms});
    const std::string bytes = bytes_of(folder / "trend.csv");
    EXPECT_EQ(std::count(bytes.begin(), bytes.end(), '\n'), 2);
    EXPECT_EQ(bytes.substr(bytes.size() - 2), "\r\n");
}

TEST(Trend, has_as_many_fields_in_each_row_as_in_its_heading) {
    const ScratchFolder folder;
    write(folder, {.time_ms = storm_ms}, 8);
    const auto lines = lines_of(folder / "trend.csv");
    EXPECT_EQ(fields_of(lines.at(0)).size(), fields_of(lines.at(1)).size());
}

TEST(Trend, begins_each_row_with_the_utc_instant_in_milliseconds) {
    const ScratchFolder folder;
    write(folder, {.time_ms = storm_ms});
    EXPECT_EQ(field(folder, 0, "time_utc"), "time_utc");
    EXPECT_EQ(field(folder, 1, "time_utc"), "2031-06-01T12:00:00.000Z");
}

TEST(Trend, names_a_unit_in_each_heading_but_those_of_time_and_codes) {
    const ScratchFolder folder;
    write(folder, {.time_ms = storm_ms});
    constexpr std::array<std::string_view, 7> units{"_m", "_m3s", "_hz", "_v", "_a", "_kw", "_mm_h"};
    for (const std::string& heading : fields_of(lines_of(folder / "trend.csv").at(0))) {
        const bool has_unit = std::any_of(units.begin(), units.end(), [&heading](std::string_view unit) {
            return heading.ends_with(unit);
        });
        EXPECT_TRUE(has_unit || heading == "time_utc" || heading.ends_with("_state") ||
                    heading.starts_with("measured_"))
            << heading;
    }
}

TEST(Trend, leaves_a_missing_value_empty_and_writes_a_known_one_short) {
    const ScratchFolder folder;
    write(folder, {.time_ms = storm_ms, .level_m = 2.5});
    EXPECT_EQ(field(folder, 1, "level_m"), "2.5");
    EXPECT_EQ(field(folder, 1, "inflow_m3s"), "");
}

TEST(Trend, writes_values_to_a_resolution_below_any_instrument) {
    const ScratchFolder folder;
    write(folder, {.time_ms = storm_ms, .level_m = 1.0 / 3});
    EXPECT_EQ(field(folder, 1, "level_m"), "0.333333");
}

TEST(Trend, has_a_state_and_a_current_for_each_pump_of_the_station) {
    const ScratchFolder folder;
    TrendRow row{.time_ms = storm_ms};
    row.pump_state[1] = core::PumpState::to_line;
    row.pump_current_a[1] = 92.25;
    write(folder, row);
    EXPECT_EQ(field(folder, 1, "pump_1_state"), "off");
    EXPECT_EQ(field(folder, 1, "pump_2_state"), "to_line");
    EXPECT_EQ(field(folder, 1, "pump_2_current_a"), "92.25");
    EXPECT_EQ(lines_of(folder / "trend.csv").at(0).find("pump_3"), std::string::npos);
}

TEST(Trend, has_the_quality_of_the_measured_value_with_its_cause_where_it_is_known) {
    const ScratchFolder folder;
    core::Advice advice;
    advice.measured_quality = core::Quality::uncertain;
    advice.measured_cause = core::Cause::frozen;
    TrendRow row;
    set_from_advice(row, advice);
    write(folder, row);
    EXPECT_EQ(field(folder, 1, "measured_quality"), "uncertain");
    EXPECT_EQ(field(folder, 1, "measured_cause"), "frozen");
    write(folder, {.time_ms = storm_ms});
    EXPECT_EQ(field(folder, 1, "measured_quality"), "");
    EXPECT_EQ(field(folder, 1, "measured_cause"), "");
}

TEST(TrendRow, takes_no_measured_value_from_advice_that_has_none_to_trust) {
    core::Advice advice;
    advice.measured_m = 3.3;
    advice.measured_quality = core::Quality::bad;
    TrendRow row;
    set_from_advice(row, advice);
    EXPECT_NE(row.measured_m, row.measured_m);
    advice.measured_quality = core::Quality::uncertain;
    set_from_advice(row, advice);
    EXPECT_EQ(row.measured_m, 3.3);
}

}  // namespace
}  // namespace freshet::record
