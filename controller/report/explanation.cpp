// Puts the sentences together: the state, the last event, the rule, the causes, the wait, the events that
// followed.
#include "controller/report/explanation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <optional>
#include <string_view>
#include <utility>

#include "controller/report/journal_causes.hpp"
#include "controller/report/journal_picture.hpp"
#include "controller/words/cautions.hpp"
#include "controller/words/instant.hpp"
#include "controller/words/reasons.hpp"
#include "controller/words/sentences.hpp"
#include "controller/words/sequence_table.hpp"
#include "controller/words/sequences.hpp"
#include "controller/words/states.hpp"

namespace freshet::report {
namespace {

using record::JournalEntry;
using words::Unit;
using words::value_text;

template <class... Values>
void put(std::string& out, fmt::format_string<Values...> format, Values&&... values) {
    fmt::format_to(std::back_inserter(out), format, std::forward<Values>(values)...);
}

std::string duration(std::int64_t ms) {
    return value_text(static_cast<double>(ms), Unit::ms);
}

void put_standing(std::string& out, const JournalPicture& picture, std::int64_t at_ms) {
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

void put_waiting(std::string& out, const JournalPicture& picture, std::int64_t at_ms) {
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

}  // namespace

std::string way_text(const core::Way& way) {
    if (way.step != core::Step::idle) return std::string(words::word(way.step).text);
    const std::string end = "the end of the sequence with the pump " + std::string(words::word(way.end).text);
    return way.end == core::PumpState::locked_out ? end + ", or off where its contact is not read" : end;
}

std::string explanation(const std::vector<JournalEntry>& journal, std::size_t index, std::int64_t at_ms) {
    const JournalPicture picture = picture_of(journal, index);
    std::string out = fmt::format("As of {}\n", words::instant(at_ms));
    put_standing(out, picture, at_ms);
    put(out, "What happened last\n  {}\n", told(journal[index]));
    put_decision(out, journal, index);
    put_causes(out, journal, index);
    put_waiting(out, picture, at_ms);
    put_following(out, journal, index, at_ms);
    put(out, "\n{}\n", words::caution_line);
    return out;
}

}  // namespace freshet::report
