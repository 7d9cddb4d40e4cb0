// `freshet explain`: arguments, and the choice of the event to explain.
// One reason to change: the arguments of this command, or how the event is chosen.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <optional>
#include <string>
#include <vector>

#include "controller/record/journal_reader.hpp"
#include "controller/report/explanation.hpp"
#include "controller/report/explanation_json.hpp"
#include "controller/words/instant.hpp"
#include "hal/service/command_line.hpp"
#include "sim_plant/command/commands.hpp"

namespace freshet::command {
namespace {

using record::JournalEntry;

/// An instant, or a time of day ("04:05", "04:05:06.7") on the journal's first day or the day after.
std::optional<std::int64_t> asked_instant(const std::string& text, std::int64_t begin_ms) {
    if (const auto whole = words::parse_instant(text)) return whole;
    const std::string day = words::instant(begin_ms).substr(0, 10);
    const bool minutes_only = std::count(text.begin(), text.end(), ':') == 1;
    const auto on_day = words::parse_instant(day + "T" + text + (minutes_only ? ":00Z" : "Z"));
    constexpr std::int64_t day_ms = 86'400'000;
    if (on_day && *on_day < begin_ms) return *on_day + day_ms;
    return on_day;
}

int complain(const std::string& what, int code) {
    std::fprintf(stderr, "freshet explain: %s\n", what.c_str());
    return code;
}

}  // namespace

int explain_command(int argc, char** argv) {
    CLI::App app{
        "Explains in sentences what the controller saw, which rule decided, and what the controller waited "
        "for.\n"
        "Example: freshet explain record/journal.jsonl --at 2031-06-01T12:04:30Z",
        "freshet explain"};
    std::string file, at;
    std::uint32_t number = 0;
    bool json = false;
    app.add_option("JOURNAL", file, "journal.jsonl of a record")->required();
    auto* by_time =
        app.add_option("--at", at, "instant in UTC: 2031-06-01T12:04:30Z, or a time of day: 12:04:30");
    auto* by_number = app.add_option("--seq", number, "number of an event")->excludes(by_time);
    app.add_flag("--json", json, "print the answer as JSON");
    app.footer("Exit code: 0 good, 1 no event before that time, 2 bad input, 3 failed.");
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;
    if (by_time->empty() && by_number->empty())
        return complain("--at TIME or --seq N is missing", exit_bad_input);

    const auto print = [json](const std::vector<JournalEntry>& events, std::size_t index,
                              std::int64_t at_ms) {
        const std::string text =
            json ? report::explanation_json(events, index, at_ms) : report::explanation(events, index, at_ms);
        std::fputs(text.c_str(), stdout);
        return exit_good;
    };
    const auto read = record::read_journal(file);
    if (!read) return complain(read.error().message, exit_bad_input);
    const std::vector<JournalEntry>& journal = read->entries;
    if (read->cut_off) complain(file + ": the last line is incomplete and left out", exit_good);
    if (journal.empty())
        return complain(file + ": the journal is empty, because nothing happened", exit_finding);

    if (!by_number->empty()) {
        const std::uint32_t first = journal.front().event.number;
        if (number < first || number > journal.back().event.number) {
            return complain(fmt::format("there is no event {}; the journal has the events {} to {}", number,
                                        first, journal.back().event.number),
                            exit_bad_input);
        }
        const std::size_t index = number - first;
        return print(journal, index, journal[index].time_ms);
    }
    const auto at_ms = asked_instant(at, journal.front().time_ms);
    if (!at_ms)
        return complain("\"" + at + "\" is not a time; expected 2031-06-01T12:04:30Z or 12:04:30",
                        exit_bad_input);
    const auto after = std::upper_bound(
        journal.begin(), journal.end(), *at_ms,
        [](std::int64_t time_ms, const JournalEntry& entry) { return time_ms < entry.time_ms; });
    if (after == journal.begin()) {
        return complain("no event happened before that time; the first event is at " +
                            words::instant(journal.front().time_ms),
                        exit_finding);
    }
    return print(journal, static_cast<std::size_t>(after - journal.begin()) - 1, *at_ms);
}

}  // namespace freshet::command
