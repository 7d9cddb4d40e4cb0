// Carrying out the sequences; see the header.
#include "controller/core/sequencer.hpp"

#include "controller/core/attempts.hpp"
#include "controller/core/held.hpp"
#include "controller/core/judgement.hpp"
#include "controller/core/steady_pumps.hpp"
#include "controller/core/succession.hpp"
#include "controller/core/trips.hpp"

namespace freshet::core {

namespace {

using Values = std::array<double, 4>;

PumpMask all_pumps(const Settings& settings) noexcept {
    return static_cast<PumpMask>((1U << settings.pump_count) - 1U);
}

void set_pump_state(SequencerState& state, std::uint8_t pump, PumpState next, Reason why,
                    const Values& values, std::uint32_t cause, Journal& journal) noexcept {
    PumpRecord& record = state.pumps[pump];
    if (record.state == next) return;
    record.state = next;
    record.event =
        journal.note(EventKind::pump_state, static_cast<std::uint8_t>(next), pump, why, values, cause);
}

void enter(SequencerState& state, Run& run, Step step, Reason why, const Values& values, std::int64_t now_ms,
           Journal& journal) noexcept {
    run.step = step;
    run.entered_ms = now_ms;
    if (row_of(step, *state.table).limit == Limit::joining) run.closing_ms = now_ms;
    run.event = journal.note(EventKind::step_entered, static_cast<std::uint8_t>(step), run.pump, why, values,
                             run.event);
    set_pump_state(state, run.pump, row_of(step, *state.table).state, why, values, run.event, journal);
}

/// Counts a start in the step that first energises the motor. A step that is called off in the scan that
/// entered it was never advised. So the start counts one scan after the step began.
void count_start(SequencerState& state, Run& run, const Settings& settings) noexcept {
    const bool by_line = run.step == Step::line_start_close;
    if (run.start_counted || !(by_line || run.step == Step::start_run)) return;
    run.start_counted = true;
    PumpRecord& record = state.pumps[run.pump];
    if (by_line || settings.succession.drive_starts_count) {
        PumpRecord before = record;
        before.released_ms = record.released_before_start_ms;
        before.fed_ms = record.fed_before_start_ms;
        record.succession = succession_with_start(settings, before, run.entered_ms);
    }
    record.starts.note(run.entered_ms);
    record.started_ms = run.entered_ms;
    state.last_start_ms = run.entered_ms;
    ++record.starts_total;
    if (!by_line) return;
    ++record.line_starts_total;
    state.last_line_start_ms = run.entered_ms;
}

void finish(SequencerState& state, Run& run, const Judgement& judgement, const Settings& settings,
            std::int64_t now_ms, Journal& journal) noexcept {
    const PumpState final_state = count_end(state, run, judgement, settings, now_ms);
    const bool clean = !run.failed && !run.called_off;
    const std::uint32_t done = journal.note(clean ? EventKind::sequence_done : EventKind::sequence_withdrawn,
                                            static_cast<std::uint8_t>(run.sequence), run.pump, judgement.why,
                                            judgement.values, run.event);
    if (final_state == PumpState::locked_out) latch(state, run, alarm(PumpAlarm::locked_out));
    if (final_state == PumpState::on_drive) state.drive_pump = run.pump;
    const PumpRecord& record = state.pumps[run.pump];
    if (final_state == PumpState::locked_out && trips_are_spent(record, settings, now_ms)) {
        const double trips = record.trip_count.trips.within_hour(now_ms);
        set_pump_state(state, run.pump, final_state, Reason::trips_spent, {trips, 0, 0, 0}, done, journal);
    } else {
        set_pump_state(state, run.pump, final_state, judgement.why, judgement.values, done, journal);
    }
    run = Run{};
}

/// Carries one run on by at most one step.
void carry_run(SequencerState& state, Run& run, const SequencerInputs& inputs, const Settings& settings,
               Journal& journal) noexcept {
    const Judgement judgement = judge(run, state, inputs, settings);
    if (!judgement.leave) return;
    const std::int64_t now_ms = inputs.picture.time_ms;
    const StepRow& row = row_of(run.step, *state.table);
    const bool by_supply = judgement.by_drive && inputs.picture.line_poor;  // without supply no drive runs
    if (!judgement.confirmed && (by_supply || is_called_off(judgement, row))) {
        run.called_off = true;
        if (judgement.why == Reason::timed_out && row.state == PumpState::starting) run.drive_failed = true;
    } else if (!judgement.confirmed) {
        const bool station_side = judgement.alarm.of == AlarmRef::Of::station;
        const bool sync_time_out = row.wait_for == Condition::in_sync;
        const bool drive_denied = judgement.denied && station_side && !sync_time_out;
        run.drive_failed = judgement.by_drive || drive_denied || (run.failed && run.drive_failed);
        run.failed = true;
        const bool last_attempt = state.transfer_attempts + 1 >= settings.step.attempts_max;
        if (judgement.denied && (!sync_time_out || last_attempt)) latch(state, run, judgement.alarm);
    }
    if (judgement.way.step == Step::idle) {
        finish(state, run, judgement, settings, now_ms, journal);
    } else {
        enter(state, run, judgement.way.step, judgement.why, judgement.values, now_ms, journal);
    }
}

/// As soon as its contactors move, the motor no longer counts as de-energised. The count of the start needs
/// the times before that.
void keep_times_before_start(PumpRecord& record) noexcept {
    record.released_before_start_ms = record.released_ms;
    record.fed_before_start_ms = record.fed_ms;
}

std::uint32_t begin_line_run(SequencerState& state, Sequence sequence, std::uint8_t pump, Reason why,
                             const Values& values, std::int64_t now_ms, Journal& journal) noexcept {
    Run& run = state.line_run[pump];
    run = Run{};
    run.sequence = sequence;
    run.pump = pump;
    state.pumps[pump].current_missing_ms = never_ms;
    const std::uint32_t begun = journal.note(EventKind::sequence_begun, static_cast<std::uint8_t>(sequence),
                                             pump, why, values, state.pumps[pump].event);
    run.event = begun;
    enter(state, run, first_step(sequence), why, values, now_ms, journal);
    return begun;
}

}  // namespace

std::uint32_t begin(SequencerState& state, Sequence sequence, Step first, std::uint8_t pump, Reason why,
                    Values values, std::int64_t now_ms, Journal& journal) noexcept {
    Run& run = state.main;
    run = Run{};
    run.sequence = sequence;
    run.pump = pump;
    if (state.drive_pump == pump) state.drive_pump = no_pump;
    if (sequence == Sequence::start_on_drive) keep_times_before_start(state.pumps[pump]);
    if (sequence == Sequence::hand_over || sequence == Sequence::take_back) state.transfers.note(now_ms);
    const std::uint32_t begun = journal.note(EventKind::sequence_begun, static_cast<std::uint8_t>(sequence),
                                             pump, why, values, state.pumps[pump].event);
    run.event = begun;
    enter(state, run, first, why, values, now_ms, journal);
    return begun;
}

bool may_call_stop_off(const SequencerState& state) noexcept {
    const Run& run = state.main;
    return run.step == Step::stop_ramp && !run.failed && !run.called_off;
}

void call_stop_off(SequencerState& state, Reason why, Values values, Journal& journal) noexcept {
    Run& run = state.main;
    const std::uint32_t off =
        journal.note(EventKind::sequence_withdrawn, static_cast<std::uint8_t>(run.sequence), run.pump, why,
                     values, run.event);
    state.drive_pump = run.pump;
    set_pump_state(state, run.pump, PumpState::on_drive, why, values, off, journal);
    run = Run{};
}

void begin_line_stop(SequencerState& state, std::uint8_t pump, Reason why, Values values, std::int64_t now_ms,
                     Journal& journal) noexcept {
    begin_line_run(state, Sequence::stop_from_line, pump, why, values, now_ms, journal);
}

std::uint32_t begin_line_start(SequencerState& state, std::uint8_t pump, Reason why, Values values,
                               std::int64_t now_ms, Journal& journal) noexcept {
    keep_times_before_start(state.pumps[pump]);
    return begin_line_run(state, Sequence::line_start, pump, why, values, now_ms, journal);
}

void note_fed(SequencerState& state, const Picture& picture) noexcept {
    const bool drive_feeds = picture.output_closed && picture.drive_running;
    const PumpMask by_drive = drive_feeds ? picture.drive_side_closed : PumpMask{0};
    state.fed = static_cast<PumpMask>(picture.line_side_closed | by_drive);
    for (std::size_t pump = 0; pump < pumps_max; ++pump)
        if (has(state.fed, pump)) state.pumps[pump].fed_ms = picture.time_ms;
}

void carry_on(SequencerState& state, const SequencerInputs& inputs, const Settings& settings,
              Journal& journal) noexcept {
    const Picture& seen = inputs.picture;
    track_since(state.sync_within_since_ms, inputs.sync.within, seen.time_ms);
    const auto de_energised = static_cast<PumpMask>(seen.drive_side_open & seen.line_side_open);
    note_fed(state, seen);
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        PumpRecord& record = state.pumps[pump];
        if (!has(static_cast<PumpMask>(de_energised & state.were_de_energised), pump))
            record.released_ms = seen.time_ms;
        Run& on_line_side = state.line_run[pump];
        if (on_line_side.step != Step::idle) {
            count_start(state, on_line_side, settings);
            carry_run(state, on_line_side, inputs, settings, journal);
        } else if (record.state == PumpState::on_line) {
            watch_line_pump(state, pump, seen, settings, journal);
        }
    }
    state.were_de_energised = de_energised;
    if (state.main.step != Step::idle) {
        count_start(state, state.main, settings);
        carry_run(state, state.main, inputs, settings, journal);
    } else if (state.drive_pump != no_pump) {
        watch_drive_pump(state, inputs, journal);
    }
}

void stop_all(SequencerState& state, Permissive why_code, Reason why, Values values, std::int64_t now_ms,
              Journal& journal) noexcept {
    std::uint32_t cause = 0;
    const auto note_once = [&] {
        if (cause == 0)
            cause = journal.note(EventKind::protective_stop, static_cast<std::uint8_t>(why_code), no_pump,
                                 why, values);
    };
    const auto call_off = [&](Run& run) {
        const Way way = row_of(run.step, *state.table).on_pump_lost;
        if (way.step == run.step) return;
        note_once();
        run.event = cause;
        run.called_off = true;
        enter(state, run, way.step, why, values, now_ms, journal);
    };
    for (Run& run : state.line_run)
        if (run.step != Step::idle) call_off(run);
    if (state.main.step != Step::idle) {
        call_off(state.main);
    } else if (state.drive_pump != no_pump) {
        note_once();
        state.pumps[state.drive_pump].event = cause;
        begin(state, Sequence::stop_on_drive, Step::stop_drive, state.drive_pump, why, values, now_ms,
              journal);
    }
    for (std::uint8_t pump = 0; pump < pumps_max; ++pump) {
        if (state.pumps[pump].state != PumpState::on_line || state.line_run[pump].step != Step::idle)
            continue;
        note_once();
        state.pumps[pump].event = cause;
        begin_line_stop(state, pump, why, values, now_ms, journal);
    }
}

bool drive_is_free(const Picture& picture, const Settings& settings) noexcept {
    return picture.drive_side_closed == 0 && picture.drive_side_open == all_pumps(settings) &&
           picture.output_open;
}

bool drive_can_take(const Picture& picture, const Settings& settings) noexcept {
    return drive_is_free(picture, settings) && picture.drive_stopped;
}

}  // namespace freshet::core
