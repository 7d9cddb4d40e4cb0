// Follows the journal up to the instant asked for, then the cause numbers back from it.
#include "sim_plant/command/explain_command.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <optional>
#include <string_view>
#include <utility>

#include "controller/words/alarms.hpp"
#include "controller/words/instant.hpp"
#include "controller/words/reasons.hpp"
#include "controller/words/sentences.hpp"
#include "controller/words/sequence_table.hpp"
#include "controller/words/sequences.hpp"
#include "controller/words/states.hpp"
#include "hal/service/command_line.hpp"
#include "sim_plant/command/commands.hpp"

namespace freshet::command {
namespace {

using record::JournalEntry;
using words::Unit;
using words::value_text;

/// How many of the events that followed are told.
constexpr std::size_t following_max = 3;

struct PumpPicture {
    core::PumpState state = core::PumpState::off;
    std::int64_t since_ms = 0;
    bool told = false;
};

struct StandingAlarm {
    std::uint8_t pump, code;
    std::int64_t since_ms;
};

/// What the journal has told up to an event.
struct Picture {
    std::array<PumpPicture, core::pumps_max> pumps{};
    core::Sequence sequence = core::Sequence::none;
    core::Step step = core::Step::idle;
    std::uint8_t sequence_pump = core::no_pump;
    std::int64_t step_since_ms = 0;
    /// Pumps being stopped from the line, beside whatever else goes on, and since when; 0: not.
    std::array<std::int64_t, core::pumps_max> line_stop_since_ms{};
    std::optional<core::Service> service;
    std::optional<core::Quality> quality;
    core::Cause quality_cause = core::Cause::none;
    std::vector<StandingAlarm> alarms;
};

/// The cause of a quality, where its event tells one.
core::Cause cause_told(const core::Event& event) {
    constexpr std::size_t cause_at = 2;
    const words::Value& value = words::word(event.why).values[cause_at];
    const double code = event.values[cause_at];
    const bool told = value.unit == Unit::quality_cause && !value.name.empty() && code >= 0 &&
                      code < static_cast<double>(words::quality_causes.size());
    return told ? static_cast<core::Cause>(code) : core::Cause::none;
}

/// A stop from line runs beside the main sequence and is followed by itself.
bool follow_line_stop(Picture& picture, const JournalEntry& entry) {
    const core::Event& event = entry.event;
    const bool of_sequence = event.what == core::Happening::sequence_begun ||
                             event.what == core::Happening::sequence_done ||
                             event.what == core::Happening::sequence_withdrawn;
    const bool concerns =
        (of_sequence && static_cast<core::Sequence>(event.detail) == core::Sequence::stop_from_line) ||
        (event.what == core::Happening::step_entered &&
         static_cast<core::Step>(event.detail) == core::Step::line_stop_open);
    if (!concerns || event.pump >= picture.line_stop_since_ms.size()) return concerns;
    const bool over = of_sequence && event.what != core::Happening::sequence_begun;
    picture.line_stop_since_ms[event.pump] = over ? 0 : entry.time_ms;
    return true;
}

void follow(Picture& picture, const JournalEntry& entry) {
    if (follow_line_stop(picture, entry)) return;
    const core::Event& event = entry.event;
    switch (event.what) {
        case core::Happening::sequence_begun:
            picture.sequence = static_cast<core::Sequence>(event.detail);
            picture.sequence_pump = event.pump;
            break;
        case core::Happening::step_entered:
            picture.step = static_cast<core::Step>(event.detail);
            picture.step_since_ms = entry.time_ms;
            break;
        case core::Happening::sequence_done:
        case core::Happening::sequence_withdrawn:
            picture.sequence = core::Sequence::none;
            picture.step = core::Step::idle;
            break;
        case core::Happening::pump_state:
            if (event.pump < picture.pumps.size()) {
                picture.pumps[event.pump] = {static_cast<core::PumpState>(event.detail), entry.time_ms, true};
            }
            break;
        case core::Happening::service:
            picture.service = static_cast<core::Service>(event.detail);
            break;
        case core::Happening::measured_quality:
            picture.quality = static_cast<core::Quality>(event.detail);
            picture.quality_cause = cause_told(event);
            break;
        case core::Happening::alarm_raised:
            picture.alarms.push_back({event.pump, event.detail, entry.time_ms});
            break;
        case core::Happening::alarm_returned:
        case core::Happening::alarm_shelved:
        case core::Happening::alarm_out_of_service:
            std::erase_if(picture.alarms, [&event](const StandingAlarm& alarm) {
                return alarm.pump == event.pump && alarm.code == event.detail;
            });
            break;
        case core::Happening::alarm_acknowledged:
        case core::Happening::alarm_unshelved:
        case core::Happening::alarm_in_service:
        case core::Happening::protective_stop:
        case core::Happening::count:
            break;
    }
}

template <class... Values>
void put(std::string& out, fmt::format_string<Values...> format, Values&&... values) {
    fmt::format_to(std::back_inserter(out), format, std::forward<Values>(values)...);
}

std::string_view alarm_text(const StandingAlarm& alarm) {
    return alarm.pump == core::no_pump ? words::word(static_cast<core::StationAlarm>(alarm.code)).text
                                       : words::word(static_cast<core::PumpAlarm>(alarm.code)).text;
}

std::string duration(std::int64_t ms) {
    return value_text(static_cast<double>(ms), Unit::ms);
}

void put_standing(std::string& out, const Picture& picture, std::int64_t at_ms) {
    out += "What stood\n";
    for (std::size_t pump = 0; pump < picture.pumps.size(); ++pump) {
        const PumpPicture& own = picture.pumps[pump];
        if (!own.told) continue;
        put(out, "  Pump {} was {}, for {}.\n", pump + 1, words::word(own.state).text,
            duration(at_ms - own.since_ms));
    }
    if (picture.service) put(out, "  The controller gave {}.\n", words::word(*picture.service).text);
    if (picture.quality) {
        put(out, "  The measured value was {}", words::word(*picture.quality).text);
        if (picture.quality_cause != core::Cause::none)
            put(out, ": {}", words::word(picture.quality_cause).text);
        out += ".\n";
    }
    for (const StandingAlarm& alarm : picture.alarms) {
        const std::string whose =
            alarm.pump == core::no_pump ? std::string("station") : fmt::format("pump {}", alarm.pump + 1);
        put(out, "  Alarm of the {}: {}, for {}.\n", whose, alarm_text(alarm),
            duration(at_ms - alarm.since_ms));
    }
    if (picture.alarms.empty()) out += "  No alarm stood.\n";
}

std::string told(const JournalEntry& entry) {
    return fmt::format("no. {}, {}: {}", entry.event.number, words::instant(entry.time_ms),
                       words::sentence(entry.event));
}

/// The place of an event's cause, where the journal holds it. Numbers rise by one from the first entry's.
std::optional<std::size_t> cause_of(const std::vector<JournalEntry>& journal, std::size_t index) {
    const std::uint32_t cause = journal[index].event.cause_number;
    const std::uint32_t first = journal.front().event.number;
    if (cause < first || cause >= journal[index].event.number) return std::nullopt;
    return cause - first;
}

/// Progress within a sequence decides nothing: the ground of it lies further back.
bool is_progress(core::Reason why) {
    return why == core::Reason::none || why == core::Reason::confirmed || why == core::Reason::in_sync;
}

/// The nearest event, this one or a cause of it, whose rule decided; nothing where the journal does not reach
/// so far.
std::optional<std::size_t> decision_behind(const std::vector<JournalEntry>& journal, std::size_t index) {
    std::optional<std::size_t> at = index;
    while (at && is_progress(journal[*at].event.why)) at = cause_of(journal, *at);
    return at;
}

void put_decision(std::string& out, const std::vector<JournalEntry>& journal, std::size_t index) {
    out += "Which rule decided, and what it saw\n";
    const auto decision = decision_behind(journal, index);
    if (!decision) {
        out += "  The journal holds no decision behind this.\n";
        return;
    }
    const core::Event& event = journal[*decision].event;
    const words::ReasonWord& reason = words::word(event.why);
    put(out, "  {} (no. {}, {}): {}.\n", reason.name, event.number,
        words::instant(journal[*decision].time_ms), words::because(event));
    for (std::size_t i = 0; i < reason.values.size() && !reason.values[i].name.empty(); ++i) {
        put(out, "{}{} {}", i == 0 ? "  " : ", ", reason.values[i].name,
            value_text(event.values[i], reason.values[i].unit));
    }
    if (!reason.values[0].name.empty()) out += "\n";
}

/// The causes, nearest first. Of several events of one scan with one ground only the first is told: the
/// others are its consequences and say nothing more.
void put_causes(std::string& out, const std::vector<JournalEntry>& journal, std::size_t index) {
    constexpr int causes_max = 12;
    int told_count = 0;
    out += "How it came about, the nearest cause first\n";
    auto cause = cause_of(journal, index);
    while (cause) {
        const auto earlier = cause_of(journal, *cause);
        const bool same_ground = earlier && journal[*earlier].time_ms == journal[*cause].time_ms &&
                                 journal[*earlier].event.why == journal[*cause].event.why;
        if (!same_ground) {
            if (told_count++ == causes_max) {
                put(out, "  and so on: ask for --seq {}\n", journal[*cause].event.number);
                return;
            }
            put(out, "  {}\n", told(journal[*cause]));
        }
        cause = earlier;
    }
    if (told_count == 0) out += "  Nothing before it led to it.\n";
}

std::string way_text(const core::Way& way) {
    if (way.step != core::Step::idle) return std::string(words::word(way.step).text);
    const std::string end = "the end of the sequence with the pump " + std::string(words::word(way.end).text);
    return way.end == core::PumpState::locked_out ? end + ", or off where its contact is not read" : end;
}

void put_waiting(std::string& out, const Picture& picture, std::int64_t at_ms) {
    out += "What it waited for\n";
    bool stops = false;
    for (std::size_t pump = 0; pump < picture.line_stop_since_ms.size(); ++pump) {
        const std::int64_t since_ms = picture.line_stop_since_ms[pump];
        if (since_ms == 0) continue;
        stops = true;
        put(out, "  In the stop from the line of pump {} it had been waiting for {} until {}.\n", pump + 1,
            duration(at_ms - since_ms), words::word(core::row_of(core::Step::line_stop_open).wait_for).text);
    }
    if (picture.service == core::Service::waiting)
        out += "  For a picture of the station that is consistent; nothing was advised yet.\n";
    if (picture.step == core::Step::idle) {
        if (!picture.service)
            out += "  For what was read of the station to be consistent; nothing was advised yet.\n";
        else if (!stops && picture.service != core::Service::waiting)
            out += "  No sequence was under way; staging watched the measured value and the forecast.\n";
        return;
    }
    const core::StepRow& row = core::row_of(picture.step);
    put(out, "  In the {}", words::word(row.sequence).text);
    if (picture.sequence_pump != core::no_pump) put(out, " of pump {}", picture.sequence_pump + 1);
    put(out, " it had been {} for {}, and waited until {}.\n", words::word(picture.step).text,
        duration(at_ms - picture.step_since_ms), words::word(row.wait_for).text);
    put(out, "  Then comes {}.\n", way_text(row.then));
    put(out, "  Were the time out ({}), then {}.\n", words::word(row.limit).text, way_text(row.on_time_out));
}

void put_following(std::string& out, const std::vector<JournalEntry>& journal, std::size_t index,
                   std::int64_t at_ms) {
    if (index + 1 >= journal.size()) {
        out += "What came next\n  Nothing: the journal ends here.";
        if (at_ms > journal[index].time_ms) out += " Whether the run lasted until then, it does not say.";
        out += "\n";
        return;
    }
    out += "What came next\n";
    for (std::size_t i = index + 1; i < std::min(journal.size(), index + 1 + following_max); ++i) {
        put(out, "  {} later, {}\n", duration(journal[i].time_ms - at_ms), told(journal[i]));
    }
}

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

using Json = nlohmann::ordered_json;

double seconds(std::int64_t ms) {
    constexpr double s_per_ms = 1e-3;
    return s_per_ms * static_cast<double>(ms);
}

Json event_json(const JournalEntry& entry) {
    return {{"number", entry.event.number},
            {"time", words::instant(entry.time_ms)},
            {"cause", entry.event.cause_number == 0 ? Json() : Json(entry.event.cause_number)},
            {"text", words::sentence(entry.event)}};
}

Json standing_json(const Picture& picture, std::int64_t at_ms) {
    Json standing;
    standing["service"] = picture.service ? Json(words::word(*picture.service).name) : Json();
    standing["measured_quality"] = picture.quality ? Json(words::word(*picture.quality).name) : Json();
    standing["quality_cause"] =
        picture.quality_cause == core::Cause::none ? Json() : Json(words::word(picture.quality_cause).name);
    standing["pumps"] = Json::array();
    for (std::size_t pump = 0; pump < picture.pumps.size(); ++pump)
        if (picture.pumps[pump].told)
            standing["pumps"].push_back({{"pump", pump + 1},
                                         {"state", words::word(picture.pumps[pump].state).name},
                                         {"for_s", seconds(at_ms - picture.pumps[pump].since_ms)}});
    standing["alarms"] = Json::array();
    for (const StandingAlarm& alarm : picture.alarms)
        standing["alarms"].push_back({{"pump", alarm.pump == core::no_pump ? Json() : Json(alarm.pump + 1)},
                                      {"text", alarm_text(alarm)},
                                      {"for_s", seconds(at_ms - alarm.since_ms)}});
    return standing;
}

Json decision_json(const std::vector<JournalEntry>& journal, std::size_t index) {
    const auto decision = decision_behind(journal, index);
    if (!decision) return {};
    const core::Event& event = journal[*decision].event;
    const words::ReasonWord& reason = words::word(event.why);
    Json one{{"rule", reason.name},
             {"number", event.number},
             {"time", words::instant(journal[*decision].time_ms)},
             {"because", words::because(event)}};
    one["saw"] = Json::object();
    for (std::size_t i = 0; i < reason.values.size() && !reason.values[i].name.empty(); ++i) {
        const std::string_view coded = words::value_name(event.values[i], reason.values[i].unit);
        one["saw"][std::string(reason.values[i].name)] =
            coded.empty() ? Json(event.values[i]) : Json(std::string(coded));
    }
    return one;
}

Json causes_json(const std::vector<JournalEntry>& journal, std::size_t index) {
    Json causes = Json::array();
    for (auto cause = cause_of(journal, index); cause; cause = cause_of(journal, *cause))
        causes.push_back(event_json(journal[*cause]));
    return causes;
}

Json waiting_json(const Picture& picture, std::int64_t at_ms) {
    Json waiting = Json::array();
    const auto add = [&](core::Step step, std::size_t pump, std::int64_t since_ms) {
        const core::StepRow& row = core::row_of(step);
        waiting.push_back({{"sequence", words::word(row.sequence).name},
                           {"pump", pump == core::no_pump ? Json() : Json(pump + 1)},
                           {"step", words::word(step).name},
                           {"for_s", seconds(at_ms - since_ms)},
                           {"until", words::word(row.wait_for).name},
                           {"limit", words::word(row.limit).name},
                           {"then", way_text(row.then)},
                           {"on_time_out", way_text(row.on_time_out)}});
    };
    for (std::size_t pump = 0; pump < picture.line_stop_since_ms.size(); ++pump)
        if (picture.line_stop_since_ms[pump] != 0)
            add(core::Step::line_stop_open, pump, picture.line_stop_since_ms[pump]);
    if (picture.step != core::Step::idle) add(picture.step, picture.sequence_pump, picture.step_since_ms);
    return waiting;
}

int complain(const std::string& what, int code) {
    std::fprintf(stderr, "freshet explain: %s\n", what.c_str());
    return code;
}

}  // namespace

std::string explanation(const std::vector<JournalEntry>& journal, std::size_t index, std::int64_t at_ms) {
    Picture picture;
    for (std::size_t i = 0; i <= index; ++i) follow(picture, journal[i]);
    std::string out = fmt::format("As of {}\n", words::instant(at_ms));
    put_standing(out, picture, at_ms);
    put(out, "What happened last\n  {}\n", told(journal[index]));
    put_decision(out, journal, index);
    put_causes(out, journal, index);
    put_waiting(out, picture, at_ms);
    put_following(out, journal, index, at_ms);
    return out;
}

std::string explanation_json(const std::vector<JournalEntry>& journal, std::size_t index,
                             std::int64_t at_ms) {
    Picture picture;
    for (std::size_t i = 0; i <= index; ++i) follow(picture, journal[i]);
    Json answer{{"at", words::instant(at_ms)},           {"standing", standing_json(picture, at_ms)},
                {"last", event_json(journal[index])},    {"decision", decision_json(journal, index)},
                {"causes", causes_json(journal, index)}, {"waiting_for", waiting_json(picture, at_ms)}};
    answer["next"] = Json::array();
    for (std::size_t i = index + 1; i < std::min(journal.size(), index + 1 + following_max); ++i)
        answer["next"].push_back(event_json(journal[i]));
    constexpr int indent = 2;
    return answer.dump(indent, ' ', false, Json::error_handler_t::replace) + "\n";
}

namespace {

/// Whether the last line lacks its end: a run that was cut off, or a copy.
bool is_cut_off(const std::string& file) {
    std::ifstream bytes(file, std::ios::binary | std::ios::ate);
    if (!bytes || bytes.tellg() <= 0) return false;
    bytes.seekg(-1, std::ios::end);
    return bytes.get() != '\n';
}

}  // namespace

int explain_command(int argc, char** argv) {
    CLI::App app{
        "Tells in sentences what the controller saw, which rule decided, and what it waited for.\n"
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
    app.footer("Exit code: 0 good, 1 nothing had happened by then, 2 bad input, 3 failed.");
    if (const auto code = service::read_command_line(app, argc, argv)) return *code;
    if (by_time->empty() && by_number->empty()) return complain("say --at TIME or --seq N", exit_bad_input);

    const auto print = [json](const std::vector<JournalEntry>& events, std::size_t index,
                              std::int64_t at_ms) {
        const std::string text =
            json ? explanation_json(events, index, at_ms) : explanation(events, index, at_ms);
        std::fputs(text.c_str(), stdout);
        return exit_good;
    };
    const auto journal = record::read_journal(file);
    if (!journal) return complain(journal.error().message, exit_bad_input);
    if (is_cut_off(file)) complain(file + ": the last line is cut off and left out", exit_good);
    if (journal->empty()) return complain(file + ": the journal is empty: nothing happened", exit_finding);

    if (!by_number->empty()) {
        const std::uint32_t first = journal->front().event.number;
        if (number < first || number > journal->back().event.number) {
            return complain(fmt::format("there is no event {}; the journal has {} to {}", number, first,
                                        journal->back().event.number),
                            exit_bad_input);
        }
        const std::size_t index = number - first;
        return print(*journal, index, (*journal)[index].time_ms);
    }
    const auto at_ms = asked_instant(at, journal->front().time_ms);
    if (!at_ms)
        return complain("\"" + at + "\" is no time; expected 2031-06-01T12:04:30Z or 12:04:30",
                        exit_bad_input);
    const auto after = std::upper_bound(
        journal->begin(), journal->end(), *at_ms,
        [](std::int64_t time_ms, const JournalEntry& entry) { return time_ms < entry.time_ms; });
    if (after == journal->begin()) {
        return complain(
            "nothing had happened by then; the first event is at " + words::instant(journal->front().time_ms),
            exit_finding);
    }
    return print(*journal, static_cast<std::size_t>(after - journal->begin()) - 1, *at_ms);
}

}  // namespace freshet::command
