// The record of a run as a folder: four files, nothing half-written, nothing of a crashed run lost.
// One reason to change: which files make a record.
#include "hal/store/run_record.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "controller/words/cautions.hpp"
#include "hal/store/report.hpp"
#include "hal/store/summary_json.hpp"
#include "tests/doubles/scratch_folder.hpp"

namespace freshet::store {
namespace {

using doubles::bytes_of;
using doubles::lines_of;
using doubles::ScratchFolder;

constexpr std::int64_t storm_ms = 1938081600000;  // 2031-06-01T12:00:00.000Z
constexpr std::int64_t scan_ms = 100;

RunTitle invented_station() {
    RunTitle title;
    title.scenario = "invented storm";
    title.title = "a storm that never was";
    title.station = "Invented <Station> & Sons";
    title.settings.pump_count = 3;
    title.settings.marks = {.setpoint_m = 2,
                            .deadband_m = 0.05,
                            .start_m = 2.2,
                            .stop_m = 1,
                            .stage_up_m = 2.6,
                            .stage_down_m = 1.5,
                            .low_cutoff_m = 0.6,
                            .high_alarm_m = 3.2};
    title.settings.drive.speed_max_hz = 60;
    return title;
}

RunSummary summary_of_invented_station() {
    RunSummary summary;
    summary.scenario = "invented storm";
    summary.station = "Invented <Station> & Sons";
    summary.pump_count = 3;
    summary.hand_overs = 4;
    summary.starts_per_pump = {5, 6, 7};
    summary.level_max_m = 2.75;
    summary.measured_uncertain_s = 1;
    summary.measured_bad_s = 1.5;
    summary.measured_not_good_s_by_cause = {{"stale", 1.5}};
    summary.alarms_by_name = {{"value_high", 2}};
    return summary;
}

core::Advice scan_at(std::int64_t time_ms) {
    core::Advice advice;
    advice.time_ms = time_ms;
    return advice;
}

/// Runs a record over so many seconds with a level that waves and pumps that change.
void record_seconds(RunRecord& record, int seconds) {
    for (std::int64_t t = 0; t < seconds * 1000; t += scan_ms) {
        if (!record.scanned(scan_at(storm_ms + t))) continue;
        TrendRow row;
        row.time_ms = storm_ms + t;
        row.level_m = 2 + std::sin(static_cast<double>(t) * 1e-5) + 0.1 * std::sin(static_cast<double>(t));
        row.measured_m = row.level_m + 0.01;
        row.inflow_m3s = 0.5;
        row.rain_mm_h = 12;
        row.pump_state[0] = t / 600'000 % 2 == 0 ? core::PumpState::on_drive : core::PumpState::on_line;
        row.pump_state[1] = t / 600'000 % 2 == 0 ? core::PumpState::off : core::PumpState::on_drive;
        record.trend(row);
    }
}

TEST(RunRecord, leaves_journal_trend_summary_and_report) {
    const ScratchFolder folder;
    auto record = RunRecord::open(folder / "record", invented_station());
    ASSERT_TRUE(record.has_value());
    record_seconds(*record, 10);
    EXPECT_FALSE(record->close(summary_of_invented_station()).has_value());
    for (const char* name : {"journal.jsonl", "trend.csv", "summary.json", "report.html"}) {
        EXPECT_TRUE(std::filesystem::exists(folder / "record" / name)) << name;
    }
}

TEST(RunRecord, asks_for_a_row_at_the_first_scan_and_then_once_a_second_of_station_time) {
    const ScratchFolder folder;
    auto record = RunRecord::open(folder.path(), invented_station());
    record_seconds(*record, 10);
    EXPECT_EQ(lines_of(folder / "trend.csv").size(), 1U + 10U);
}

TEST(RunRecord, leaves_no_temporary_file_behind) {
    const ScratchFolder folder;
    auto record = RunRecord::open(folder.path(), invented_station());
    record->close(summary_of_invented_station());
    for (const auto& entry : std::filesystem::directory_iterator(folder.path())) {
        EXPECT_NE(entry.path().extension(), ".part");
    }
}

TEST(RunRecord, moves_the_journal_of_a_crashed_run_aside_and_keeps_it) {
    const ScratchFolder folder;
    {
        auto crashed = RunRecord::open(folder.path(), invented_station());
        record_seconds(*crashed, 3);
    }
    {
        auto crashed = RunRecord::open(folder.path(), invented_station());
        record_seconds(*crashed, 4);
    }
    auto record = RunRecord::open(folder.path(), invented_station());
    ASSERT_TRUE(record.has_value());
    EXPECT_EQ(lines_of(folder / "unfinished-1/trend.csv").size(), 1U + 3U);
    EXPECT_EQ(lines_of(folder / "unfinished-2/trend.csv").size(), 1U + 4U);
}

TEST(RunRecord, overwrites_a_finished_record_and_never_leaves_an_old_summary_beside_a_new_journal) {
    const ScratchFolder folder;
    RunRecord::open(folder.path(), invented_station())->close(summary_of_invented_station());
    auto record = RunRecord::open(folder.path(), invented_station());
    ASSERT_TRUE(record.has_value());
    EXPECT_FALSE(std::filesystem::exists(folder / "unfinished-1"));
    EXPECT_FALSE(std::filesystem::exists(folder / "summary.json"));
    EXPECT_FALSE(std::filesystem::exists(folder / "report.html"));
}

TEST(RunRecord, that_cannot_be_opened_says_where_and_why) {
    const auto record = RunRecord::open("/proc/no_such_folder", invented_station());
    ASSERT_FALSE(record.has_value());
    EXPECT_NE(record.error().message.find("/proc/no_such_folder: cannot create the folder"),
              std::string::npos);
}

TEST(ReplaceFile, that_fails_leaves_the_old_file_as_it_was) {
    const ScratchFolder folder;
    ASSERT_FALSE(replace_file(folder / "summary.json", "old").has_value());
    std::filesystem::create_directory(folder / "summary.json.part");
    EXPECT_TRUE(replace_file(folder / "summary.json", "new").has_value());
    EXPECT_EQ(bytes_of(folder / "summary.json"), "old");
}

TEST(Summary, has_every_key_and_null_for_what_a_run_cannot_know) {
    const auto json = nlohmann::json::parse(summary_json(summary_of_invented_station()));
    for (const char* key : {"scenario",
                            "station",
                            "simulated_s",
                            "wall_s",
                            "level_max_m",
                            "level_min_m",
                            "measured_good_s",
                            "measured_uncertain_s",
                            "measured_bad_s",
                            "measured_not_good_s_by_cause",
                            "overflow_m3",
                            "inflow_m3",
                            "pumped_m3",
                            "volume_error_m3",
                            "energy_kwh",
                            "hand_overs",
                            "take_backs",
                            "line_starts",
                            "starts_per_pump",
                            "wear_run_h_spread",
                            "wear_starts_spread",
                            "starts_per_hour_max",
                            "transfers_per_hour_max",
                            "overlap_ms_max",
                            "closing_angle_deg_max",
                            "alarms",
                            "energy_kwh_per_m3",
                            "energy_cost",
                            "closings",
                            "suction_dry_s",
                            "vortex_s",
                            "column_parts_s",
                            "surge_head_max_m",
                            "backflow_s_per_pump",
                            "below_minimum_flow_s_per_pump",
                            "npsh_short_s_per_pump",
                            "npsh_margin_min_m_per_pump"}) {
        EXPECT_TRUE(json.contains(key)) << key;
    }
    EXPECT_TRUE(json["overflow_m3"].is_null());
    EXPECT_EQ(json["level_max_m"], 2.75);
    EXPECT_EQ(json["measured_not_good_s_by_cause"]["stale"], 1.5);
    EXPECT_EQ(json["starts_per_pump"], nlohmann::json({5, 6, 7}));
}

class Report : public ::testing::Test {
  protected:
    static std::string of_seconds(int seconds) {
        const ScratchFolder folder;
        auto record = RunRecord::open(folder.path(), invented_station());
        record_seconds(*record, seconds);
        record->close(summary_of_invented_station());
        return bytes_of(folder / "report.html");
    }
};

TEST_F(Report, of_a_day_stays_below_two_megabytes) {
    constexpr int day_s = 86400;
    EXPECT_LT(of_seconds(day_s).size(), 2'000'000U);
}

TEST_F(Report, says_for_how_long_the_measured_value_was_in_doubt_and_why) {
    EXPECT_NE(of_seconds(60).find("2.5 s (stale 1.5 s)"), std::string::npos);
}

TEST_F(Report, loads_nothing_from_anywhere) {
    const std::string html = of_seconds(60);
    for (const char* reference :
         {"http:", "https:", "src=", "href=", "@import", "url(/", "url(h", "fetch("}) {
        EXPECT_EQ(html.find(reference), std::string::npos) << reference;
    }
}

TEST_F(Report, says_that_it_is_advisory_and_simulated_and_ends_with_the_cautions) {
    const std::string html = of_seconds(60);
    EXPECT_NE(html.find("Advisory only."), std::string::npos);
    EXPECT_NE(html.find("Simulated station"), std::string::npos);
    std::size_t at = html.find("<h2>Cautions</h2>");
    ASSERT_NE(at, std::string::npos);
    EXPECT_NE(html.find("Medium-voltage equipment kills.", at), std::string::npos);
    EXPECT_NE(html.find("a licensed engineer.", at), std::string::npos);
}

TEST_F(Report, shows_the_name_of_a_station_as_text_and_not_as_markup) {
    const std::string html = of_seconds(60);
    EXPECT_EQ(html.find("<Station>"), std::string::npos);
    EXPECT_NE(html.find("Invented &lt;Station&gt; &amp; Sons"), std::string::npos);
}

TEST_F(Report, draws_a_lane_for_each_pump_and_hangs_the_rain) {
    const std::string html = of_seconds(1800);
    EXPECT_NE(html.find(">pump 3</text>"), std::string::npos);
    EXPECT_EQ(html.find(">pump 4</text>"), std::string::npos);
    EXPECT_NE(html.find("pump 1 on the drive"), std::string::npos);
    EXPECT_NE(html.find("class=\"rain\""), std::string::npos);
}

TEST_F(Report, carries_its_values_as_json_that_parses) {
    const std::string html = of_seconds(1800);
    const std::string opening = "id=\"plot-data\">";
    const std::size_t begin = html.find(opening) + opening.size();
    const auto json = nlohmann::json::parse(html.substr(begin, html.find("</script>", begin) - begin));
    EXPECT_EQ(json["lanes"].size(), 3U);
    EXPECT_EQ(json["level m"].size(), json["rain mm/h"].size());
}

TEST_F(Report, gives_each_closing_a_row_and_no_current_ratio_to_a_motor_from_rest) {
    RunSummary summary = summary_of_invented_station();
    summary.closings = {{.pump = 1, .line_side = true, .angle_deg = 3.1, .peak_current_ratio = 1.39},
                        {.pump = 2, .line_side = true, .from_rest = true}};

    const std::string html = report_html(invented_station(), summary, {}, {});

    EXPECT_THAT(html, testing::HasSubstr("<td class=\"n\">3.1</td>"));
    EXPECT_THAT(html, testing::HasSubstr("<td class=\"n\">1.39</td>"));
    EXPECT_THAT(html, testing::HasSubstr("<td class=\"n\">from rest</td>"));
}

TEST(ToldEvents, tell_why_a_sequence_began_and_not_each_of_its_steps) {
    core::Advice advice;
    advice.event_count = 2;
    advice.events[0].what = core::Happening::sequence_begun;
    advice.events[1].what = core::Happening::step_entered;
    ToldEvents told;

    told.add(advice);

    ASSERT_EQ(told.events.size(), 1U);
    EXPECT_EQ(told.events[0].event.what, core::Happening::sequence_begun);
}

TEST_F(Report, of_a_run_without_a_single_row_still_has_figures_and_cautions) {
    const std::string html = report_html(invented_station(), summary_of_invented_station(), {}, {});
    EXPECT_EQ(html.find("<svg"), std::string::npos);
    EXPECT_NE(html.find("<h2>Figures</h2>"), std::string::npos);
    EXPECT_NE(html.find("<h2>Cautions</h2>"), std::string::npos);
}

TEST(PlotData, keeps_the_extremes_of_a_run_of_any_length_in_a_bounded_memory) {
    PlotData data;
    constexpr int days = 30;
    for (std::int64_t second = 0; second < days * 86400; second += 10) {
        TrendRow row;
        row.time_ms = storm_ms + second * 1000;
        row.level_m = second == 1'000'000 ? 9 : 2;
        data.add(row, 2);
    }
    EXPECT_LE(data.buckets().size(), PlotData::buckets_max);
    float highest = 0;
    for (const Bucket& bucket : data.buckets()) highest = std::max(highest, bucket.of(Series::level).max);
    EXPECT_EQ(highest, 9);
}

}  // namespace
}  // namespace freshet::store
