// Counting attempts; see the header.
#include "controller/core/attempts.hpp"

#include <limits>

#include "controller/core/alarms.hpp"

namespace freshet::core {

namespace {

/// Adds one. Stays at the greatest number that the count can hold, because an overflow to zero would forget
/// every failure.
void count_up(std::uint8_t& count) noexcept {
    if (count < std::numeric_limits<std::uint8_t>::max()) ++count;
}

/// What a clean end of a sequence proves. The alarms named here are cleared. `drive` is true when the end
/// proves the drive in order, too.
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
static_assert(audit::is_in_order(proofs, &Proof::sequence),
              "every sequence needs its row of proofs, in the order of the codes");

void clear_proven(SequencerState& state, const Run& run) noexcept {
    const Proof& proven = proof_of(run.sequence);
    std::uint16_t& pump = state.latched_pump[run.pump];
    pump = static_cast<std::uint16_t>(pump & ~proven.pump_alarms);
    state.latched_station &= ~proven.station_alarms;
}

/// Counts a failure of the drive. Locks the drive out after attempts_max failures in a row.
void count_drive_failure(SequencerState& state, const Settings& settings, std::int64_t now_ms) noexcept {
    state.drive_retry_after_ms = now_ms + settings.step.retry_pause_ms;
    count_up(state.drive_attempts);
    if (state.drive_attempts >= settings.step.attempts_max) state.drive_locked_out = true;
}

/// Counts a failed start of a pump. Returns true when the pump must now be locked out.
bool count_pump_failure(PumpRecord& record, const Settings& settings, std::int64_t now_ms) noexcept {
    record.retry_after_ms = now_ms + settings.step.retry_pause_ms;
    count_up(record.attempts);
    return record.attempts >= settings.step.attempts_max;
}

/// Counts a failed transfer. The staging tries the transfer again after a pause. From attempts_max failures
/// on, the transfer has an alarm, and the pause is longer.
void count_transfer_failure(SequencerState& state, const Run& run, const Settings& settings,
                            std::int64_t now_ms) noexcept {
    count_up(state.transfer_attempts);
    const bool spent = state.transfer_attempts >= settings.step.attempts_max;
    state.transfer_retry_after_ms =
        now_ms + (spent ? settings.step.transfer_pause_ms : settings.step.retry_pause_ms);
    if (run.sequence == Sequence::hand_over)
        state.pumps[run.pump].hand_over_after_ms = now_ms + settings.step.transfer_pause_ms;
    if (spent) latch(state, run, retry_of(run.sequence).alarm);
}

/// Counts a contactor that was not read open within the time limit of a stop. An auxiliary contact may lie
/// for a few seconds, and a contactor may be slow once. So the pump is locked out at once, and a contactor
/// that is read open soon after releases the pump, but not after attempts_max such stops in a row.
void count_opening(SequencerState& state, const Run& run, const Judgement& judgement,
                   const Settings& settings, std::int64_t now_ms) noexcept {
    constexpr std::int64_t soon_ms = 10'000;
    PumpRecord& record = state.pumps[run.pump];
    const bool locked_out_before = (state.latched_pump[run.pump] & alarm_bit(PumpAlarm::locked_out)) != 0;
    const bool stops = run.sequence == Sequence::stop_on_drive || run.sequence == Sequence::stop_from_line;
    if (judgement.way.end != PumpState::locked_out) {
        if (stops && !run.failed && !run.called_off) record.openings_failed = 0;
        return;
    }
    count_up(record.openings_failed);
    const bool may_be_right = !locked_out_before && record.openings_failed < settings.step.attempts_max;
    record.opens_late_until_ms = may_be_right ? now_ms + soon_ms : never_ms;
}

}  // namespace

void latch(SequencerState& state, const Run& run, AlarmRef which) noexcept {
    if (which.of == AlarmRef::Of::station) state.latched_station |= 1U << which.code;
    if (which.of == AlarmRef::Of::pump)
        state.latched_pump[run.pump] =
            static_cast<std::uint16_t>(state.latched_pump[run.pump] | (1U << which.code));
}

bool is_called_off(const Judgement& judgement, const StepRow& row) noexcept {
    const Reason why = judgement.why;
    if (why == Reason::timed_out) {
        const bool drive_awaited = row.time_out_alarm.of == AlarmRef::Of::station;
        return !judgement.denied &&
               (row.state == PumpState::stopping || (row.state == PumpState::starting && drive_awaited));
    }
    return why == Reason::pump_tripped || why == Reason::selector_hand || why == Reason::selector_off;
}

void count_no_delivery(SequencerState& state, std::uint8_t pump, const Settings& settings,
                       std::int64_t now_ms) noexcept {
    if (count_pump_failure(state.pumps[pump], settings, now_ms))
        state.latched_pump[pump] =
            static_cast<std::uint16_t>(state.latched_pump[pump] | alarm_bit(PumpAlarm::locked_out));
}

PumpState count_end(SequencerState& state, const Run& run, const Judgement& judgement,
                    const Settings& settings, std::int64_t now_ms) noexcept {
    PumpState final_state = judgement.way.end;
    PumpRecord& record = state.pumps[run.pump];
    const bool clean = !run.failed && !run.called_off;
    if (clean) clear_proven(state, run);

    const RetryRow& retry = retry_of(run.sequence);
    if (clean) {
        const bool no_delivery = (state.latched_pump[run.pump] & alarm_bit(PumpAlarm::no_delivery)) != 0;
        if (retry.counts_pump && !no_delivery) record.attempts = 0;
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

    count_opening(state, run, judgement, settings, now_ms);

    // Only people release a lock-out. A stop does not.
    const bool locked_out = (state.latched_pump[run.pump] & alarm_bit(PumpAlarm::locked_out)) != 0;
    if (locked_out && final_state == PumpState::off) final_state = PumpState::locked_out;
    return final_state;
}

}  // namespace freshet::core
