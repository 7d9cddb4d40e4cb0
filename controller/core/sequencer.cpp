// Carrying out the sequences; see the header.
#include "controller/core/sequencer.hpp"

#include <limits>

#include "controller/core/alarms.hpp"
#include "controller/core/held.hpp"
#include "controller/core/numbers.hpp"
#include "controller/core/step_limits.hpp"
#include "controller/core/succession.hpp"

namespace freshet::core {

namespace {

using Values = std::array<double, 4>;

PumpMask all_pumps(const Settings& settings) noexcept {
    return static_cast<PumpMask>((1U << settings.pump_count) - 1U);
}

double as_ms(std::int64_t duration_ms) noexcept {
    return static_cast<double>(duration_ms);
}

Values sync_values(const SyncReading& sync, std::int64_t within_ms = 0) noexcept {
    return {sync.slip_hz, sync.voltage_ratio, sync.angle_at_closing_deg, as_ms(within_ms)};
}

/// Contacts that the step advises closed and does not itself wait for, and that are known to be open.
bool pump_contact_let_go(const StepRow& row, const Picture& picture, std::size_t pump) noexcept {
    const bool drive_side = row.advice.drive_side_close && row.wait_for != Condition::drive_side_closed;
    const bool line_side = row.advice.line_side_close && row.wait_for != Condition::line_side_closed &&
                           row.wait_for != Condition::running_on_line;
    return (drive_side && has(picture.drive_side_open, pump)) ||
           (line_side && has(picture.line_side_open, pump));
}

/// A line side that was closed, or may have been, and is open again before the motor's own voltage has died
/// away: it must not close a second time.
bool line_side_bounced(const StepRow& row, const Picture& picture, const PumpRecord& record, std::size_t pump,
                       std::int64_t residual_voltage_ms) noexcept {
    return row.wait_for == Condition::running_on_line && has(picture.line_side_open, pump) &&
           picture.time_ms - record.released_ms < residual_voltage_ms;
}

bool other_motor_on_drive_bus(const Picture& picture, std::size_t pump) noexcept {
    return (picture.drive_side_closed & ~bit_of(pump)) != 0;
}

/// The pump's contactors, as advised or as seen, join the drive's bus to the line.
bool joins_bus_to_line(const StepRow& row, const Picture& picture, std::size_t pump) noexcept {
    return (row.advice.drive_side_close || has(picture.drive_side_closed, pump)) &&
           (row.advice.line_side_close || has(picture.line_side_closed, pump));
}

Reason drive_reason(const Picture& picture) noexcept {
    if (picture.drive_tripped) return Reason::drive_tripped;
    if (picture.drive_not_ready) return Reason::drive_not_ready;
    return Reason::drive_lost;
}

Reason pump_reason(const Picture& picture, std::size_t pump) noexcept {
    if (has(picture.tripped, pump)) return Reason::pump_tripped;
    if (has(picture.hand, pump)) return Reason::selector_hand;
    if (has(picture.not_automatic, pump)) return Reason::selector_off;
    return Reason::contact_contradicts;
}

bool permission_gone(const Picture& picture, std::size_t pump) noexcept {
    return has(static_cast<PumpMask>(picture.tripped | picture.not_automatic), pump);
}

/// What a confirmation is judged by.
struct Awaited {
    const Picture& seen;
    const SequencerInputs& inputs;
    const Settings& settings;
    std::size_t pump;
    std::int64_t in_sync_ms;  ///< for how long our own check has agreed
};
struct ConditionRow {
    Condition condition;
    bool (*is_met)(const Awaited&) noexcept;
    /// What is read says otherwise. What is not read is nobody's fault: it is neither met nor denied.
    bool (*is_denied)(const Picture& seen, std::size_t pump) noexcept;
};

/// A drive that runs at a speed that is not read may be where it should.
bool drive_is_read(const Picture& seen, std::size_t) noexcept {
    return seen.drive_standing || (seen.drive_running && seen.drive_hz_known);
}

constexpr std::array<ConditionRow, condition_count> conditions{{
    {Condition::drive_side_closed,
     [](const Awaited& at) noexcept { return has(at.seen.drive_side_closed, at.pump); },
     [](const Picture& seen, std::size_t pump) noexcept { return has(seen.drive_side_open, pump); }},
    {Condition::drive_side_open,
     [](const Awaited& at) noexcept { return has(at.seen.drive_side_open, at.pump); },
     [](const Picture& seen, std::size_t pump) noexcept { return has(seen.drive_side_closed, pump); }},
    {Condition::line_side_closed,
     [](const Awaited& at) noexcept { return has(at.seen.line_side_closed, at.pump); },
     [](const Picture& seen, std::size_t pump) noexcept { return has(seen.line_side_open, pump); }},
    {Condition::line_side_open,
     [](const Awaited& at) noexcept { return has(at.seen.line_side_open, at.pump); },
     [](const Picture& seen, std::size_t pump) noexcept { return has(seen.line_side_closed, pump); }},
    {Condition::output_closed, [](const Awaited& at) noexcept { return at.seen.output_closed; },
     [](const Picture& seen, std::size_t) noexcept { return seen.output_open; }},
    {Condition::output_open, [](const Awaited& at) noexcept { return at.seen.output_open; },
     [](const Picture& seen, std::size_t) noexcept { return seen.output_closed; }},
    {Condition::sides_open,
     [](const Awaited& at) noexcept {
         return has(at.seen.drive_side_open, at.pump) && has(at.seen.line_side_open, at.pump);
     },
     [](const Picture& seen, std::size_t pump) noexcept {
         return has(static_cast<PumpMask>(seen.drive_side_closed | seen.line_side_closed), pump);
     }},
    {Condition::drive_side_and_output_open,
     [](const Awaited& at) noexcept { return has(at.seen.drive_side_open, at.pump) && at.seen.output_open; },
     [](const Picture& seen, std::size_t pump) noexcept {
         return seen.output_closed || has(seen.drive_side_closed, pump);
     }},
    {Condition::at_minimum_flow,
     [](const Awaited& at) noexcept {
         const double lowest_hz = at.inputs.minimum_flow_hz - at.settings.drive.tolerance_hz;
         return at.seen.drive_running && at.seen.drive_hz_known && at.seen.drive_hz >= lowest_hz;
     },
     &drive_is_read},
    {Condition::at_line_frequency,
     [](const Awaited& at) noexcept {
         const double tolerance_hz = at.settings.drive.tolerance_hz;
         return at.seen.drive_running && at.seen.drive_hz_known &&
                at.seen.drive_hz >= at.seen.line_hz - tolerance_hz &&
                at.seen.drive_hz <= at.seen.line_hz + tolerance_hz;
     },
     &drive_is_read},
    {Condition::in_sync,
     [](const Awaited& at) noexcept {
         return at.seen.drive_claims_sync && at.inputs.sync.within &&
                at.in_sync_ms >= at.settings.sync.hold_ms;
     },
     &drive_is_read},
    // A drive that stands is no longer on its ramp: that it has left it is judged before.
    {Condition::slow,
     [](const Awaited& at) noexcept {
         constexpr double slow_ratio = 0.1;
         return at.seen.drive_hz_known &&
                at.seen.drive_hz <= slow_ratio * at.settings.drive.line_frequency_hz;
     },
     &drive_is_read},
    {Condition::drive_stopped, [](const Awaited& at) noexcept { return at.seen.drive_standing; },
     [](const Picture& seen, std::size_t) noexcept { return seen.drive_running; }},
    {Condition::running_on_line,
     [](const Awaited& at) noexcept {
         return has(at.seen.line_side_closed, at.pump) && has(at.seen.current_seen, at.pump);
     },
     [](const Picture& seen, std::size_t pump) noexcept {
         return has(static_cast<PumpMask>(seen.line_side_open | seen.current_missing), pump);
     }},
}};
static_assert(audit::stands_in_order(conditions, &ConditionRow::condition), "a condition without its proof");

bool is_met(Condition condition, const Awaited& at) noexcept {
    return conditions[static_cast<std::size_t>(condition)].is_met(at);
}

/// The picture as far as the readings of this pump and the drive were made within the step: a missed answer
/// lets a reading stand until it is stale, and what was seen before the advice is no answer to it.
Picture read_within_step(const Picture& seen, const Inputs& readings, std::size_t pump,
                         std::int64_t entered_ms) noexcept {
    Picture fresh = seen;
    const PumpInputs& of_pump = readings.pumps[pump];
    const DriveInputs& drive = readings.drive;
    const auto old = [entered_ms](const auto& signal) { return signal.read_ms <= entered_ms; };
    if (old(of_pump.drive_side_closed)) fresh.drive_side_closed = fresh.drive_side_open = 0;
    if (old(of_pump.line_side_closed)) fresh.line_side_closed = fresh.line_side_open = 0;
    if (old(of_pump.current_a)) fresh.current_seen = fresh.current_missing = 0;
    if (old(drive.output_closed)) fresh.output_closed = fresh.output_open = false;
    if (old(drive.running)) fresh.drive_running = fresh.drive_standing = false;
    if (old(drive.frequency_hz)) fresh.drive_hz_known = false;
    return fresh;
}

/// The alarm of a step's time-out. Where two contactors are waited for, it names the one that is not open.
AlarmRef time_out_alarm(const StepRow& row, const Run& run, const Picture& seen) noexcept {
    if (row.wait_for == Condition::sides_open && !has(seen.drive_side_closed, run.pump))
        return alarm(PumpAlarm::line_side_does_not_open);
    if (row.wait_for == Condition::drive_side_and_output_open && !seen.output_closed)
        return alarm(PumpAlarm::drive_side_does_not_open);
    return row.time_out_alarm;
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
    run.event = journal.note(EventKind::step_entered, static_cast<std::uint8_t>(step), run.pump, why, values,
                             run.event);
    set_pump_state(state, run.pump, row_of(step, *state.table).state, why, values, run.event, journal);
}

/// A motor is started where it is first energised. What was called off in the very scan that entered the step
/// was never advised, so a start is counted when the step has stood for a scan.
void count_start(SequencerState& state, Run& run, const Settings& settings) noexcept {
    const bool by_line = run.step == Step::line_start_close;
    if (run.start_counted || !(by_line || run.step == Step::start_run)) return;
    run.start_counted = true;
    PumpRecord& record = state.pumps[run.pump];
    if (by_line || settings.succession.drive_starts_count) {
        PumpRecord before = record;
        before.released_ms = record.rested_from_ms;
        before.fed_ms = record.ran_until_ms;
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

/// One more, up to what the count can hold: it must not come round to nothing.
void count_up(std::uint8_t& count) noexcept {
    if (count < std::numeric_limits<std::uint8_t>::max()) ++count;
}

void latch(SequencerState& state, const Run& run, AlarmRef which) noexcept {
    if (which.of == AlarmRef::Of::station) state.latched_station |= 1U << which.code;
    if (which.of == AlarmRef::Of::pump)
        state.latched_pump[run.pump] =
            static_cast<std::uint16_t>(state.latched_pump[run.pump] | (1U << which.code));
}

/// What a clean end of a sequence proves to be in order again: alarms of its pump and of the station, and the
/// drive as a whole.
struct Proof {
    Sequence sequence;
    std::uint16_t pump_alarms = 0;
    std::uint32_t station_alarms = 0;
    bool drive = false;
};
constexpr std::array<Proof, static_cast<std::size_t>(Sequence::count)> proofs = [] {
    using S = Sequence;
    using P = PumpAlarm;
    using A = StationAlarm;
    constexpr unsigned drive_side =
        alarm_bit(P::drive_side_does_not_close) | alarm_bit(P::drive_side_does_not_open);
    constexpr unsigned line_side =
        alarm_bit(P::line_side_does_not_close) | alarm_bit(P::line_side_does_not_open);
    constexpr unsigned drive = alarm_bit(A::output_does_not_close) | alarm_bit(A::output_does_not_open) |
                               alarm_bit(A::drive_does_not_run) | alarm_bit(A::drive_does_not_stop);
    constexpr unsigned sync = alarm_bit(A::not_in_sync) | alarm_bit(A::sync_check_disagrees);
    constexpr unsigned restarted = alarm_bit(A::restarted_in_transfer);
    constexpr unsigned runs = alarm_bit(P::not_running);
    return std::array<Proof, static_cast<std::size_t>(S::count)>{{
        {S::none},
        {S::start_on_drive, drive_side | runs, drive | restarted, true},
        {S::hand_over, drive_side | line_side | alarm_bit(P::hand_over_failed), drive | sync, true},
        {S::take_back, drive_side | line_side | alarm_bit(P::take_back_failed), drive | sync, true},
        {S::stop_on_drive},
        {S::stop_from_line},
        {S::line_start, line_side | runs},
    }};
}();
constexpr const Proof& proof_of(Sequence sequence) {
    return proofs[static_cast<std::size_t>(sequence)];
}
static_assert(audit::stands_in_order(proofs, &Proof::sequence), "a sequence without what it proves");

void clear_proven(SequencerState& state, const Run& run) noexcept {
    const Proof& proven = proof_of(run.sequence);
    std::uint16_t& pump = state.latched_pump[run.pump];
    pump = static_cast<std::uint16_t>(pump & ~proven.pump_alarms);
    state.latched_station &= ~proven.station_alarms;
}

/// Counts a failure of the drive, and locks it out when they come in a row.
void count_drive_failure(SequencerState& state, const Settings& settings, std::int64_t now_ms) noexcept {
    state.drive_retry_after_ms = now_ms + settings.step.retry_pause_ms;
    count_up(state.drive_attempts);
    if (state.drive_attempts >= settings.step.attempts_max) state.drive_locked_out = true;
}

/// Counts a failed start of a pump; true when it is now locked out.
bool count_pump_failure(PumpRecord& record, const Settings& settings, std::int64_t now_ms) noexcept {
    record.retry_after_ms = now_ms + settings.step.retry_pause_ms;
    count_up(record.attempts);
    return record.attempts >= settings.step.attempts_max;
}

/// Counts a transfer that failed; it is tried again after a pause, and alarmed from attempts_max on.
void count_transfer_failure(SequencerState& state, const Run& run, const Settings& settings,
                            std::int64_t now_ms) noexcept {
    count_up(state.transfer_attempts);
    state.transfer_retry_after_ms = now_ms + settings.step.retry_pause_ms;
    if (state.transfer_attempts >= settings.step.attempts_max)
        latch(state, run, retry_of(run.sequence).alarm);
}

void finish(SequencerState& state, Run& run, const Judgement& judgement, const Settings& settings,
            std::int64_t now_ms, Journal& journal) noexcept {
    PumpState final_state = judgement.way.end;
    PumpRecord& record = state.pumps[run.pump];
    const bool clean = !run.failed && !run.called_off;
    if (clean) clear_proven(state, run);

    const RetryRow& retry = retry_of(run.sequence);
    if (clean) {
        if (retry.counts_pump) record.attempts = 0;
        if (retry.counts_transfer) state.transfer_attempts = 0;
        if (proof_of(run.sequence).drive) state.drive_attempts = 0;
    } else if (run.failed) {
        if (retry.counts_transfer) count_transfer_failure(state, run, settings, now_ms);
        if (retry.counts_drive && run.drive_failed)
            count_drive_failure(state, settings, now_ms);
        else if (retry.counts_pump && count_pump_failure(record, settings, now_ms))
            final_state = PumpState::locked_out;
    } else if (run.drive_failed) {
        state.drive_retry_after_ms = now_ms + settings.step.retry_pause_ms;
    }

    // A lock-out is taken off by people, not by a stop.
    const bool locked_out = (state.latched_pump[run.pump] & alarm_bit(PumpAlarm::locked_out)) != 0;
    if (locked_out && final_state == PumpState::off) final_state = PumpState::locked_out;

    const std::uint32_t done = journal.note(clean ? EventKind::sequence_done : EventKind::sequence_withdrawn,
                                            static_cast<std::uint8_t>(run.sequence), run.pump, judgement.why,
                                            judgement.values, run.event);
    if (final_state == PumpState::locked_out) latch(state, run, alarm(PumpAlarm::locked_out));
    if (final_state == PumpState::on_drive) state.drive_pump = run.pump;
    set_pump_state(state, run.pump, final_state, judgement.why, judgement.values, done, journal);
    run = Run{};
}

/// A pump taken away by its own protection or by people says nothing about the contactors or the drive, nor
/// does a stop that saw nothing: it has been advised, and is not tried again. Nor does a start that saw
/// nothing of the drive: it is tried again after the drive's pause, within the starts per hour.
bool is_nobodys_fault(const Judgement& judgement, const StepRow& row) noexcept {
    const Reason why = judgement.why;
    if (why == Reason::timed_out) {
        const bool drive_awaited = row.time_out_alarm.of == AlarmRef::Of::station;
        return !judgement.denied &&
               (row.state == PumpState::stopping || (row.state == PumpState::starting && drive_awaited));
    }
    return why == Reason::pump_tripped || why == Reason::selector_hand || why == Reason::selector_off;
}

/// Carries one run on by at most one step.
void carry_run(SequencerState& state, Run& run, const SequencerInputs& inputs, const Settings& settings,
               Journal& journal) noexcept {
    const Judgement judgement = judge(run, state, inputs, settings);
    if (!judgement.leave) return;
    const std::int64_t now_ms = inputs.picture.time_ms;
    const StepRow& row = row_of(run.step, *state.table);
    if (!judgement.straight && is_nobodys_fault(judgement, row)) {
        run.called_off = true;
        if (judgement.why == Reason::timed_out && row.state == PumpState::starting) run.drive_failed = true;
    } else if (!judgement.straight) {
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

/// Watches the pump that runs steadily on the drive.
void watch_drive_pump(SequencerState& state, const SequencerInputs& inputs, Journal& journal) noexcept {
    const std::uint8_t pump = state.drive_pump;
    const Picture& seen = inputs.picture;
    const std::int64_t now_ms = seen.time_ms;
    const bool drive_gone = seen.drive_lost() || seen.drive_standing || other_motor_on_drive_bus(seen, pump);
    if (permission_gone(seen, pump)) {
        begin(state, Sequence::stop_on_drive, Step::stop_drive, pump, pump_reason(seen, pump), {}, now_ms,
              journal);
    } else if (drive_gone) {
        begin(state, Sequence::stop_on_drive, Step::stop_open_output, pump, drive_reason(seen), {}, now_ms,
              journal);
        state.main.failed = true;
        state.main.drive_failed = true;
    } else if (has(seen.line_side_closed, pump)) {
        begin(state, Sequence::stop_on_drive, Step::stop_open_output, pump, Reason::contact_contradicts,
              {0, 1, 0, 0}, now_ms, journal);
        state.main.failed = true;
    } else if (has(seen.drive_side_open, pump) || seen.output_open) {
        begin(state, Sequence::stop_on_drive, Step::stop_drive, pump, Reason::contact_contradicts,
              {1, 0, 0, 0}, now_ms, journal);
        state.main.failed = true;
    }
}

/// Watches one pump that runs steadily on the line.
void watch_line_pump(SequencerState& state, std::uint8_t pump, const Picture& seen, const Settings& settings,
                     Journal& journal) noexcept {
    PumpRecord& record = state.pumps[pump];
    const std::int64_t now_ms = seen.time_ms;
    if (permission_gone(seen, pump)) {
        begin_line_stop(state, pump, pump_reason(seen, pump), {}, now_ms, journal);
        return;
    }
    if (has(seen.line_side_open, pump)) {
        begin_line_stop(state, pump, Reason::contact_contradicts, {1, 0, 0, 0}, now_ms, journal);
        return;
    }
    if (held_for(record.current_missing_ms, has(seen.current_missing, pump),
                 settings.permissives.current_loss_ms, now_ms)) {
        const std::int64_t missing_ms = held_ms(record.current_missing_ms, now_ms);
        state.latched_pump[pump] =
            static_cast<std::uint16_t>(state.latched_pump[pump] | alarm_bit(PumpAlarm::not_running));
        record.retry_after_ms = now_ms + settings.step.retry_pause_ms;
        begin_line_stop(state, pump, Reason::current_missing, {0, as_ms(missing_ms), 0, 0}, now_ms, journal);
    }
}

}  // namespace

Judgement judge(const Run& run, const SequencerState& state, const SequencerInputs& inputs,
                const Settings& settings) noexcept {
    Judgement judgement;
    if (run.step == Step::idle) return judgement;
    const StepRow& row = row_of(run.step, *state.table);
    const Picture& seen = inputs.picture;
    const std::int64_t elapsed_ms = seen.time_ms - run.entered_ms;

    if (permission_gone(seen, run.pump) || pump_contact_let_go(row, seen, run.pump) ||
        line_side_bounced(row, seen, state.pumps[run.pump], run.pump,
                          settings.permissives.residual_voltage_ms)) {
        if (row.on_pump_lost.step != run.step)
            return {true, false, false, row.on_pump_lost, pump_reason(seen, run.pump), {}, no_alarm};
    }
    if (row.on_bus_joined_to_line.step != run.step && joins_bus_to_line(row, seen, run.pump))
        return {true,         false,   false, row.on_bus_joined_to_line, Reason::contact_contradicts,
                {0, 1, 0, 0}, no_alarm};
    const bool output_let_go =
        row.advice.output_close && row.wait_for != Condition::output_closed && seen.output_open;
    const bool on_line_alone =
        run.sequence == Sequence::stop_from_line || run.sequence == Sequence::line_start;
    const bool drive_gone = !on_line_alone && (seen.drive_lost() || output_let_go ||
                                               (row.drive_must_run && seen.drive_standing) ||
                                               other_motor_on_drive_bus(seen, run.pump));
    if (drive_gone && row.on_drive_lost.step != run.step)
        return {true, false, true, row.on_drive_lost, drive_reason(seen), {}, no_alarm};

    if (row.needs_sync && !(seen.drive_claims_sync && inputs.sync.within))
        return {true, false, false, row.on_sync_lost, Reason::sync_lost, sync_values(inputs.sync), no_alarm};

    const std::int64_t in_sync_ms = held_ms(state.sync_within_since_ms, seen.time_ms);
    if (is_met(row.wait_for, {seen, inputs, settings, run.pump, in_sync_ms})) {
        if (row.wait_for == Condition::in_sync)
            return {true,    true, false, row.then, Reason::in_sync, sync_values(inputs.sync, in_sync_ms),
                    no_alarm};
        return {true, true, false, row.then, Reason::confirmed, {as_ms(elapsed_ms), 0, 0, 0}, no_alarm};
    }

    const std::int64_t most_ms = limit_ms(row.limit, settings, inputs.minimum_flow_hz);
    if (elapsed_ms >= most_ms) {
        if (row.wait_for == Condition::in_sync && seen.drive_claims_sync && !inputs.sync.within)
            return {true,
                    false,
                    false,
                    row.on_time_out,
                    Reason::sync_disagrees,
                    sync_values(inputs.sync),
                    alarm(StationAlarm::sync_check_disagrees),
                    true};
        const Picture fresh = inputs.readings == nullptr
                                  ? seen
                                  : read_within_step(seen, *inputs.readings, run.pump, run.entered_ms);
        const bool denied = conditions[static_cast<std::size_t>(row.wait_for)].is_denied(fresh, run.pump);
        Way way = row.on_time_out;
        // A contact that is not read locks nothing out: no start follows before it is seen open.
        if (!denied && way.end == PumpState::locked_out) way = end(PumpState::off);
        return {true,
                false,
                false,
                way,
                Reason::timed_out,
                {as_ms(elapsed_ms), as_ms(most_ms), static_cast<double>(state.transfer_attempts + 1), 0},
                time_out_alarm(row, run, fresh),
                denied};
    }
    return judgement;
}

void begin(SequencerState& state, Sequence sequence, Step first, std::uint8_t pump, Reason why, Values values,
           std::int64_t now_ms, Journal& journal) noexcept {
    Run& run = state.main;
    run = Run{};
    run.sequence = sequence;
    run.pump = pump;
    if (state.drive_pump == pump) state.drive_pump = no_pump;
    if (sequence == Sequence::start_on_drive || sequence == Sequence::line_start) {
        // From the moment its contactors move the motor no longer counts as de-energised.
        state.pumps[pump].rested_from_ms = state.pumps[pump].released_ms;
        state.pumps[pump].ran_until_ms = state.pumps[pump].fed_ms;
    }
    if (sequence == Sequence::hand_over || sequence == Sequence::take_back) state.transfers.note(now_ms);
    run.event = journal.note(EventKind::sequence_begun, static_cast<std::uint8_t>(sequence), pump, why,
                             values, state.pumps[pump].event);
    enter(state, run, first, why, values, now_ms, journal);
}

void begin_line_stop(SequencerState& state, std::uint8_t pump, Reason why, Values values, std::int64_t now_ms,
                     Journal& journal) noexcept {
    Run& run = state.line_stop[pump];
    run = Run{};
    run.sequence = Sequence::stop_from_line;
    run.pump = pump;
    state.pumps[pump].current_missing_ms = never_ms;
    run.event = journal.note(EventKind::sequence_begun, static_cast<std::uint8_t>(run.sequence), pump, why,
                             values, state.pumps[pump].event);
    enter(state, run, first_step(run.sequence), why, values, now_ms, journal);
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
    keep_since(state.sync_within_since_ms, inputs.sync.within, seen.time_ms);
    const auto surely_dead = static_cast<PumpMask>(seen.drive_side_open & seen.line_side_open);
    note_fed(state, seen);
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        PumpRecord& record = state.pumps[pump];
        if (!has(static_cast<PumpMask>(surely_dead & state.dead_before), pump))
            record.released_ms = seen.time_ms;
        if (state.line_stop[pump].step != Step::idle) {
            carry_run(state, state.line_stop[pump], inputs, settings, journal);
        } else if (record.state == PumpState::on_line) {
            watch_line_pump(state, pump, seen, settings, journal);
        }
    }
    state.dead_before = surely_dead;
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
    if (state.main.step != Step::idle) {
        const Way way = row_of(state.main.step, *state.table).on_pump_lost;
        if (way.step != state.main.step) {
            note_once();
            state.main.event = cause;
            state.main.called_off = true;
            enter(state, state.main, way.step, why, values, now_ms, journal);
        }
    } else if (state.drive_pump != no_pump) {
        note_once();
        state.pumps[state.drive_pump].event = cause;
        begin(state, Sequence::stop_on_drive, Step::stop_drive, state.drive_pump, why, values, now_ms,
              journal);
    }
    for (std::uint8_t pump = 0; pump < pumps_max; ++pump) {
        if (state.pumps[pump].state != PumpState::on_line || state.line_stop[pump].step != Step::idle)
            continue;
        note_once();
        state.pumps[pump].event = cause;
        begin_line_stop(state, pump, why, values, now_ms, journal);
    }
}

void compose_contactors(const SequencerState& state, const Settings& settings, Advice& advice) noexcept {
    advice.pumps_on_line = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump) {
        const PumpRecord& record = state.pumps[pump];
        PumpAdvice& one = advice.pumps[pump];
        one.state = record.state;
        one.drive_side_close = false;
        one.line_side_close = record.state == PumpState::on_line;
        if (one.line_side_close) ++advice.pumps_on_line;
        const Step stop = state.line_stop[pump].step;
        if (stop == Step::idle) continue;
        const StepAdvice& advised = row_of(stop, *state.table).advice;
        one.drive_side_close = advised.drive_side_close;
        one.line_side_close = advised.line_side_close;
    }

    advice.drive_run = false;
    advice.synchronise = false;
    advice.output_close = false;
    const Run& run = state.main;
    if (run.step != Step::idle) {
        const StepAdvice& advised = row_of(run.step, *state.table).advice;
        advice.drive_run = advised.drive_run;
        advice.synchronise = advised.synchronise;
        advice.output_close = advised.output_close;
        advice.pumps[run.pump].drive_side_close = advised.drive_side_close;
        advice.pumps[run.pump].line_side_close = advised.line_side_close;
    } else if (state.drive_pump != no_pump) {
        advice.drive_run = true;
        advice.output_close = true;
        advice.pumps[state.drive_pump].drive_side_close = true;
    }
    advice.sequence = run.sequence;
    advice.step = run.step;
    advice.sequence_pump = run.pump;
    advice.drive_pump =
        run.step == Step::idle || run.sequence == Sequence::line_start ? state.drive_pump : run.pump;
}

double composed_speed_hz(const SequencerState& state, const SequencerInputs& inputs,
                         double demand_hz) noexcept {
    if (state.main.step == Step::idle) return state.drive_pump == no_pump ? 0 : speed_reference_hz(demand_hz);
    switch (row_of(state.main.step, *state.table).advice.speed) {
        case SpeedAdvice::minimum_flow:
            return speed_reference_hz(inputs.minimum_flow_hz);
        case SpeedAdvice::line_frequency:
            return speed_reference_hz(inputs.picture.line_hz);
        case SpeedAdvice::zero:
            break;
    }
    return 0;
}

double speed_reference_hz(double speed_hz) noexcept {
    constexpr double per_hz = 100;
    constexpr double half = 0.5;
    const double hundredths = bounded(speed_hz, 0, speed_reference_max_hz) * per_hz;
    const auto whole = static_cast<std::int64_t>(hundredths);
    const bool up = hundredths - static_cast<double>(whole) >= half;
    return static_cast<double>(whole + (up ? 1 : 0)) / per_hz;
}

bool drive_is_free(const Picture& picture, const Settings& settings) noexcept {
    return picture.drive_side_closed == 0 && picture.drive_side_open == all_pumps(settings) &&
           picture.output_open;
}

bool drive_can_take(const Picture& picture, const Settings& settings) noexcept {
    return drive_is_free(picture, settings) && picture.drive_standing;
}

}  // namespace freshet::core
