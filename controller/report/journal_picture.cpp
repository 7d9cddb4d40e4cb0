// Applies the events of the journal one by one.
#include "controller/report/journal_picture.hpp"

#include "controller/core/sequences.hpp"
#include "controller/words/alarms.hpp"
#include "controller/words/reasons.hpp"
#include "controller/words/states.hpp"

namespace freshet::report {
namespace {

using record::JournalEntry;
using words::Unit;

/// Returns the cause of a quality, or `none` when the event has no cause.
core::Cause cause_in(const core::Event& event) {
    constexpr std::size_t cause_at = 2;
    const words::Value& value = words::word(event.why).values[cause_at];
    const double code = event.values[cause_at];
    const bool known = value.unit == Unit::quality_cause && !value.name.empty() && code >= 0 &&
                       code < static_cast<double>(words::quality_causes.size());
    return known ? static_cast<core::Cause>(code) : core::Cause::none;
}

/// A line start and a stop from the line are independent of the main sequence and have their own place in the
/// picture.
bool follow_line_run(JournalPicture& picture, const JournalEntry& entry) {
    const core::Event& event = entry.event;
    const bool of_sequence = event.what == core::EventKind::sequence_begun ||
                             event.what == core::EventKind::sequence_done ||
                             event.what == core::EventKind::sequence_withdrawn;
    const bool of_step = event.what == core::EventKind::step_entered &&
                         static_cast<core::Step>(event.detail) != core::Step::idle;
    if (!of_sequence && !of_step) return false;
    const core::Sequence sequence = of_sequence
                                        ? static_cast<core::Sequence>(event.detail)
                                        : core::row_of(static_cast<core::Step>(event.detail)).sequence;
    const bool concerns = core::is_line_run(sequence);
    if (!concerns || event.pump >= picture.line_runs.size()) return concerns;
    const core::Step step = of_step ? static_cast<core::Step>(event.detail) : core::first_step(sequence);
    const bool over = of_sequence && event.what != core::EventKind::sequence_begun;
    picture.line_runs[event.pump] = over ? LineRun{} : LineRun{step, entry.time_ms};
    return true;
}

void follow(JournalPicture& picture, const JournalEntry& entry) {
    if (follow_line_run(picture, entry)) return;
    const core::Event& event = entry.event;
    switch (event.what) {
        case core::EventKind::sequence_begun:
            picture.sequence = static_cast<core::Sequence>(event.detail);
            picture.sequence_pump = event.pump;
            break;
        case core::EventKind::step_entered:
            picture.step = static_cast<core::Step>(event.detail);
            picture.step_since_ms = entry.time_ms;
            break;
        case core::EventKind::sequence_done:
        case core::EventKind::sequence_withdrawn:
            picture.sequence = core::Sequence::none;
            picture.step = core::Step::idle;
            break;
        case core::EventKind::pump_state:
            if (event.pump < picture.pumps.size()) {
                picture.pumps[event.pump] = {static_cast<core::PumpState>(event.detail), entry.time_ms, true};
            }
            break;
        case core::EventKind::service:
            picture.service = static_cast<core::Service>(event.detail);
            break;
        case core::EventKind::measured_quality:
            picture.quality = static_cast<core::Quality>(event.detail);
            picture.quality_cause = cause_in(event);
            break;
        case core::EventKind::alarm_raised:
            picture.alarms.push_back({event.pump, event.detail, entry.time_ms});
            break;
        case core::EventKind::alarm_returned:
        case core::EventKind::alarm_shelved:
        case core::EventKind::alarm_out_of_service:
            std::erase_if(picture.alarms, [&event](const ActiveAlarm& alarm) {
                return alarm.pump == event.pump && alarm.code == event.detail;
            });
            break;
        case core::EventKind::alarm_acknowledged:
        case core::EventKind::alarm_unshelved:
        case core::EventKind::alarm_in_service:
        case core::EventKind::protective_stop:
        case core::EventKind::refused:
        case core::EventKind::limit_yielded:
        case core::EventKind::emergency_stop_reset:
        case core::EventKind::reset_refused:
        case core::EventKind::pump_chosen:
        case core::EventKind::water_mode:
        case core::EventKind::count:
            break;
    }
}

}  // namespace

JournalPicture picture_of(const std::vector<JournalEntry>& journal, std::size_t index) {
    JournalPicture picture;
    for (std::size_t i = 0; i <= index; ++i) follow(picture, journal[i]);
    return picture;
}

std::string_view alarm_text(const ActiveAlarm& alarm) {
    return alarm.pump == core::no_pump ? words::word(static_cast<core::StationAlarm>(alarm.code)).text
                                       : words::word(static_cast<core::PumpAlarm>(alarm.code)).text;
}

}  // namespace freshet::report
