// Judging a step; see the header.
#include "controller/core/judgement.hpp"

#include <algorithm>

#include "controller/core/confirmation.hpp"
#include "controller/core/held.hpp"
#include "controller/core/losses.hpp"
#include "controller/core/step_limits.hpp"

namespace freshet::core {

namespace {

using Values = std::array<double, 4>;

double as_ms(std::int64_t duration_ms) noexcept {
    return static_cast<double>(duration_ms);
}

Values sync_values(const SyncReading& sync, std::int64_t within_ms = 0) noexcept {
    return {sync.slip_hz, sync.voltage_ratio, sync.angle_at_closing_deg, as_ms(within_ms)};
}

/// True when a contact of the pump is read open although the step advises it closed and does not wait for its
/// closing.
bool pump_contact_opened(const StepRow& row, const Picture& picture, std::size_t pump) noexcept {
    const bool drive_side = row.advice.drive_side_close && row.wait_for != Condition::drive_side_closed;
    const bool line_side = row.advice.line_side_close && row.wait_for != Condition::line_side_closed &&
                           row.wait_for != Condition::running_on_line;
    return (drive_side && has(picture.drive_side_open, pump)) ||
           (line_side && has(picture.line_side_open, pump));
}

/// True when the line side is read open within the residual voltage time, counted from the last time at which
/// the motor may have been energised. The line side must not close a second time while the motor may still
/// have its own voltage.
bool line_side_bounced(const StepRow& row, const Picture& picture, const PumpRecord& record, std::size_t pump,
                       std::int64_t residual_voltage_ms) noexcept {
    return row.wait_for == Condition::running_on_line && has(picture.line_side_open, pump) &&
           picture.time_ms - record.released_ms < residual_voltage_ms;
}

/// True when the two contactors of the pump, as advised or as read, connect the drive's bus to the line.
bool joins_bus_to_line(const StepRow& row, const Picture& picture, std::size_t pump) noexcept {
    return (row.advice.drive_side_close || has(picture.drive_side_closed, pump)) &&
           (row.advice.line_side_close || has(picture.line_side_closed, pump));
}

/// The time from which the limit of a step counts. The overlap counts from the command that closed the
/// second contactor, because nobody sees when the contacts met.
std::int64_t counted_from_ms(Limit limit, const Run& run) noexcept {
    return limit == Limit::overlap && run.closing_ms != never_ms ? run.closing_ms : run.entered_ms;
}

/// The way after a step was confirmed. When the confirmation uses up the whole overlap, the next step takes
/// its way out at once, so that both contactors of a motor are not advised closed any longer.
Way way_on(const StepRow& row, const Run& run, const SequencerState& state, const Settings& settings,
           std::int64_t now_ms) noexcept {
    if (row.limit != Limit::joining) return row.then;
    const StepRow& next = row_of(row.then.step, *state.table);
    const bool joined = next.advice.drive_side_close && next.advice.line_side_close;
    const bool used_up =
        next.limit == Limit::overlap && now_ms - counted_from_ms(next.limit, run) >= settings.step.overlap_ms;
    return joined && used_up ? next.on_time_out : row.then;
}

/// The longest time of a step. While the water is in danger and a pump may start on the line, a hand-over gives way
/// when synchronising takes twice as long as expected.
std::int64_t most_time_ms(const StepRow& row, const Run& run, const SequencerInputs& inputs,
                          const Settings& settings) noexcept {
    const std::int64_t most_ms = limit_ms(row.limit, settings, inputs.minimum_flow_hz);
    const bool gives_way = row.limit == Limit::synchronise && run.sequence == Sequence::hand_over;
    constexpr std::int64_t much_longer = 2;
    return gives_way && inputs.line_start_awaits
               ? std::min(most_ms, much_longer * settings.step.synchronise_expected_ms)
               : most_ms;
}

/// The alarm of a step's time-out. When the step waits for two contactors, the alarm names the contactor that
/// is not open.
AlarmRef time_out_alarm(const StepRow& row, const Run& run, const Picture& seen) noexcept {
    if (row.wait_for == Condition::sides_open && !has(seen.drive_side_closed, run.pump))
        return alarm(PumpAlarm::line_side_does_not_open);
    if (row.wait_for == Condition::drive_side_and_output_open && !seen.output_closed)
        return alarm(PumpAlarm::drive_side_does_not_open);
    return row.time_out_alarm;
}

}  // namespace

Judgement judge(const Run& run, const SequencerState& state, const SequencerInputs& inputs,
                const Settings& settings) noexcept {
    Judgement judgement;
    if (run.step == Step::idle) return judgement;
    const StepRow& row = row_of(run.step, *state.table);
    const Picture& seen = inputs.picture;
    const std::int64_t elapsed_ms = seen.time_ms - run.entered_ms;

    if (permission_gone(seen, run.pump) || pump_contact_opened(row, seen, run.pump) ||
        line_side_bounced(row, seen, state.pumps[run.pump], run.pump,
                          settings.permissives.residual_voltage_ms)) {
        if (row.on_pump_lost.step != run.step)
            return {true, false, false, row.on_pump_lost, pump_reason(seen, run.pump), {}, no_alarm};
    }
    if (row.on_bus_joined_to_line.step != run.step && joins_bus_to_line(row, seen, run.pump))
        return {true,         false,   false, row.on_bus_joined_to_line, Reason::contact_contradicts,
                {0, 1, 0, 0}, no_alarm};
    const bool output_opened =
        row.advice.output_close && row.wait_for != Condition::output_closed && seen.output_open;
    const bool drive_gone = !is_line_run(run.sequence) && (seen.drive_lost() || output_opened ||
                                                           (row.drive_must_run && seen.drive_stopped) ||
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
        const Way then = way_on(row, run, state, settings, seen.time_ms);
        return {true, true, false, then, Reason::confirmed, {as_ms(elapsed_ms), 0, 0, 0}, no_alarm};
    }

    const std::int64_t most_ms = most_time_ms(row, run, inputs, settings);
    const std::int64_t counted_ms = seen.time_ms - counted_from_ms(row.limit, run);
    if (counted_ms >= most_ms) {
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
        const bool denied = is_denied(row.wait_for, fresh, run.pump);
        Way way = row.on_time_out;
        // An unread contact does not lock the pump out, because no start follows before the contact is read
        // open.
        if (!denied && way.end == PumpState::locked_out) way = end(PumpState::off);
        return {true,
                false,
                false,
                way,
                Reason::timed_out,
                {as_ms(counted_ms), as_ms(most_ms), static_cast<double>(state.transfer_attempts + 1), 0},
                time_out_alarm(row, run, fresh),
                denied};
    }
    return judgement;
}

}  // namespace freshet::core
