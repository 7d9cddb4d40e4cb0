// The sequences as tables: what each step advises, what it waits for and for how long, and where it goes when
// the time is out, the drive or the pump is lost, or synchronism goes. The compiler audits them; the
// documents that `freshet sequences` prints are generated from them. One reason to change: the order of
// contactors, or a fallback.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/reasons.hpp"

namespace freshet::core {

/// What the speed reference of the drive is in a step.
enum class SpeedAdvice : std::uint8_t { zero, minimum_flow, line_frequency };

/// What must be seen before a step is left. A reading of bad quality confirms nothing.
enum class Condition : std::uint8_t {
    drive_side_closed,
    drive_side_open,
    line_side_closed,
    line_side_open,
    output_closed,
    output_open,
    sides_open,  // neither of the pump's contactors closed
    drive_side_and_output_open,
    at_minimum_flow,    // drive running, at or above minimum-flow speed
    at_line_frequency,  // drive running at line frequency
    in_sync,            // the drive says so and our own check has agreed for the hold time
    slow,               // drive ramped down
    drive_stopped,      // drive not running
    running_on_line,    // line-side closed and motor current seen
};
inline constexpr std::size_t condition_count = static_cast<std::size_t>(Condition::running_on_line) + 1;

/// Which setting limits the time in a step.
enum class Limit : std::uint8_t {
    close,
    open,
    overlap,
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
constexpr Way to(Step step) {
    return {step, PumpState::off};
}
constexpr Way end(PumpState state) {
    return {Step::idle, state};
}
constexpr bool operator==(const Way& a, const Way& b) {
    return a.step == b.step && a.end == b.end;
}

/// An alarm of the station or of the pump under way; `none` raises nothing.
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

/// What a step advises. Contactors named here are the ones of the pump under way.
struct StepAdvice {
    bool drive_run;
    SpeedAdvice speed;
    bool synchronise, output_close, drive_side_close, line_side_close;
};

/// A way that leads back into its own step changes nothing there: that ground is not judged in the step.
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
    Way on_pump_lost;           ///< tripped, taken out of automatic, or a contact that must hold has let go
    Way on_bus_joined_to_line;  ///< the pump's contactors, advised or seen, join the drive's bus to the line
    bool needs_sync;            ///< synchronism must last until the contact is confirmed
    Way on_sync_lost;           ///< meant only where needs_sync
    bool drive_must_run;        ///< a drive that is not running here is lost
};

/// What a failed sequence counts towards. Each count runs in a row, is taken back by a sequence that ends
/// straight, and leads to a pause before the next attempt (retry_pause_ms); after attempts_max the pump or
/// the drive is locked out, and a transfer goes on being tried after each pause, with its alarm. What
/// protection or people called off counts for nothing.
struct RetryRow {
    Sequence sequence;
    bool counts_pump;      ///< unless the drive was to blame
    bool counts_drive;     ///< where the drive was to blame
    bool counts_transfer;  ///< whoever was to blame
    AlarmRef alarm;        ///< of transfers, from attempts_max on
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
inline constexpr bool until_confirmed = true, not_needed = false, must_run = true, may_stand = false;

// Reading a row: advised [drive run, speed, synchronise, output, drive side, line side]; wait for -> then;
// limit -> on time-out, alarm; on drive lost; on pump lost; on bus met; sync needed -> on sync lost; drive
// must run. The drive leaves a bus that the line feeds at once, output first; where its drive side is not
// advised closed, that is not closed on the way out either.
// clang-format off
inline constexpr StepTable rows{{
// Start on drive: contactors close dead, then the drive runs up to the speed at which the pump moves water.
{start_close_drive_side, S::start_on_drive, P::starting, {stop, A::zero, free, open, closed, open},
    C::drive_side_closed, to(start_close_output), L::close, to(stop_open_drive_side), alarm(PA::drive_side_does_not_close),
    to(stop_open_drive_side), to(stop_open_drive_side), to(stop_open_output), not_needed, {}, may_stand},
{start_close_output, S::start_on_drive, P::starting, {stop, A::zero, free, closed, closed, open},
    C::output_closed, to(start_run), L::close, to(stop_open_output), alarm(SA::output_does_not_close),
    to(stop_open_output), to(stop_open_output), to(stop_open_output), not_needed, {}, may_stand},
{start_run, S::start_on_drive, P::starting, {run, A::minimum_flow, free, closed, closed, open},
    C::at_minimum_flow, end(P::on_drive), L::drive_start, to(stop_drive), alarm(SA::drive_does_not_run),
    to(stop_drive), to(stop_drive), to(stop_open_output), not_needed, {}, may_stand},

// Hand-over: match the line, close the line side, then free the drive: output first, the motor's drive side after it.
{over_line_frequency, S::hand_over, P::to_line, {run, A::line_frequency, free, closed, closed, open},
    C::at_line_frequency, to(over_synchronise), L::line_ramp, end(P::on_drive), alarm(PA::hand_over_failed),
    to(stop_drive), to(stop_drive), to(stop_open_output), not_needed, {}, must_run},
{over_synchronise, S::hand_over, P::to_line, {run, A::line_frequency, sync, closed, closed, open},
    C::in_sync, to(over_close_line_side), L::synchronise, end(P::on_drive), alarm(SA::not_in_sync),
    to(stop_drive), to(stop_drive), to(stop_open_output), not_needed, {}, must_run},
{over_close_line_side, S::hand_over, P::to_line, {run, A::line_frequency, sync, closed, closed, closed},
    C::line_side_closed, to(over_open_output), L::close, to(over_withdraw_line_side), alarm(PA::line_side_does_not_close),
    to(stop_open_output), to(stop_open_output), to(over_close_line_side), until_confirmed, to(over_withdraw_line_side), must_run},
{over_open_output, S::hand_over, P::to_line, {run, A::line_frequency, sync, open, closed, closed},
    C::output_open, to(over_open_drive_side), L::overlap, to(over_fallback_drive_side), alarm(SA::output_does_not_open),
    to(over_fallback_drive_side), to(stop_open_drive_side), to(over_open_output), not_needed, {}, may_stand},
{over_open_drive_side, S::hand_over, P::to_line, {stop, A::zero, free, open, open, closed},
    C::drive_side_open, end(P::on_line), L::open, end(P::on_line), alarm(PA::drive_side_does_not_open),
    to(over_open_drive_side), to(stop_open_drive_side), to(over_open_drive_side), not_needed, {}, may_stand},
// The line side may still have closed, so the drive stays in step until it is seen open. It is not closed again from
// here: a contact that lies could then meet a coasting motor.
{over_withdraw_line_side, S::hand_over, P::to_line, {run, A::line_frequency, sync, closed, closed, open},
    C::line_side_open, end(P::on_drive), L::open, to(stop_open_output), alarm(PA::line_side_does_not_open),
    to(stop_open_output), to(stop_open_output), to(over_withdraw_line_side), not_needed, {}, must_run},
{over_fallback_drive_side, S::hand_over, P::to_line, {stop, A::zero, free, open, open, closed},
    C::drive_side_open, end(P::on_line), L::open, to(stop_open_drive_side), alarm(PA::drive_side_does_not_open),
    to(over_fallback_drive_side), to(stop_open_drive_side), to(over_fallback_drive_side), not_needed, {}, may_stand},

// Take-back: the drive matches the line unloaded, takes the motor in parallel, then the line lets go.
{back_close_output, S::take_back, P::to_drive, {stop, A::zero, free, closed, open, closed},
    C::output_closed, to(back_line_frequency), L::close, to(back_withdraw_output), alarm(SA::output_does_not_close),
    to(back_withdraw_output), to(stop_open_drive_side), to(stop_open_drive_side), not_needed, {}, may_stand},
{back_line_frequency, S::take_back, P::to_drive, {run, A::line_frequency, free, closed, open, closed},
    C::at_line_frequency, to(back_synchronise), L::line_ramp, to(back_withdraw_stop), alarm(SA::drive_does_not_run),
    to(back_withdraw_stop), to(stop_open_drive_side), to(stop_open_drive_side), not_needed, {}, may_stand},
{back_synchronise, S::take_back, P::to_drive, {run, A::line_frequency, sync, closed, open, closed},
    C::in_sync, to(back_close_drive_side), L::synchronise, to(back_withdraw_stop), alarm(SA::not_in_sync),
    to(back_withdraw_stop), to(stop_open_drive_side), to(stop_open_drive_side), not_needed, {}, must_run},
{back_close_drive_side, S::take_back, P::to_drive, {run, A::line_frequency, sync, closed, closed, closed},
    C::drive_side_closed, to(back_open_line_side), L::close, to(back_withdraw_drive_side), alarm(PA::drive_side_does_not_close),
    to(back_withdraw_output), to(stop_open_drive_side), to(back_close_drive_side), until_confirmed, to(back_withdraw_drive_side), must_run},
// A line side that does not open keeps its motor on the line. It stays advised open: closing it again could meet a
// coasting motor if the contact lies.
{back_open_line_side, S::take_back, P::to_drive, {run, A::line_frequency, sync, closed, closed, open},
    C::line_side_open, end(P::on_drive), L::overlap, to(stop_open_drive_side), alarm(PA::line_side_does_not_open),
    to(stop_open_drive_side), to(stop_open_drive_side), to(back_open_line_side), not_needed, {}, must_run},
{back_withdraw_drive_side, S::take_back, P::to_drive, {run, A::line_frequency, sync, closed, open, closed},
    C::drive_side_open, to(back_withdraw_stop), L::open, to(back_withdraw_output), alarm(PA::drive_side_does_not_open),
    to(back_withdraw_output), to(stop_open_drive_side), to(back_withdraw_drive_side), not_needed, {}, may_stand},
{back_withdraw_stop, S::take_back, P::to_drive, {stop, A::zero, free, closed, open, closed},
    C::drive_stopped, to(back_withdraw_output), L::drive_stop, to(back_withdraw_output), alarm(SA::drive_does_not_stop),
    to(back_withdraw_output), to(stop_open_drive_side), to(back_withdraw_output), not_needed, {}, may_stand},
{back_withdraw_output, S::take_back, P::to_drive, {stop, A::zero, free, open, open, closed},
    C::drive_side_and_output_open, end(P::on_line), L::open, end(P::on_line), alarm(SA::output_does_not_open),
    to(back_withdraw_output), to(stop_open_drive_side), to(back_withdraw_output), not_needed, {}, may_stand},

// Stop on drive. Every way out of a drive start ends in its last steps, too.
{stop_ramp, S::stop_on_drive, P::stopping, {run, A::zero, free, closed, closed, open},
    C::slow, to(stop_drive), L::stop_ramp, to(stop_drive), no_alarm,
    to(stop_drive), to(stop_drive), to(stop_open_output), not_needed, {}, must_run},
{stop_drive, S::stop_on_drive, P::stopping, {stop, A::zero, free, closed, closed, open},
    C::drive_stopped, to(stop_open_output), L::drive_stop, to(stop_open_output), alarm(SA::drive_does_not_stop),
    to(stop_open_output), to(stop_drive), to(stop_open_output), not_needed, {}, may_stand},
{stop_open_output, S::stop_on_drive, P::stopping, {stop, A::zero, free, open, closed, open},
    C::output_open, to(stop_open_drive_side), L::open, to(stop_open_drive_side), alarm(SA::output_does_not_open),
    to(stop_open_output), to(stop_open_output), to(stop_open_output), not_needed, {}, may_stand},
{stop_open_drive_side, S::stop_on_drive, P::stopping, {stop, A::zero, free, open, open, open},
    C::sides_open, end(P::off), L::open, end(P::locked_out), alarm(PA::drive_side_does_not_open),
    to(stop_open_drive_side), to(stop_open_drive_side), to(stop_open_drive_side), not_needed, {}, may_stand},

// Stop from line.
{line_stop_open, S::stop_from_line, P::stopping, {stop, A::zero, free, open, open, open},
    C::line_side_open, end(P::off), L::open, end(P::locked_out), alarm(PA::line_side_does_not_open),
    to(line_stop_open), to(line_stop_open), to(line_stop_open), not_needed, {}, may_stand},

// Line start, only in the service without the drive.
{line_start_close, S::line_start, P::starting, {stop, A::zero, free, open, open, closed},
    C::running_on_line, end(P::on_line), L::line_run, to(line_start_withdraw), alarm(PA::line_side_does_not_close),
    to(line_start_close), to(line_start_withdraw), to(line_start_close), not_needed, {}, may_stand},
{line_start_withdraw, S::line_start, P::stopping, {stop, A::zero, free, open, open, open},
    C::line_side_open, end(P::off), L::open, end(P::locked_out), alarm(PA::line_side_does_not_open),
    to(line_start_withdraw), to(line_start_withdraw), to(line_start_withdraw), not_needed, {}, may_stand},
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

/// The row of a step other than idle.
constexpr const StepRow& row_of(Step step, const StepTable& table = tables::rows) {
    return table[static_cast<std::size_t>(step) - 1];
}
constexpr const RetryRow& retry_of(Sequence sequence) {
    return tables::retries[static_cast<std::size_t>(sequence)];
}
constexpr Step first_step(Sequence sequence) {
    return tables::first_steps[static_cast<std::size_t>(sequence)];
}

namespace audit {
/// Each code stands once, at its own place, from `first` on.
template <class Row, std::size_t Count, class Code>
consteval bool stands_in_order(const std::array<Row, Count>& table, Code Row::*code, std::size_t first = 0) {
    for (std::size_t i = 0; i < Count; ++i)
        if (static_cast<std::size_t>(table[i].*code) != first + i) return false;
    return true;
}

constexpr void mark(std::array<bool, static_cast<std::size_t>(Step::count)>& seen, Way way, bool& grew) {
    const auto i = static_cast<std::size_t>(way.step);
    if (!seen[i]) {
        seen[i] = true;
        grew = true;
    }
}

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

/// A time-out always leads away, and following time-outs alone always comes to an end.
consteval bool time_outs_come_to_an_end() {
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

/// Both of a motor's contactors are advised closed only where the drive runs and is kept in step with the
/// line.
consteval bool overlap_is_synchronous() {
    for (const StepRow& row : tables::rows)
        if (row.advice.drive_side_close && row.advice.line_side_close &&
            !(row.advice.drive_run && row.advice.synchronise))
            return false;
    return true;
}

/// The second contactor of a motor is closed only from a step that waited for synchronism.
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

/// A stop from line runs beside whatever the drive does, so it may ask nothing of the drive.
consteval bool stop_from_line_leaves_the_drive_alone() {
    for (const StepRow& row : tables::rows) {
        if (row.sequence != Sequence::stop_from_line) continue;
        if (row.advice.drive_run || row.advice.synchronise || row.advice.output_close ||
            row.advice.speed != SpeedAdvice::zero)
            return false;
    }
    return true;
}

/// Wherever the drive runs, or waits with its output closed, a bus met by the line has its way out; only a
/// transfer that joined the two in step, and the way back from it, may stand on both.
consteval bool bus_met_is_left() {
    for (const StepRow& row : tables::rows) {
        const bool joined = row.advice.drive_side_close && row.advice.line_side_close;
        const bool in_step = row.advice.drive_run && row.advice.synchronise;
        const bool closed_bus = row.advice.output_close && row.advice.drive_side_close;
        if (closed_bus && !joined && !in_step && row.on_bus_joined_to_line.step == row.step) return false;
    }
    return true;
}

static_assert(stands_in_order(tables::rows, &StepRow::step, 1),
              "a step is missing, twice there, or out of order");
static_assert(every_step_is_reachable(), "a step cannot be reached");
static_assert(time_outs_come_to_an_end(), "time-outs lead in a circle");
static_assert(overlap_is_synchronous(), "an overlap without synchronism");
static_assert(closing_follows_sync(), "a closing that did not wait for synchronism");
static_assert(stop_from_line_leaves_the_drive_alone(), "a stop from line that asks something of the drive");
static_assert(bus_met_is_left(), "a bus met by the line that the drive does not leave");
static_assert(stands_in_order(tables::retries, &RetryRow::sequence), "a sequence without its rule of retry");
}  // namespace audit

}  // namespace freshet::core
