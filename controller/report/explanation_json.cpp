// Each function writes one member of the object.
#include "controller/report/explanation_json.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string_view>

#include "controller/report/explanation.hpp"
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

Json state_json(const JournalPicture& picture, std::int64_t at_ms) {
    Json state;
    state["service"] = picture.service ? Json(words::word(*picture.service).name) : Json();
    state["measured_quality"] = picture.quality ? Json(words::word(*picture.quality).name) : Json();
    state["quality_cause"] =
        picture.quality_cause == core::Cause::none ? Json() : Json(words::word(picture.quality_cause).name);
    state["pumps"] = Json::array();
    for (std::size_t pump = 0; pump < picture.pumps.size(); ++pump)
        if (picture.pumps[pump].known)
            state["pumps"].push_back({{"pump", pump + 1},
                                      {"state", words::word(picture.pumps[pump].state).name},
                                      {"for_s", seconds(at_ms - picture.pumps[pump].since_ms)}});
    state["alarms"] = Json::array();
    for (const ActiveAlarm& alarm : picture.alarms)
        state["alarms"].push_back({{"pump", alarm.pump == core::no_pump ? Json() : Json(alarm.pump + 1)},
                                   {"text", alarm_text(alarm)},
                                   {"for_s", seconds(at_ms - alarm.since_ms)}});
    return state;
}

/// The rule of an event with its values.
Json rule_json(const JournalEntry& entry) {
    const core::Event& event = entry.event;
    const words::ReasonWord& reason = words::word(event.why);
    Json one{{"rule", reason.name},
             {"number", event.number},
             {"time", words::instant(entry.time_ms)},
             {"because", words::because(event)}};
    one["saw"] = Json::object();
    for (std::size_t i = 0; i < reason.values.size() && !reason.values[i].name.empty(); ++i) {
        const std::string_view coded = words::value_name(event.values[i], reason.values[i].unit);
        one["saw"][std::string(reason.values[i].name)] =
            coded.empty() ? Json(event.values[i]) : Json(std::string(coded));
    }
    return one;
}

Json decision_json(const std::vector<JournalEntry>& journal, std::size_t index) {
    const auto decision = decision_behind(journal, index);
    return decision ? rule_json(journal[*decision]) : Json();
}

/// Why the pump of a start was chosen; null for any other event.
Json choice_json(const std::vector<JournalEntry>& journal, std::size_t index) {
    const auto choice = choice_behind(journal, index);
    if (!choice) return {};
    Json one = rule_json(journal[*choice]);
    one["pump"] = journal[*choice].event.pump + 1;
    return one;
}

Json causes_json(const std::vector<JournalEntry>& journal, std::size_t index) {
    Json causes = Json::array();
    for (auto cause = cause_of(journal, index); cause; cause = cause_of(journal, *cause))
        causes.push_back(event_json(journal[*cause]));
    return causes;
}

Json waiting_json(const JournalPicture& picture, std::int64_t at_ms) {
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
    for (std::size_t pump = 0; pump < picture.line_runs.size(); ++pump)
        if (const LineRun& run = picture.line_runs[pump]; run.step != core::Step::idle)
            add(run.step, pump, run.since_ms);
    if (picture.step != core::Step::idle) add(picture.step, picture.sequence_pump, picture.step_since_ms);
    return waiting;
}

}  // namespace

std::string explanation_json(const std::vector<JournalEntry>& journal, std::size_t index,
                             std::int64_t at_ms) {
    const JournalPicture picture = picture_of(journal, index);
    Json answer{{"at", words::instant(at_ms)},           {"standing", state_json(picture, at_ms)},
                {"last", event_json(journal[index])},    {"decision", decision_json(journal, index)},
                {"causes", causes_json(journal, index)}, {"waiting_for", waiting_json(picture, at_ms)}};
    answer["choice"] = choice_json(journal, index);
    answer["next"] = Json::array();
    for (std::size_t i = index + 1; i < std::min(journal.size(), index + 1 + following_max); ++i)
        answer["next"].push_back(event_json(journal[i]));
    answer["caution"] = words::caution_line;
    constexpr int indent = 2;
    return answer.dump(indent, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace freshet::report
