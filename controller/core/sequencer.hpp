// The sequencer carries out the tables of sequences.hpp: one main sequence at a time, which uses the drive, and
// one run for each pump on the line side: a line start or a stop from line.
// One reason to change: how a sequence begins, continues or ends.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/emergency_stop.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/sequences.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sync_check.hpp"

namespace freshet::core {

/// A sequence under way.
struct Run {
    Sequence sequence = Sequence::none;
    Step step = Step::idle;
    std::uint8_t pump = no_pump;
    bool failed = false;        ///< at least one step ended without its condition
    bool drive_failed = false;  ///< ... because of the drive; when called off: the drive was not read
    bool called_off = false;    ///< by protection, people or unread signals; no failure and no proof
    bool start_counted = false;
    std::int64_t entered_ms = never_ms;
    std::int64_t closing_ms = never_ms;  ///< when the closing of the second contactor was advised
    std::uint32_t event = 0;             ///< number of the last event of this run
};

/// The greatest limit per hour that an HourlyCount can judge.
inline constexpr std::size_t hourly_max = 12;
inline constexpr std::int64_t hour_ms = 3'600'000;

/// The last times of an event that is limited per hour.
struct HourlyCount {
    std::array<std::int64_t, hourly_max> at_ms = [] {
        std::array<std::int64_t, hourly_max> none{};
        none.fill(never_ms);
        return none;
    }();
    std::uint8_t next = 0;

    /// Adds an event at `now_ms`.
    void note(std::int64_t now_ms) noexcept {
        at_ms[next] = now_ms;
        next = static_cast<std::uint8_t>((next + 1U) % hourly_max);
    }
    /// How many events lie within the hour before `now_ms`; at most hourly_max.
    std::uint8_t within_hour(std::int64_t now_ms) const noexcept {
        std::uint8_t count = 0;
        for (const std::int64_t one : at_ms)
            count = static_cast<std::uint8_t>(count + (now_ms - one < hour_ms ? 1 : 0));
        return count;
    }
    /// True when one more event keeps within `limit` per hour. The `limit`-th last event decides alone. A
    /// limit above hourly_max counts as hourly_max.
    bool allows(std::uint8_t limit, std::int64_t now_ms) const noexcept {
        if (limit == 0) return false;
        const std::size_t back = limit > hourly_max ? hourly_max : limit;
        return now_ms - at_ms[(next + hourly_max - back) % hourly_max] >= hour_ms;
    }
};

/// Trips of a pump or of the drive; see trips.hpp.
struct TripCount {
    HourlyCount trips;
    std::int64_t clear_since_ms =
        never_ms;  ///< read as not tripped since then; never_ms: tripped or never read
};

/// Starts of a motor one after another, without enough rest between them.
struct Succession {
    std::uint8_t starts = 0;
    bool warm = true;  ///< the first start was from warm; an unknown motor counts as warm
};

/// The memory of one pump between scans. Times are station time.
struct PumpRecord {
    PumpState state = PumpState::off;
    std::int64_t started_ms = never_ms;   ///< last start
    std::int64_t released_ms = never_ms;  ///< last seen or advised de-energised
    std::int64_t fed_ms = never_ms;       ///< last seen energised; an unread contact does not count
    std::int64_t retry_after_ms = never_ms;
    std::int64_t hand_over_after_ms = never_ms;  ///< the pause after a failed hand-over of this pump ends
    std::int64_t current_missing_ms = never_ms;
    std::uint8_t attempts = 0;  ///< failed starts in a row
    /// Stops in a row in which a contactor was not read open within its time limit.
    std::uint8_t openings_failed = 0;
    /// Until then a contactor that is read open after all releases the lock-out of the last such stop.
    std::int64_t opens_late_until_ms = never_ms;
    TripCount trip_count;
    bool involuntary = false;  ///< the last stop was for protection, by a poor supply, or not seen
    HourlyCount starts;
    Succession succession;
    std::int64_t released_before_start_ms = never_ms;  ///< released_ms as it was before the start under way
    std::int64_t fed_before_start_ms = never_ms;       ///< fed_ms as it was before the start under way
    std::uint32_t event = 0;                           ///< last event about this pump
    std::int64_t run_ms = 0;                           ///< for rotation and for people
    std::uint32_t starts_total = 0, line_starts_total = 0;
};

/// The memory of the sequencer between scans.
struct SequencerState {
    const StepTable* table = &tables::rows;  ///< tests put faulty tables here
    Run main;                                ///< the sequence of the drive
    /// The line start or the stop from line of each pump. Neither uses the drive, so both run next to the main
    /// sequence, and next to a pump on the drive.
    std::array<Run, pumps_max> line_run{};
    std::array<PumpRecord, pumps_max> pumps{};
    std::uint8_t drive_pump = no_pump;  ///< the pump that runs steadily on the drive
    HourlyCount transfers;
    std::int64_t transfer_retry_after_ms = never_ms;
    std::int64_t drive_retry_after_ms = never_ms;
    std::int64_t sync_within_since_ms = never_ms;
    PumpMask were_de_energised = 0;  ///< pumps with both contactors read open in the last carry_on
    PumpMask fed = 0;                ///< pumps that note_fed last saw energised
    std::int64_t last_start_ms = never_ms, last_line_start_ms = never_ms;
    std::uint8_t transfer_attempts = 0;  ///< failed transfers in a row
    std::uint8_t drive_attempts = 0;
    bool drive_locked_out = false;
    TripCount drive_trip_count;
    bool drive_trips_spent = false;  ///< the drive was locked out for its trips
    bool drive_ready_again = false;  ///< read as ready since its last trip
    EmergencyStop emergency_stop;
    std::uint32_t latched_station = 0;  ///< alarms that a time-out raised
    std::array<std::uint16_t, pumps_max> latched_pump{};
};

/// The first pump with a line start under way, or no_pump.
constexpr std::uint8_t line_starting_pump(const SequencerState& state) noexcept {
    for (const Run& run : state.line_run)
        if (run.step != Step::idle && run.sequence == Sequence::line_start) return run.pump;
    return no_pump;
}
/// True when no main sequence and no line start is under way, and no pump runs on the drive.
constexpr bool drive_is_idle(const SequencerState& state) noexcept {
    return state.main.step == Step::idle && state.drive_pump == no_pump &&
           line_starting_pump(state) == no_pump;
}
/// The run that the advice names: the main sequence, or a line start while no main sequence is under way.
constexpr const Run& shown_run(const SequencerState& state) noexcept {
    if (state.main.step != Step::idle) return state.main;
    const std::uint8_t pump = line_starting_pump(state);
    return pump == no_pump ? state.main : state.line_run[pump];
}
/// True for a pump that does not run and has no sequence under way.
constexpr bool is_idle(PumpState state) noexcept {
    return state == PumpState::off || state == PumpState::unavailable || state == PumpState::locked_out;
}

/// The inputs of the sequencer in one scan.
struct SequencerInputs {
    const Picture& picture;
    SyncReading sync;
    double minimum_flow_hz = 0;  ///< minimum-flow speed with the pumps that run now
    /// The inputs that the picture was made from, for the times of the readings. Null: all readings are new.
    /// The picture holds no times of readings, because pictures are compared.
    const Inputs* readings = nullptr;
    /// The water is in danger and pumps may start on the line, so that a hand-over that does not synchronise gives
    /// way soon.
    bool line_start_awaits = false;
};

/// Begins a sequence of the drive for a pump at step `first`: the first step of the sequence, or a later step
/// for a protective stop. Call only while no main sequence is under way, and not for a line start or a stop
/// from line. Returns the number of the event that the sequence begins with.
std::uint32_t begin(SequencerState& state, Sequence sequence, Step first, std::uint8_t pump, Reason why,
                    std::array<double, 4> values, std::int64_t now_ms, Journal& journal) noexcept;

/// True while a pump that stops still ramps down on a healthy drive.
bool may_call_stop_off(const SequencerState& state) noexcept;

/// Calls a stop on the drive off while the drive ramps down. The pump is on the drive again.
void call_stop_off(SequencerState& state, Reason why, std::array<double, 4> values,
                   Journal& journal) noexcept;

/// Begins a stop from line of one pump. Other sequences may be under way.
void begin_line_stop(SequencerState& state, std::uint8_t pump, Reason why, std::array<double, 4> values,
                     std::int64_t now_ms, Journal& journal) noexcept;

/// Begins a line start of one pump, which must be off. Other sequences may be under way. Returns the number of
/// the event that the line start begins with.
std::uint32_t begin_line_start(SequencerState& state, std::uint8_t pump, Reason why,
                               std::array<double, 4> values, std::int64_t now_ms, Journal& journal) noexcept;

/// Notes which pumps are seen energised, and when. An unread contact does not count.
void note_fed(SequencerState& state, const Picture& picture) noexcept;

/// Carries every sequence under way on by at most one step, and watches the pumps that run steadily.
void carry_on(SequencerState& state, const SequencerInputs& inputs, const Settings& settings,
              Journal& journal) noexcept;

/// Stops every pump at once. All these stops share one event with `why_code`, `why` and `values`.
void stop_all(SequencerState& state, Permissive why_code, Reason why, std::array<double, 4> values,
              std::int64_t now_ms, Journal& journal) noexcept;

/// True when every drive-side contactor and the drive output contactor are read open.
bool drive_is_free(const Picture& picture, const Settings& settings) noexcept;

/// True when the drive can take a motor: its bus is free and the drive is stopped. A drive that still runs
/// would start the motor as soon as the output contactor closes.
bool drive_can_take(const Picture& picture, const Settings& settings) noexcept;

}  // namespace freshet::core
