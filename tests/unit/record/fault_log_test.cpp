// The faults and the instructor's orders in a record.
#include "controller/record/fault_log.hpp"

#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>

#include "controller/record/run_record.hpp"
#include "tests/doubles/scratch_folder.hpp"
#include "tests/unit/record/invented_run.hpp"

namespace freshet::record {
namespace {

using invented::no_page;

using doubles::bytes_of;
using doubles::ScratchFolder;

constexpr std::int64_t at_ms = 1'937'000'000'500;  // 2031-05-19T23:33:20.500Z

FaultNews trip() {
    return {.time_ms = at_ms,
            .by = "instructor",
            .what = "set",
            .device = "pump_2",
            .kind = "trip",
            .order = "pump_2 trip",
            .answer = "pump_2: trip"};
}

TEST(FaultLog, writes_a_line_of_station_time_for_each_at_once) {
    const ScratchFolder folder;
    FaultLog log(folder / "faults.jsonl");
    log.append(trip());
    log.append({.time_ms = at_ms,
                .by = "scenario",
                .what = "set",
                .device = "level_1",
                .kind = "offset",
                .amount = 0.4});
    EXPECT_EQ(
        bytes_of(folder / "faults.jsonl"),
        R"({"seq":1,"time":"2031-05-19T23:33:20.500Z","by":"instructor","what":"set","device":"pump_2",)"
        R"("kind":"trip","amount":null,"order":"pump_2 trip","answer":"pump_2: trip"})"
        "\n"
        R"({"seq":2,"time":"2031-05-19T23:33:20.500Z","by":"scenario","what":"set","device":"level_1",)"
        R"("kind":"offset","amount":0.4,"order":null,"answer":null})"
        "\n");
}

TEST(FaultLog, leaves_no_file_after_a_run_without_faults) {
    const ScratchFolder folder;
    FaultLog log(folder / "faults.jsonl");
    log.sync();
    EXPECT_FALSE(std::filesystem::exists(folder / "faults.jsonl"));
}

TEST(FaultLog, keeps_one_line_for_an_order_that_is_not_text) {
    FaultNews news = trip();
    news.what = "refused";
    news.order = "dr\"ive\n\xff";
    const std::string line = fault_line(1, news);
    EXPECT_EQ(line.find('\n'), std::string::npos);
    EXPECT_NE(line.find(R"("order":"dr\"ive\n)"), std::string::npos) << line;
}

TEST(FaultLog, that_cannot_be_written_gives_file_and_reason) {
    FaultLog log("/proc/no_such_folder/faults.jsonl");
    log.append(trip());
    ASSERT_TRUE(log.failure().has_value());
    EXPECT_NE(log.failure()->message.find("/proc/no_such_folder/faults.jsonl"), std::string::npos);
}

TEST(FaultLog, is_in_the_record_of_a_station_without_a_journal_and_is_kept_when_its_run_crashed) {
    const ScratchFolder folder;
    RunTitle title;
    title.settings.pump_count = 2;
    const auto open = [&] {
        return RunRecord::open(folder.path(), title, no_page, RunRecord::Journal::none);
    };
    {
        auto crashed = open();
        ASSERT_TRUE(crashed);
        crashed->fault(trip());
        EXPECT_FALSE(std::filesystem::exists(folder / "journal.jsonl"));
    }
    auto finished = open();
    ASSERT_TRUE(finished);
    EXPECT_TRUE(std::filesystem::exists(folder / "unfinished-1/faults.jsonl"));
    EXPECT_FALSE(std::filesystem::exists(folder / "faults.jsonl")) << "of another run";
    finished->fault(trip());
    EXPECT_FALSE(finished->close({}));
    EXPECT_TRUE(std::filesystem::exists(folder / "faults.jsonl"));
    ASSERT_TRUE(open());
    EXPECT_FALSE(std::filesystem::exists(folder / "faults.jsonl")) << "a finished record gives way";
}

}  // namespace
}  // namespace freshet::record
