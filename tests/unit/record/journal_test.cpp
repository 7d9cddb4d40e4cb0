// The journal: the content of a line, reading a line back, and no loss of lines when the process dies.
// One reason to change: the content of a journal line.
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>

#include "controller/record/journal_reader.hpp"
#include "controller/record/journal_writer.hpp"
#include "controller/words/reasons.hpp"
#include "tests/doubles/scratch_folder.hpp"

namespace freshet::record {
namespace {

using doubles::bytes_of;
using doubles::lines_of;
using doubles::ScratchFolder;

constexpr std::int64_t event_ms = 1938081600123;  // 2031-06-01T12:00:00.123Z

core::Event forecast_event() {
    core::Event event;
    event.number = 7;
    event.cause_number = 5;
    event.what = core::EventKind::sequence_begun;
    event.detail = static_cast<std::uint8_t>(core::Sequence::hand_over);
    event.pump = 1;
    event.why = core::Reason::forecast_short;
    event.values = {0.1, 0.25, 95, 130};
    return event;
}

core::Advice advice_with(std::initializer_list<core::Event> events) {
    core::Advice advice;
    advice.time_ms = event_ms;
    for (const core::Event& event : events) advice.events[advice.event_count++] = event;
    return advice;
}

std::string line_of(const core::Event& event) {
    std::string line;
    append_journal_line(line, event_ms, event);
    return line;
}

TEST(JournalLine, says_number_time_event_pump_from_one_reason_values_by_name_and_cause) {
    EXPECT_EQ(
        line_of(forecast_event()),
        R"({"seq":7,"time":"2031-06-01T12:00:00.123Z","what":"sequence_begun","detail":"hand_over","pump":2,)"
        R"("why":"forecast_short","values":{"inflow_m3s":0.1,"pumped_m3s":0.25,"time_to_mark_s":95,)"
        R"("time_needed_s":130},"cause":5})");
}

TEST(JournalLine, has_null_where_there_is_no_pump_or_no_cause) {
    core::Event event;
    event.number = 1;
    event.what = core::EventKind::service;
    event.detail = static_cast<std::uint8_t>(core::Service::normal);
    event.why = core::Reason::service_better;
    EXPECT_EQ(line_of(event),
              R"({"seq":1,"time":"2031-06-01T12:00:00.123Z","what":"service","detail":"normal","pump":null,)"
              R"("why":"service_better","values":{},"cause":null})");
}

TEST(JournalLine, gives_codes_by_name_and_values_that_are_not_finite_as_null) {
    core::Event event;
    event.number = 2;
    event.what = core::EventKind::measured_quality;
    event.detail = static_cast<std::uint8_t>(core::Quality::bad);
    event.why = core::Reason::data_bad;
    event.values = {std::nan(""), 4100, static_cast<double>(core::Cause::link_lost), 0};
    const auto json = nlohmann::json::parse(line_of(event));
    EXPECT_TRUE(json["values"]["value_m"].is_null());
    EXPECT_EQ(json["values"]["quality_cause"], "link_lost");
}

TEST(JournalLine, is_one_json_object_for_every_reason_and_reads_back_as_the_same_event) {
    for (const words::ReasonWord& reason : words::reasons) {
        core::Event event = forecast_event();
        event.why = reason.code;
        event.values = {};
        for (std::size_t i = 0; i < 4; ++i) {
            if (!reason.values[i].name.empty()) event.values[i] = 1;
        }
        const std::string line = line_of(event);
        const auto entry = parse_journal_line(line);
        ASSERT_TRUE(entry.has_value()) << line << entry.error().message;
        EXPECT_EQ(entry->time_ms, event_ms);
        EXPECT_EQ(entry->event.why, event.why);
        EXPECT_EQ(entry->event.values, event.values);
        EXPECT_EQ(line_of(entry->event), line);
    }
}

TEST(JournalLine, keeps_every_bit_of_a_value) {
    core::Event event = forecast_event();
    event.values[0] = std::nextafter(1.0 / 3, 1.0);
    EXPECT_EQ(parse_journal_line(line_of(event))->event.values[0], event.values[0]);
}

TEST(JournalWriter, writes_nothing_for_a_scan_without_events) {
    const ScratchFolder folder;
    auto journal = JournalWriter::create(folder / "journal.jsonl");
    ASSERT_TRUE(journal.has_value());
    journal->append(advice_with({}));
    EXPECT_EQ(bytes_of(folder / "journal.jsonl"), "");
}

TEST(JournalWriter, has_the_events_of_a_scan_on_file_before_it_returns) {
    const ScratchFolder folder;
    auto journal = JournalWriter::create(folder / "journal.jsonl");
    ASSERT_TRUE(journal.has_value());
    journal->append(advice_with({forecast_event(), forecast_event()}));
    EXPECT_EQ(lines_of(folder / "journal.jsonl").size(), 2U);
}

TEST(JournalWriter, loses_nothing_appended_when_its_process_is_killed) {
    const ScratchFolder folder;
    const pid_t child = ::fork();
    if (child == 0) {
        auto journal = JournalWriter::create(folder / "journal.jsonl");
        for (std::uint32_t number = 1; number <= 1000; ++number) {
            core::Event event = forecast_event();
            event.number = number;
            journal->append(advice_with({event}));
        }
        ::kill(::getpid(), SIGKILL);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    ASSERT_TRUE(WIFSIGNALED(status));
    const auto left = read_journal(folder / "journal.jsonl");
    ASSERT_TRUE(left.has_value()) << left.error().message;
    EXPECT_EQ(left->entries.size(), 1000U);
    EXPECT_FALSE(left->cut_off);
}

// /dev/full (Linux, full(4)) answers every write with ENOSPC.
TEST(JournalWriter, says_when_the_disk_is_full_and_writes_no_more) {
    auto journal = JournalWriter::create("/dev/full");
    ASSERT_TRUE(journal.has_value());
    journal->append(advice_with({forecast_event()}));
    ASSERT_TRUE(journal->failure().has_value());
    EXPECT_EQ(journal->failure()->message, "/dev/full: cannot write: No space left on device");
}

TEST(JournalWriter, that_cannot_be_created_says_where_and_why) {
    const ScratchFolder folder;
    const auto journal = JournalWriter::create(folder / "no_such_folder/journal.jsonl");
    ASSERT_FALSE(journal.has_value());
    EXPECT_NE(journal.error().message.find("journal.jsonl: cannot create: No such file or directory"),
              std::string::npos);
}

std::string place_of_error(const ScratchFolder& folder, const std::string& bytes) {
    std::ofstream(folder / "journal.jsonl", std::ios::binary) << bytes;
    const auto entries = read_journal(folder / "journal.jsonl");
    if (entries) return "read";
    return entries.error().message.substr((folder.path().string() + "/").size());
}

TEST(JournalReader, leaves_out_and_reports_a_last_line_that_a_crash_cut_off) {
    const ScratchFolder folder;
    EXPECT_EQ(place_of_error(folder, line_of(forecast_event()) + "\n{\"seq\":8,\"ti"), "read");
    const Journal journal = read_journal(folder / "journal.jsonl").value();
    EXPECT_EQ(journal.entries.size(), 1U);
    EXPECT_TRUE(journal.cut_off);
}

TEST(JournalReader, names_the_line_that_it_cannot_read) {
    const ScratchFolder folder;
    EXPECT_EQ(place_of_error(folder, line_of(forecast_event()) + "\nnot json\n"),
              "journal.jsonl:2:2: this is not a JSON object");
    std::string misnamed = line_of(forecast_event());
    misnamed.replace(misnamed.find("forecast_short"), 14, "whim");
    EXPECT_EQ(place_of_error(folder, misnamed + "\n"), "journal.jsonl:1: there is no reason \"whim\"");
}

TEST(JournalReader, refuses_a_gap_in_the_numbers) {
    const ScratchFolder folder;
    core::Event later = forecast_event();
    later.number = 9;
    EXPECT_EQ(place_of_error(folder, line_of(forecast_event()) + "\n" + line_of(later) + "\n"),
              "journal.jsonl:2: event 8 was expected here, not 9");
}

TEST(JournalReader, names_the_file_that_it_cannot_read) {
    EXPECT_EQ(read_journal("/proc/no_such_journal").error().message,
              "/proc/no_such_journal: cannot read: No such file or directory; expected the path of a "
              "journal.jsonl");
    EXPECT_EQ(read_journal("/proc").error().message,
              "/proc: cannot read: Is a directory; expected the path of a journal.jsonl");
}

TEST(JournalReader, takes_an_empty_journal_as_one_without_events) {
    const ScratchFolder folder;
    EXPECT_EQ(place_of_error(folder, ""), "read");
}

}  // namespace
}  // namespace freshet::record
