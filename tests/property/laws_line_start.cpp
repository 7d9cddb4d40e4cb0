// Law 11: when a motor may be started on the line.
// One reason to change: a law about line starts.
#include "tests/property/laws_case.hpp"

namespace freshet::laws {

using core::Event;
using core::EventKind;
using core::PumpState;

namespace {

bool is_read(const Case& at, const Digital& signal) {
    return at.on(signal) || at.off(signal);
}

/// The readings, or a withdrawn sequence, show that the drive cannot take a motor: tripped, not ready, not
/// read, failed before, tripped too often, still running, or with a contactor of its bus that is not seen
/// open.
bool drive_cannot_take(const Case& at) {
    const core::DriveInputs& drive = at.in.drive;
    if (at.history.drive_trips_spent) return true;
    if (at.history.drive_withdrawn || at.on(drive.tripped) || at.off(drive.ready)) return true;
    if (!is_read(at, drive.tripped) || !at.off(drive.running) || !at.off(drive.output_closed)) return true;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p)
        if (!at.off(at.in.pumps[p].drive_side_closed)) return true;
    return false;
}

/// A necessary condition of a hand-over that cannot be made now, from the events alone: the last transfer was
/// withdrawn, or the last hand-over or line start of the drive pump was withdrawn.
bool hand_over_failed(const Case& at) {
    return at.history.transfers_withdrawn > 0 || at.history.pumps[at.now.drive_pump].line_side_failed;
}

void judge_begin(const Case& at, std::size_t p) {
    const auto number = static_cast<int>(p) + 1;
    const Settings::LineStart& rules = at.settings.line_start;
    if (!rules.allowed)
        at.breaks(11, "pump %d is started on the line, which the station does not allow", number);
    if (at.history.line_started_ms != never_ms && at.time_ms - at.history.line_started_ms < rules.spacing_ms)
        at.breaks(11, "pump %d is started on the line %ld ms after the line start before", number,
                  static_cast<long>(at.time_ms - at.history.line_started_ms));
    at.history.line_started_ms = at.time_ms;
    if (at.now.drive_pump == no_pump && !drive_cannot_take(at))
        at.breaks(11, "pump %d is started on the line, and the drive could start the pump", number);
    if (at.now.drive_pump != no_pump && !hand_over_failed(at))
        at.breaks(11, "pump %d is started on the line, and drive pump %d could be handed over", number,
                  at.now.drive_pump + 1);
}

/// Notes the trips of the drive. A trip after five seconds without a trip is a new trip. The drive counts as
/// tripped too often until a sequence uses the drive again.
void note_trips(const Case& at) {
    constexpr std::int64_t clear_ms = 5000;
    History& past = at.history;
    const Digital& tripped = at.in.drive.tripped;
    if (at.on(tripped)) {
        if (past.drive_clear_ms != never_ms && at.time_ms - past.drive_clear_ms >= clear_ms)
            past.drive_trips.note(at.time_ms);
        past.drive_clear_ms = never_ms;
    } else if (at.off(tripped) && past.drive_clear_ms == never_ms) {
        past.drive_clear_ms = at.time_ms;
    }
    if (past.drive_trips.within_hour(at.time_ms) >= at.settings.permissives.trips_per_hour_max)
        past.drive_trips_spent = true;
    if (at.now.sequence == Sequence::start_on_drive || at.now.sequence == Sequence::take_back)
        past.drive_trips_spent = false;
}

/// Notes how a sequence ended.
void note_end(const Case& at, const Event& event) {
    const auto sequence = static_cast<Sequence>(event.detail);
    const bool withdrawn = event.what == EventKind::sequence_withdrawn;
    const bool transfer = sequence == Sequence::hand_over || sequence == Sequence::take_back;
    History& past = at.history;
    if (transfer) past.transfers_withdrawn = withdrawn ? past.transfers_withdrawn + 1 : 0;
    const bool of_line_side = sequence == Sequence::hand_over || sequence == Sequence::line_start;
    if (of_line_side) past.pumps[event.pump].line_side_failed = withdrawn;
    const bool proves_drive = transfer || sequence == Sequence::start_on_drive;
    if (proves_drive || (sequence == Sequence::stop_on_drive && withdrawn)) past.drive_withdrawn = withdrawn;
}

}  // namespace

void law_11(const Case& at, bool adopting) {
    note_trips(at);
    for (std::size_t i = 0; i < at.advice.event_count && !adopting; ++i) {
        const Event& event = at.advice.events[i];
        if (event.pump >= at.settings.pump_count) continue;
        if (event.what == EventKind::sequence_begun &&
            static_cast<Sequence>(event.detail) == Sequence::line_start)
            judge_begin(at, event.pump);
        if (event.what == EventKind::sequence_done || event.what == EventKind::sequence_withdrawn)
            note_end(at, event);
    }
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        const bool closing = at.now.state[p] == PumpState::starting && bit(at.now.line_side, p);
        if (closing && (bit(at.now.drive_side, p) || at.on(at.in.pumps[p].drive_side_closed)))
            at.breaks(11, "pump %d is started on the line with its drive side closed",
                      static_cast<int>(p) + 1);
    }
}

}  // namespace freshet::laws
