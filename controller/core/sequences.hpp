// The sequences as tables. A row holds the advice of a step, the condition that the step waits for, its time
// limit, and the next step. The row also says where the step leads when the time is out, when the drive or
// the pump is lost, and when synchronism is lost. The compiler audits the tables. `freshet sequences` prints
// its documents from the tables.
// One reason to change: the order of contactors, or a fallback.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/reasons.hpp"
#include "controller/core/table_order.hpp"

namespace freshet::core {

/// The speed reference of the drive in a step.
enum class SpeedAdvice : std::uint8_t { zero, minimum_flow, line_frequency };

/// The condition that a step waits for. A reading of bad quality meets no condition.
enum class Condition : std::uint8_t {
    drive_side_closed,
    drive_side_open,
    line_side_closed,
    line_side_open,
    output_closed,
    output_open,
    sides_open,  // both contactors of the pump open
    drive_side_and_output_open,
    at_minimum_flow,    // drive running, at or above minimum-flow speed
    at_line_frequency,  // drive running at line frequency
    in_sync,            // the drive reports synchronism and our own check has agreed for the hold time
    slow,               // drive ramped down
    drive_stopped,      // drive not running
    running_on_line,    // line-side closed and motor current seen
};
inline constexpr std::size_t condition_count = static_cast<std::size_t>(Condition::running_on_line) + 1;

/// The time limit of a step.
enum class Limit : std::uint8_t {
    close,
    open,
    joining,      // closing of a motor's second contactor: the shorter of `close` and `overlap`
    overlap,      // counted from the command of that closing
    drive_start,  // drive start plus ramp to minimum-flow speed
    line_ramp,    // ramp to line frequency
    synchronise,
    stop_ramp,
    drive_stop,
    line_run,  // closing and current seen
};
inline constexpr std::size_t limit_count = static_cast<std::size_t>(Limit::line_run) + 1;

/// Where a step leads: another step, or the end of the sequence with the pump in a state.
struct Way {
    Step step = Step::idle;
    PumpState end = PumpState::off;
};
/// The way to another step.
constexpr Way to(Step step) {
    return {step, PumpState::off};
}
/// The end of the sequence, with the pump in `state`.
constexpr Way end(PumpState state) {
    return {Step::idle, state};
}
constexpr bool operator==(const Way& a, const Way& b) {
    return a.step == b.step && a.end == b.end;
}

/// An alarm of the station or of the sequence's pump; `none`: no alarm.
struct AlarmRef {
    enum class Of : std::uint8_t { none, station, pump } of = Of::none;
    std::uint8_t code = 0;
};
constexpr AlarmRef no_alarm{};
constexpr AlarmRef alarm(StationAlarm code) {
    return {AlarmRef::Of::station, static_cast<std::uint8_t>(code)};
}
constexpr AlarmRef alarm(PumpAlarm code) {
    return {AlarmRef::Of::pump, static_cast<std::uint8_t>(code)};
}

/// The advice of a step. The drive side and the line side are those of the sequence's pump.
struct StepAdvice {
    bool drive_run;
    SpeedAdvice speed;
    bool synchronise, output_close, drive_side_close, line_side_close;
};

/// One step of a sequence. A way that leads back into its own step changes nothing, so the step does not
/// judge its ground.
struct StepRow {
    Step step;
    Sequence sequence;
    PumpState state;  ///< of the pump while in the step
    StepAdvice advice;
    Condition wait_for;
    Way then;
    Limit limit;
    Way on_time_out;
    AlarmRef time_out_alarm;
    Way on_drive_lost;          ///< drive tripped, not ready, or no longer running where it must be
    Way on_pump_lost;           ///< tripped, not in automatic, or a contact that must stay closed has opened
    Way on_bus_joined_to_line;  ///< the pump's contactors, advised or read, connect drive bus and line
    bool needs_sync;            ///< synchronism must last until the contact is confirmed
    Way on_sync_lost;           ///< used only with needs_sync
    bool drive_must_run;        ///< a stopped drive counts as lost in this step
};

/// What a failed sequence counts as. A count is a number of failures in a row, and a clean end of the
/// sequence sets the count to zero. After a failure the next attempt waits for retry_pause_ms. After
/// attempts_max failures the pump or the drive is locked out. A transfer is never locked out. From attempts_max
/// failures on the transfer has its alarm, and the staging tries the transfer again after each
/// transfer_pause_ms. A run that protection or people called off does not count.
struct RetryRow {
    Sequence sequence;
    bool counts_pump;      ///< unless the drive caused the failure
    bool counts_drive;     ///< when the drive caused the failure
    bool counts_transfer;  ///< whatever caused the failure
    AlarmRef alarm;        ///< alarm of a transfer, from attempts_max failures on
};
using RetryTable = std::array<RetryRow, static_cast<std::size_t>(Sequence::count)>;

/// A row for each step other than idle, in the order of the steps.
using StepTable = std::array<StepRow, static_cast<std::size_t>(Step::count) - 1>;

namespace tables {
using enum Step;
using S = Sequence;
using P = PumpState;
using A = SpeedAdvice;
using C = Condition;
using L = Limit;
using SA = StationAlarm;
using PA = PumpAlarm;
inline constexpr bool run = true, stop = false, sync = true, free = false, closed = true, open = false;
inline constexpr bool until_confirmed = true, not_needed = false, must_run = true, may_stop = false;

// How to read a row:
//   step, sequence, state of the pump,
//   advice {drive run, speed, synchronise, output, drive side, line side},
//   condition, next step, limit, way on time-out, alarm of the time-out,
//   way on drive lost, way on pump lost, way on bus joined to the line,
//   synchronism needed, way on synchronism lost, drive must run.
//
// When the line feeds the drive's bus, the drive leaves the bus at once, output first. When a step does not
// advise the drive side closed, its ways out do not close the drive side either.
// clang-format off
inline constexpr StepTable rows{{
// Start on drive: the contactors close without voltage, then the drive runs up to the speed at which the pump
// moves water.
{start_close_drive_side, S::start_on_drive, P::starting, {stop, A::zero, free, open, closed, open},
    C::drive_side_closed, to(start_close_output), L::close, to(stop_open_drive_side), alarm(PA::drive_side_does_not_close),
    to(stop_open_drive_side), to(stop_open_drive_side), to(stop_open_output), not_needed, {}, may_stop},
{start_close_output, S::start_on_drive, P::starting, {stop, A::zero, free, closed, closed, open},
    C::output_closed, to(start_run), L::close, to(stop_open_output), alarm(SA::output_does_not_close),
    to(stop_open_output), to(stop_open_output), to(stop_open_output), not_needed, {}, may_stop},
{start_run, S::start_on_drive, P::starting, {run, A::minimum_flow, free, closed, closed, open},
    C::at_minimum_flow, end(P::on_drive), L::drive_start, to(stop_drive), alarm(SA::drive_does_not_run),
    to(stop_drive), to(stop_drive), to(stop_open_output), not_needed, {}, may_stop},

// Hand-over: the drive matches the line, and the line side closes. Then the output opens, and the drive side
// opens last.
{over_line_frequency, S::hand_over, P::to_line, {run, A::line_frequency, free, closed, closed, open},
    C::at_line_frequency, to(over_synchronise), L::line_ramp, end(P::on_drive), alarm(PA::hand_over_failed),
    to(stop_drive), to(stop_drive), to(stop_open_output), not_needed, {}, must_run},
{over_synchronise, S::hand_over, P::to_line, {run, A::line_frequency, sync, closed, closed, open},
    C::in_sync, to(over_close_line_side), L::synchronise, end(P::on_drive), alarm(SA::not_in_sync),
    to(stop_drive), to(stop_drive), to(stop_open_output), not_needed, {}, must_run},
{over_close_line_side, S::hand_over, P::to_line, {run, A::line_frequency, sync, closed, closed, closed},
    C::line_side_closed, to(over_open_output), L::joining, to(over_withdraw_line_side), alarm(PA::line_side_does_not_close),
    to(stop_open_output), to(stop_open_output), to(over_close_line_side), until_confirmed, to(over_withdraw_line_side), must_run},
{over_open_output, S::hand_over, P::to_line, {run, A::line_frequency, sync, open, closed, closed},
    C::output_open, to(over_open_drive_side), L::overlap, to(over_fallback_drive_side), alarm(SA::output_does_not_open),
    to(over_fallback_drive_side), to(stop_open_drive_side), to(over_open_output), not_needed, {}, may_stop},
{over_open_drive_side, S::hand_over, P::to_line, {stop, A::zero, free, open, open, closed},
    C::drive_side_open, end(P::on_line), L::open, end(P::on_line), alarm(PA::drive_side_does_not_open),
    to(over_open_drive_side), to(stop_open_drive_side), to(over_open_drive_side), not_needed, {}, may_stop},
// The line side may have closed unseen, so the drive stays in synchronism until the line side is read open.
// The line side does not close again from here, because after a false reading it could close on a coasting
// motor.
{over_withdraw_line_side, S::hand_over, P::to_line, {run, A::line_frequency, sync, closed, closed, open},
    C::line_side_open, end(P::on_drive), L::open, to(stop_open_output), alarm(PA::line_side_does_not_open),
    to(stop_open_output), to(stop_open_output), to(over_withdraw_line_side), not_needed, {}, must_run},
{over_fallback_drive_side, S::hand_over, P::to_line, {stop, A::zero, free, open, open, closed},
    C::drive_side_open, end(P::on_line), L::open, to(stop_open_drive_side), alarm(PA::drive_side_does_not_open),
    to(over_fallback_drive_side), to(stop_open_drive_side), to(over_fallback_drive_side), not_needed, {}, may_stop},

// Take-back: the drive matches the line unloaded, and the drive side closes. Then the line side opens.
{back_close_output, S::take_back, P::to_drive, {stop, A::zero, free, closed, open, closed},
    C::output_closed, to(back_line_frequency), L::close, to(back_withdraw_output), alarm(SA::output_does_not_close),
    to(back_withdraw_output), to(stop_open_drive_side), to(stop_open_drive_side), not_needed, {}, may_stop},
{back_line_frequency, S::take_back, P::to_drive, {run, A::line_frequency, free, closed, open, closed},
    C::at_line_frequency, to(back_synchronise), L::line_ramp, to(back_withdraw_stop), alarm(SA::drive_does_not_run),
    to(back_withdraw_stop), to(stop_open_drive_side), to(stop_open_drive_side), not_needed, {}, may_stop},
{back_synchronise, S::take_back, P::to_drive, {run, A::line_frequency, sync, closed, open, closed},
    C::in_sync, to(back_close_drive_side), L::synchronise, to(back_withdraw_stop), alarm(SA::not_in_sync),
    to(back_withdraw_stop), to(stop_open_drive_side), to(stop_open_drive_side), not_needed, {}, must_run},
{back_close_drive_side, S::take_back, P::to_drive, {run, A::line_frequency, sync, closed, closed, closed},
    C::drive_side_closed, to(back_open_line_side), L::joining, to(back_withdraw_drive_side), alarm(PA::drive_side_does_not_close),
    to(back_withdraw_output), to(stop_open_drive_side), to(back_close_drive_side), until_confirmed, to(back_withdraw_drive_side), must_run},
// A line side that does not open keeps its motor on the line. The advice stays open, because after a false
// reading the line side could close on a coasting motor.
{back_open_line_side, S::take_back, P::to_drive, {run, A::line_frequency, sync, closed, closed, open},
    C::line_side_open, end(P::on_drive), L::overlap, to(stop_open_drive_side), alarm(PA::line_side_does_not_open),
    to(stop_open_drive_side), to(stop_open_drive_side), to(back_open_line_side), not_needed, {}, must_run},
{back_withdraw_drive_side, S::take_back, P::to_drive, {run, A::line_frequency, sync, closed, open, closed},
    C::drive_side_open, to(back_withdraw_stop), L::open, to(back_withdraw_output), alarm(PA::drive_side_does_not_open),
    to(back_withdraw_output), to(stop_open_drive_side), to(back_withdraw_drive_side), not_needed, {}, may_stop},
{back_withdraw_stop, S::take_back, P::to_drive, {stop, A::zero, free, closed, open, closed},
    C::drive_stopped, to(back_withdraw_output), L::drive_stop, to(back_withdraw_output), alarm(SA::drive_does_not_stop),
    to(back_withdraw_output), to(stop_open_drive_side), to(back_withdraw_output), not_needed, {}, may_stop},
{back_withdraw_output, S::take_back, P::to_drive, {stop, A::zero, free, open, open, closed},
    C::drive_side_and_output_open, end(P::on_line), L::open, end(P::on_line), alarm(SA::output_does_not_open),
    to(back_withdraw_output), to(stop_open_drive_side), to(back_withdraw_output), not_needed, {}, may_stop},

// Stop on drive. Every way out of a failed start on the drive ends in the last steps, too.
{stop_ramp, S::stop_on_drive, P::stopping, {run, A::zero, free, closed, closed, open},
    C::slow, to(stop_drive), L::stop_ramp, to(stop_drive), no_alarm,
    to(stop_drive), to(stop_drive), to(stop_open_output), not_needed, {}, must_run},
{stop_drive, S::stop_on_drive, P::stopping, {stop, A::zero, free, closed, closed, open},
    C::drive_stopped, to(stop_open_output), L::drive_stop, to(stop_open_output), alarm(SA::drive_does_not_stop),
    to(stop_open_output), to(stop_drive), to(stop_open_output), not_needed, {}, may_stop},
{stop_open_output, S::stop_on_drive, P::stopping, {stop, A::zero, free, open, closed, open},
    C::output_open, to(stop_open_drive_side), L::open, to(stop_open_drive_side), alarm(SA::output_does_not_open),
    to(stop_open_output), to(stop_open_output), to(stop_open_output), not_needed, {}, may_stop},
{stop_open_drive_side, S::stop_on_drive, P::stopping, {stop, A::zero, free, open, open, open},
    C::sides_open, end(P::off), L::open, end(P::locked_out), alarm(PA::drive_side_does_not_open),
    to(stop_open_drive_side), to(stop_open_drive_side), to(stop_open_drive_side), not_needed, {}, may_stop},

// Stop from line.
{line_stop_open, S::stop_from_line, P::stopping, {stop, A::zero, free, open, open, open},
    C::line_side_open, end(P::off), L::open, end(P::locked_out), alarm(PA::line_side_does_not_open),
    to(line_stop_open), to(line_stop_open), to(line_stop_open), not_needed, {}, may_stop},

// Line start, only while the drive is unavailable, or next to a drive pump that cannot be handed over.
{line_start_close, S::line_start, P::starting, {stop, A::zero, free, open, open, closed},
    C::running_on_line, end(P::on_line), L::line_run, to(line_start_withdraw), alarm(PA::line_side_does_not_close),
    to(line_start_close), to(line_start_withdraw), to(line_start_withdraw), not_needed, {}, may_stop},
{line_start_withdraw, S::line_start, P::stopping, {stop, A::zero, free, open, open, open},
    C::line_side_open, end(P::off), L::open, end(P::locked_out), alarm(PA::line_side_does_not_open),
    to(line_start_withdraw), to(line_start_withdraw), to(line_start_withdraw), not_needed, {}, may_stop},
}};
// clang-format on

inline constexpr RetryTable retries{{
    {S::none, false, false, false, no_alarm},
    {S::start_on_drive, true, true, false, no_alarm},
    {S::hand_over, false, true, true, alarm(PA::hand_over_failed)},
    {S::take_back, false, true, true, alarm(PA::take_back_failed)},
    {S::stop_on_drive, false, true, false, no_alarm},
    {S::stop_from_line, false, false, false, no_alarm},
    {S::line_start, true, false, false, no_alarm},
}};

/// First step of each sequence, by Sequence.
inline constexpr std::array<Step, static_cast<std::size_t>(Sequence::count)> first_steps{
    idle,      start_close_drive_side, over_line_frequency, back_close_output,
    stop_ramp, line_stop_open,         line_start_close};
}  // namespace tables

/// The row of a step. The step must not be idle.
constexpr const StepRow& row_of(Step step, const StepTable& table = tables::rows) {
    return table[static_cast<std::size_t>(step) - 1];
}
/// What a failure of the sequence counts as.
constexpr const RetryRow& retry_of(Sequence sequence) {
    return tables::retries[static_cast<std::size_t>(sequence)];
}
/// The step that a sequence begins with; idle for Sequence::none.
constexpr Step first_step(Sequence sequence) {
    return tables::first_steps[static_cast<std::size_t>(sequence)];
}

/// True for the sequences of one pump on the line side, which do not use the drive.
constexpr bool is_line_run(Sequence sequence) {
    return sequence == Sequence::line_start || sequence == Sequence::stop_from_line;
}

namespace audit {
/// Marks the step that `way` leads to as reachable. Sets `grew` when the step was not marked before.
constexpr void mark(std::array<bool, static_cast<std::size_t>(Step::count)>& seen, Way way, bool& grew) {
    const auto i = static_cast<std::size_t>(way.step);
    if (!seen[i]) {
        seen[i] = true;
        grew = true;
    }
}

/// Every step can be reached from the first step of a sequence.
consteval bool every_step_is_reachable() {
    std::array<bool, static_cast<std::size_t>(Step::count)> seen{};
    bool grew = true;
    for (const Step first : tables::first_steps) seen[static_cast<std::size_t>(first)] = true;
    while (grew) {
        grew = false;
        for (const StepRow& row : tables::rows) {
            if (!seen[static_cast<std::size_t>(row.step)]) continue;
            mark(seen, row.then, grew);
            mark(seen, row.on_time_out, grew);
            mark(seen, row.on_drive_lost, grew);
            mark(seen, row.on_pump_lost, grew);
            mark(seen, row.on_bus_joined_to_line, grew);
            if (row.needs_sync) mark(seen, row.on_sync_lost, grew);
        }
    }
    for (const bool one : seen)
        if (!one) return false;
    return true;
}

/// A chain of time-outs always ends. No time-out leads back to a step before it.
consteval bool time_outs_end() {
    for (const StepRow& row : tables::rows) {
        Step step = row.step;
        std::size_t hops = 0;
        while (step != Step::idle) {
            step = row_of(step).on_time_out.step;
            if (++hops > tables::rows.size()) return false;
        }
    }
    return true;
}

/// The advice closes both contactors of a motor only while the drive runs in synchronism with the line.
consteval bool overlap_is_synchronous() {
    for (const StepRow& row : tables::rows)
        if (row.advice.drive_side_close && row.advice.line_side_close &&
            !(row.advice.drive_run && row.advice.synchronise))
            return false;
    return true;
}

/// Both contactors of a motor are advised closed only within the overlap limit, which counts from the command that
/// closes the second contactor.
consteval bool overlap_is_bounded() {
    for (const StepRow& row : tables::rows) {
        const bool joined = row.advice.drive_side_close && row.advice.line_side_close;
        if (joined && row.limit != Limit::joining && row.limit != Limit::overlap) return false;
        if (row.limit == Limit::joining && !joined) return false;
        if (row.limit != Limit::overlap) continue;
        bool follows_closing = false;
        for (const StepRow& before : tables::rows)
            follows_closing =
                follows_closing || (before.limit == Limit::joining && before.then == to(row.step));
        if (!follows_closing) return false;
    }
    return true;
}

/// Only a step that waited for synchronism leads to a step that closes the second contactor of a motor.
consteval bool closing_follows_sync() {
    for (const StepRow& row : tables::rows)
        for (const Way way : {row.then, row.on_time_out, row.on_drive_lost, row.on_pump_lost,
                              row.on_bus_joined_to_line, row.on_sync_lost}) {
            if (way.step == Step::idle) continue;
            const StepAdvice& next = row_of(way.step).advice;
            const bool both_before = row.advice.drive_side_close && row.advice.line_side_close;
            const bool both_after = next.drive_side_close && next.line_side_close;
            if (both_after && !both_before && !(row.wait_for == Condition::in_sync && way == row.then))
                return false;
        }
    return true;
}

/// A line start or a stop from line runs at the same time as sequences of the drive, and next to a pump on the
/// drive. So neither may advise the drive, or the drive side of its own pump.
consteval bool line_runs_do_not_advise_the_drive() {
    for (const StepRow& row : tables::rows) {
        if (!is_line_run(row.sequence)) continue;
        if (row.advice.drive_run || row.advice.synchronise || row.advice.output_close ||
            row.advice.drive_side_close || row.advice.speed != SpeedAdvice::zero)
            return false;
    }
    return true;
}

/// Every step with a closed drive bus has a way out for a bus that the line feeds. Only a transfer in
/// synchronism, and the way back from that transfer, may keep both sources on the bus.
consteval bool fed_bus_is_left() {
    for (const StepRow& row : tables::rows) {
        const bool joined = row.advice.drive_side_close && row.advice.line_side_close;
        const bool in_step = row.advice.drive_run && row.advice.synchronise;
        const bool closed_bus = row.advice.output_close && row.advice.drive_side_close;
        if (closed_bus && !joined && !in_step && row.on_bus_joined_to_line.step == row.step) return false;
    }
    return true;
}

static_assert(is_in_order(tables::rows, &StepRow::step, 1),
              "every step needs one row, in the order of the codes");
static_assert(every_step_is_reachable(), "a step cannot be reached");
static_assert(time_outs_end(), "a chain of time-outs never ends");
static_assert(overlap_is_synchronous(), "a step closes both contactors of a motor without synchronism");
static_assert(overlap_is_bounded(), "a step closes both contactors of a motor beyond the overlap limit");
static_assert(closing_follows_sync(),
              "a step closes the second contactor of a motor without waiting for synchronism");
static_assert(line_runs_do_not_advise_the_drive(),
              "a line start or a stop from line must not advise the drive");
static_assert(fed_bus_is_left(), "a step keeps the drive on a bus that the line feeds");
static_assert(is_in_order(tables::retries, &RetryRow::sequence),
              "every sequence needs its rule of retry, in the order of the codes");
}  // namespace audit

}  // namespace freshet::core
