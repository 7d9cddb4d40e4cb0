// The record of a run as a folder: four files, no partial file, and no loss of a crashed run.
// One reason to change: the files of a record.
#include "controller/record/run_record.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "controller/record/summary_json.hpp"
#include "tests/doubles/scratch_folder.hpp"
#include "tests/unit/record/invented_run.hpp"

namespace freshet::record {
namespace {

using doubles::bytes_of;
using doubles::lines_of;
using doubles::ScratchFolder;
using invented::invented_station;
using invented::no_page;
using invented::record_seconds;
using invented::storm_ms;
using invented::summary_of_invented_station;

TEST(RunRecord, leaves_journal_trend_summary_and_report) {
    const ScratchFolder folder;
    auto record = RunRecord::open(folder / "record", invented_station(), no_page);
    ASSERT_TRUE(record.has_value());
    record_seconds(*record, 10);
    EXPECT_FALSE(record->close(summary_of_invented_station()).has_value());
    for (const char* name : {"journal.jsonl", "trend.csv", "summary.json", "report.html"}) {
        EXPECT_TRUE(std::filesystem::exists(folder / "record" / name)) << name;
    }
}

TEST(RunRecord, wants_a_row_at_the_first_scan_and_then_once_a_second_of_station_time) {
    const ScratchFolder folder;
    auto record = RunRecord::open(folder.path(), invented_station(), no_page);
    record_seconds(*record, 10);
    EXPECT_EQ(lines_of(folder / "trend.csv").size(), 1U + 10U);
}

TEST(RunRecord, leaves_no_temporary_file_behind) {
    const ScratchFolder folder;
    auto record = RunRecord::open(folder.path(), invented_station(), no_page);
    record->close(summary_of_invented_station());
    for (const auto& entry : std::filesystem::directory_iterator(folder.path())) {
        EXPECT_NE(entry.path().extension(), ".part");
    }
}

TEST(RunRecord, moves_the_journal_of_a_crashed_run_aside_and_keeps_it) {
    const ScratchFolder folder;
    {
        auto crashed = RunRecord::open(folder.path(), invented_station(), no_page);
        record_seconds(*crashed, 3);
    }
    {
        auto crashed = RunRecord::open(folder.path(), invented_station(), no_page);
        record_seconds(*crashed, 4);
    }
    auto record = RunRecord::open(folder.path(), invented_station(), no_page);
    ASSERT_TRUE(record.has_value());
    EXPECT_EQ(lines_of(folder / "unfinished-1/trend.csv").size(), 1U + 3U);
    EXPECT_EQ(lines_of(folder / "unfinished-2/trend.csv").size(), 1U + 4U);
}

TEST(RunRecord, overwrites_a_finished_record_and_never_leaves_an_old_summary_with_a_new_journal) {
    const ScratchFolder folder;
    RunRecord::open(folder.path(), invented_station(), no_page)->close(summary_of_invented_station());
    auto record = RunRecord::open(folder.path(), invented_station(), no_page);
    ASSERT_TRUE(record.has_value());
    EXPECT_FALSE(std::filesystem::exists(folder / "unfinished-1"));
    EXPECT_FALSE(std::filesystem::exists(folder / "summary.json"));
    EXPECT_FALSE(std::filesystem::exists(folder / "report.html"));
}

TEST(RunRecord, that_cannot_be_opened_says_where_and_why) {
    const auto record = RunRecord::open("/proc/no_such_folder", invented_station(), no_page);
    ASSERT_FALSE(record.has_value());
    EXPECT_NE(record.error().message.find("/proc/no_such_folder: cannot create the folder"),
              std::string::npos);
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
                            "closing_count",
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
    EXPECT_TRUE(json["closing_count"].is_null());
    EXPECT_EQ(json["level_max_m"], 2.75);
    EXPECT_EQ(json["measured_not_good_s_by_cause"]["stale"], 1.5);
    EXPECT_EQ(json["starts_per_pump"], nlohmann::json({5, 6, 7}));
}

TEST(Summary, counts_the_closings_that_its_list_does_not_hold) {
    RunSummary summary = summary_of_invented_station();
    summary.closing_count = 3;
    summary.closings = {{.pump = 1}, {.pump = 2}};
    const auto json = nlohmann::json::parse(summary_json(summary));
    EXPECT_EQ(json["closing_count"], 3);
    EXPECT_EQ(json["closings"].size(), 2U);
}

TEST(ReportedEvents, tell_why_a_sequence_began_and_not_each_of_its_steps) {
    core::Advice advice;
    advice.event_count = 2;
    advice.events[0].what = core::EventKind::sequence_begun;
    advice.events[1].what = core::EventKind::step_entered;
    ReportedEvents reported;

    reported.add(advice);

    ASSERT_EQ(reported.events.size(), 1U);
    EXPECT_EQ(reported.events[0].event.what, core::EventKind::sequence_begun);
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
}  // namespace freshet::record
