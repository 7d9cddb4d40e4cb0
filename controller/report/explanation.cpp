// Writes the sentences in order: the state, the last event, the rule, the chosen pump, the causes, the wait,
// the next events.
#include "controller/report/explanation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string_view>

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

std::string duration(std::int64_t ms) {
    return value_text(static_cast<double>(ms), Unit::ms);
}

void put_state(std::string& out, const JournalPicture& picture, std::int64_t at_ms) {
    out += "State at that time\n";
    for (std::size_t pump = 0; pump < picture.pumps.size(); ++pump) {
        const PumpPicture& own = picture.pumps[pump];
        if (!own.known) continue;
        out += fmt::format("  Pump {} had been {} for {}.\n", pump + 1, words::word(own.state).text,
                           duration(at_ms - own.since_ms));
    }
    if (picture.service) out += fmt::format("  Service: {}.\n", words::word(*picture.service).text);
    if (picture.quality) {
        out += fmt::format("  The measured value was {}", words::word(*picture.quality).text);
        if (picture.quality_cause != core::Cause::none)
            out += fmt::format(" ({})", words::word(picture.quality_cause).text);
        out += ".\n";
    }
    for (const ActiveAlarm& alarm : picture.alarms) {
        const std::string owner =
            alarm.pump == core::no_pump ? std::string("the station") : fmt::format("pump {}", alarm.pump + 1);
        out += fmt::format("  Alarm of {}, active for {}: {}.\n", owner, duration(at_ms - alarm.since_ms),
                           alarm_text(alarm));
    }
    if (picture.alarms.empty()) out += "  No alarm was active.\n";
}

std::string event_text(const JournalEntry& entry) {
    return fmt::format("no. {}, {}: {}", entry.event.number, words::instant(entry.time_ms),
                       words::sentence(entry.event));
}

void put_decision(std::string& out, const std::vector<JournalEntry>& journal, std::size_t index) {
    out += "The rule that decided, and its values\n";
    const auto decision = decision_behind(journal, index);
    if (!decision) {
        out += "  The journal has no decision that led to this event.\n";
        return;
    }
    const core::Event& event = journal[*decision].event;
    const words::ReasonWord& reason = words::word(event.why);
    out += fmt::format("  {} (no. {}, {}): {}.\n", reason.name, event.number,
                       words::instant(journal[*decision].time_ms), words::because(event));
    for (std::size_t i = 0; i < reason.values.size() && !reason.values[i].name.empty(); ++i) {
        out += fmt::format("{}{} {}", i == 0 ? "  " : ", ", reason.values[i].name,
                           value_text(event.values[i], reason.values[i].unit));
    }
    if (!reason.values[0].name.empty()) out += "\n";
}

/// Says why the pump of a start was chosen. Any other event has no choice, and adds nothing.
void put_choice(std::string& out, const std::vector<JournalEntry>& journal, std::size_t index) {
    const auto choice = choice_behind(journal, index);
    if (!choice) return;
    const core::Event& event = journal[*choice].event;
    out += fmt::format("Why pump {}\n  {} (no. {}, {}): {}.\n", event.pump + 1, words::word(event.why).name,
                       event.number, words::instant(journal[*choice].time_ms), words::because(event));
}

/// Appends the causes, nearest cause first. When several events of one scan have the same ground, the text
/// names only the first event. The other events are consequences of the first event and add nothing.
void put_causes(std::string& out, const std::vector<JournalEntry>& journal, std::size_t index) {
    constexpr int causes_max = 12;
    int named = 0;
    out += "The causes before that, the latest first\n";
    auto cause = cause_of(journal, index);
    while (cause) {
        const auto earlier = cause_of(journal, *cause);
        const bool same_ground = earlier && journal[*earlier].time_ms == journal[*cause].time_ms &&
                                 journal[*earlier].event.why == journal[*cause].event.why;
        if (!same_ground) {
            if (named++ == causes_max) {
                out += fmt::format("  There are earlier causes. Continue with --seq {}.\n",
                                   journal[*cause].event.number);
                return;
            }
            out += fmt::format("  {}\n", event_text(journal[*cause]));
        }
        cause = earlier;
    }
    if (named == 0) out += "  No earlier event led to this event.\n";
}

void put_waiting(std::string& out, const JournalPicture& picture, std::int64_t at_ms) {
    out += "What the controller waited for\n";
    bool on_line_side = false;
    for (std::size_t pump = 0; pump < picture.line_runs.size(); ++pump) {
        const LineRun& run = picture.line_runs[pump];
        if (run.step == core::Step::idle) continue;
        on_line_side = true;
        const core::StepRow& row = core::row_of(run.step);
        out += fmt::format(
            "  {} of pump {}: the controller had waited for {} until {}.\n",
            row.sequence == core::Sequence::line_start ? "Start on the line" : "Stop from the line", pump + 1,
            duration(at_ms - run.since_ms), words::word(row.wait_for).text);
    }
    if (picture.service == core::Service::waiting)
        out += "  The controller waited for readings without contradictions. Nothing was advised yet.\n";
    if (picture.step == core::Step::idle) {
        if (!picture.service)
            out += "  The controller waited for readings without contradictions. Nothing was advised yet.\n";
        else if (!on_line_side && picture.service != core::Service::waiting)
            out += "  No sequence was under way. Staging watched the measured value and the forecast.\n";
        return;
    }
    const core::StepRow& row = core::row_of(picture.step);
    out += fmt::format("  Sequence: {}", words::word(row.sequence).text);
    if (picture.sequence_pump != core::no_pump) out += fmt::format(" of pump {}", picture.sequence_pump + 1);
    out += fmt::format(". For {} the controller had been {}.\n", duration(at_ms - picture.step_since_ms),
                       words::word(picture.step).text);
    out += fmt::format("  The controller waited until {}.\n", words::word(row.wait_for).text);
    out += fmt::format("  After that: {}.\n", way_text(row.then));
    out += fmt::format("  If the time ran out ({}): {}.\n", words::word(row.limit).text,
                       way_text(row.on_time_out));
}

void put_following(std::string& out, const std::vector<JournalEntry>& journal, std::size_t index,
                   std::int64_t at_ms) {
    if (index + 1 >= journal.size()) {
        out += "What came next\n  The journal ends here.";
        if (at_ms > journal[index].time_ms)
            out += " The journal does not say whether the run lasted until the requested time.";
        out += "\n";
        return;
    }
    out += "What came next\n";
    for (std::size_t i = index + 1; i < std::min(journal.size(), index + 1 + following_max); ++i) {
        out += fmt::format("  {} later, {}\n", duration(journal[i].time_ms - at_ms), event_text(journal[i]));
    }
}

}  // namespace

std::string way_text(const core::Way& way) {
    if (way.step != core::Step::idle) return std::string(words::word(way.step).text);
    const std::string end = "the sequence ends with the pump " + std::string(words::word(way.end).text);
    return way.end == core::PumpState::locked_out ? end + ", or off when its contactor is not read" : end;
}

std::string explanation(const std::vector<JournalEntry>& journal, std::size_t index, std::int64_t at_ms) {
    const JournalPicture picture = picture_of(journal, index);
    std::string out = fmt::format("As of {}\n", words::instant(at_ms));
    put_state(out, picture, at_ms);
    out += fmt::format("What happened last\n  {}\n", event_text(journal[index]));
    put_decision(out, journal, index);
    put_choice(out, journal, index);
    put_causes(out, journal, index);
    put_waiting(out, picture, at_ms);
    put_following(out, journal, index, at_ms);
    out += fmt::format("\n{}\n", words::caution_line);
    return out;
}

}  // namespace freshet::report
