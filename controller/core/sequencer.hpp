// The sequencer: carries out the tables of sequences.hpp, one main sequence at a time, and a stop from line
// per pump. One reason to change: how a sequence is begun, carried on, left, or composed into advice.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/advice.hpp"
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
    bool failed = false;        ///< left the straight way at least once
    bool drive_failed = false;  ///< ... and because of the drive; called off: nothing was seen of the drive
    bool called_off = false;    ///< by protection, people or an unread link: neither a failure nor a proof
    bool start_counted = false;
    std::int64_t entered_ms = never_ms;
    std::uint32_t event = 0;  ///< number of the last event of this run
};

inline constexpr std::size_t hourly_max = 12;
inline constexpr std::int64_t hour_ms = 3'600'000;

/// The last times of something that is limited per hour.
struct HourlyCount {
    std::array<std::int64_t, hourly_max> at_ms = [] {
        std::array<std::int64_t, hourly_max> none{};
        none.fill(never_ms);
        return none;
    }();
    std::uint8_t next = 0;

    void note(std::int64_t now_ms) noexcept {
        at_ms[next] = now_ms;
        next = static_cast<std::uint8_t>((next + 1U) % hourly_max);
    }
    std::uint8_t within_hour(std::int64_t now_ms) const noexcept {
        std::uint8_t count = 0;
        for (const std::int64_t one : at_ms)
            count = static_cast<std::uint8_t>(count + (now_ms - one < hour_ms ? 1 : 0));
        return count;
    }
    /// Whether one more is within `limit` per hour. Looks at the `limit`-th last one only.
    bool admits(std::uint8_t limit, std::int64_t now_ms) const noexcept {
        if (limit == 0) return false;
        const std::size_t back = limit > hourly_max ? hourly_max : limit;
        return now_ms - at_ms[(next + hourly_max - back) % hourly_max] >= hour_ms;
    }
};

/// Starts of a motor one after another, without rest enough between.
struct Succession {
    std::uint8_t starts = 0;
    bool warm = true;  ///< begun from warm; a motor of which nothing is known counts as warm
};

struct PumpRecord {
    PumpState state = PumpState::off;
    std::int64_t started_ms = never_ms;   ///< last start
    std::int64_t released_ms = never_ms;  ///< last seen or advised de-energised
    std::int64_t fed_ms = never_ms;       ///< last seen energised; a contact that is not read says nothing
    std::int64_t retry_after_ms = never_ms;
    std::int64_t current_missing_ms = never_ms;
    std::uint8_t attempts = 0;  ///< failed starts in a row
    HourlyCount starts;
    Succession succession;
    std::int64_t rested_from_ms = never_ms;  ///< released_ms as it was before the start under way
    std::int64_t ran_until_ms = never_ms;    ///< fed_ms as it was before the start under way
    std::uint32_t event = 0;                 ///< last event about this pump
    std::int64_t run_ms = 0;                 ///< figures, for rotation and for people
    std::uint32_t starts_total = 0, line_starts_total = 0;
};

struct SequencerState {
    const StepTable* table = &tables::rows;  ///< carried out; tests lay in spoiled ones to see them caught
    Run main;
    std::array<Run, pumps_max> line_stop{};
    std::array<PumpRecord, pumps_max> pumps{};
    std::uint8_t drive_pump = no_pump;  ///< in state on_drive
    HourlyCount transfers;
    std::int64_t transfer_retry_after_ms = never_ms;
    std::int64_t drive_retry_after_ms = never_ms;
    std::int64_t sync_within_since_ms = never_ms;
    PumpMask dead_before = 0;  ///< pumps whose contactors were both open when last carried on
    PumpMask fed = 0;          ///< pumps that were surely energised when last looked at
    std::int64_t last_start_ms = never_ms, last_line_start_ms = never_ms;
    std::uint8_t transfer_attempts = 0;  ///< failed ones in a row
    std::uint8_t drive_attempts = 0;
    bool drive_locked_out = false;
    std::uint32_t latched_station = 0;  ///< alarms that a time-out raised
    std::array<std::uint16_t, pumps_max> latched_pump{};
};

/// No sequence is under way on the drive, and the drive feeds no pump.
constexpr bool drive_is_idle(const SequencerState& state) noexcept {
    return state.main.step == Step::idle && state.drive_pump == no_pump;
}
/// A pump that does not run and is not about to.
constexpr bool is_idle(PumpState state) noexcept {
    return state == PumpState::off || state == PumpState::unavailable || state == PumpState::locked_out;
}

/// What a step of the sequencer is given besides its state.
struct SequencerInputs {
    const Picture& picture;
    SyncReading sync;
    double minimum_flow_hz = 0;  ///< of the combination as it stands
    /// What the picture was made of, for the times of the readings; null: all have just been made. The
    /// picture itself carries no times, as it is compared.
    const Inputs* readings = nullptr;
};

/// Begins `sequence` for a pump at `first` (its first step, or further on for a protective way out).
void begin(SequencerState& state, Sequence sequence, Step first, std::uint8_t pump, Reason why,
           std::array<double, 4> values, std::int64_t now_ms, Journal& journal) noexcept;

/// Begins a stop from line of one pump, beside whatever else is under way.
void begin_line_stop(SequencerState& state, std::uint8_t pump, Reason why, std::array<double, 4> values,
                     std::int64_t now_ms, Journal& journal) noexcept;

/// Notes which pumps are surely energised, and when. A contact that is not read says nothing.
void note_fed(SequencerState& state, const Picture& picture) noexcept;

/// Carries every run on by at most one step each, and watches the pumps that run steadily.
void carry_on(SequencerState& state, const SequencerInputs& inputs, const Settings& settings,
              Journal& journal) noexcept;

/// Takes every pump off at once: for the cut-off, the emergency stop, a lost supply.
void stop_all(SequencerState& state, Permissive why_code, Reason why, std::array<double, 4> values,
              std::int64_t now_ms, Journal& journal) noexcept;

/// No drive-side contactor of any pump and no drive output is closed, and all are known to be open.
bool drive_is_free(const Picture& picture, const Settings& settings) noexcept;

/// The drive may take a motor: nothing on its bus, and it stands. A drive that still runs would start the
/// motor as soon as its output closes.
bool drive_can_take(const Picture& picture, const Settings& settings) noexcept;

}  // namespace freshet::core
