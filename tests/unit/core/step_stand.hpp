// A test stand for one step of a sequence, without a controller around it.
// One reason to change: what the sequencer needs of its station.
#pragma once

#include <gtest/gtest.h>

#include <cstdint>

#include "controller/core/alarms.hpp"
#include "controller/core/sequencer.hpp"
#include "tests/doubles/composed.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/durations.hpp"
#include "tests/unit/core/instants.hpp"

namespace freshet::core {

inline constexpr std::int64_t stand_scan_ms = 100;
inline constexpr std::int64_t long_ago_ms = start_ms - 24_h;
inline constexpr double stand_minimum_hz = 40, stand_line_hz = 60;
inline constexpr std::uint8_t stand_pump = 0;

/// A sequencer that has just entered one step, and a station that follows the advice from scan to scan.
struct StepStand {
    Settings settings = doubles::four_pumps();
    SequencerState state;
    Picture picture;
    Advice advice;
    std::uint32_t number = 0;
    std::int64_t now_ms = start_ms;
    bool in_sync = true;

    explicit StepStand(const StepRow& row) : row_(row) {
        for (PumpRecord& one : state.pumps) one.released_ms = long_ago_ms;
        Run& entered = run();
        entered.sequence = row.sequence;
        entered.step = row.step;
        entered.pump = stand_pump;
        entered.entered_ms = now_ms;
        state.pumps[stand_pump].state = row.state;
        settle();
        doubles::compose(state, {picture, sync(), stand_minimum_hz}, stand_minimum_hz, settings, advice);
    }
    bool on_line_side() const { return is_line_run(row_.sequence); }
    Run& run() { return on_line_side() ? state.line_run[stand_pump] : state.main; }
    Step step() { return run().step; }

    SyncReading sync() const {
        SyncReading reading;
        reading.usable = true;
        reading.within = in_sync && !picture.line_poor;
        return reading;
    }
    /// The station has followed the advice.
    void settle() {
        picture = {};
        picture.time_ms = now_ms;
        picture.line_hz = stand_line_hz;
        picture.automatic = 0x0F;
        picture.drive_known = picture.contacts_known = true;
        for (std::size_t p = 0; p < settings.pump_count; ++p) {
            const PumpMask bit = bit_of(p);
            const auto set = [bit](PumpMask& mask) { mask = static_cast<PumpMask>(mask | bit); };
            set(advice.pumps[p].drive_side_close ? picture.drive_side_closed : picture.drive_side_open);
            set(advice.pumps[p].line_side_close ? picture.line_side_closed : picture.line_side_open);
            const bool fed = advice.pumps[p].line_side_close ||
                             (advice.pumps[p].drive_side_close && advice.output_close && advice.drive_run);
            set(fed ? picture.current_seen : picture.current_missing);
        }
        picture.output_closed = advice.output_close;
        picture.output_open = !advice.output_close;
        picture.drive_running = advice.drive_run;
        picture.drive_stopped = !advice.drive_run;
        picture.drive_hz_known = true;
        picture.drive_hz = advice.drive_run ? advice.speed_hz : 0;
        picture.drive_claims_sync = advice.synchronise && in_sync;
    }
    /// The station does not show the confirmation that a step waits for.
    void deny(Condition condition) {
        const auto open = [](PumpMask& closed_mask, PumpMask& open_mask) {
            closed_mask = static_cast<PumpMask>(closed_mask & ~bit_of(stand_pump));
            open_mask = static_cast<PumpMask>(open_mask | bit_of(stand_pump));
        };
        switch (condition) {
            case Condition::drive_side_closed:
                return open(picture.drive_side_closed, picture.drive_side_open);
            case Condition::line_side_closed:
                return open(picture.line_side_closed, picture.line_side_open);
            case Condition::drive_side_open:
            case Condition::sides_open:
                return open(picture.drive_side_open, picture.drive_side_closed);
            case Condition::line_side_open:
                return open(picture.line_side_open, picture.line_side_closed);
            case Condition::output_closed:
                picture.output_closed = false;
                picture.output_open = true;
                return;
            case Condition::output_open:
            case Condition::drive_side_and_output_open:
                picture.output_closed = true;
                picture.output_open = false;
                return;
            case Condition::at_minimum_flow:
            case Condition::at_line_frequency:
                picture.drive_hz = stand_minimum_hz / 2;
                return;
            case Condition::in_sync:
                picture.drive_claims_sync = in_sync = false;
                return;
            case Condition::slow:
                picture.drive_hz = stand_minimum_hz;
                return;
            case Condition::drive_stopped:
                picture.drive_running = true;
                picture.drive_stopped = false;
                return;
            case Condition::running_on_line:
                return open(picture.current_seen, picture.current_missing);
        }
        FAIL() << "deny() does not know this condition";
    }
    void scan() {
        Journal journal(advice, number);
        carry_on(state, {picture, sync(), stand_minimum_hz}, settings, journal);
        doubles::compose(state, {picture, sync(), stand_minimum_hz}, stand_minimum_hz, settings, advice);
    }
    void stop_all_pumps(Permissive code, Reason why) {
        Journal journal(advice, number);
        carry_on(state, {picture, sync(), stand_minimum_hz}, settings, journal);
        stop_all(state, code, why, {}, now_ms, journal);
        doubles::compose(state, {picture, sync(), stand_minimum_hz}, stand_minimum_hz, settings, advice);
    }
    void pass() { now_ms += stand_scan_ms; }
    /// One scan without the confirmation.
    void scan_without_confirmation() {
        pass();
        settle();
        in_sync = true;
        deny(row_.wait_for);
        scan();
    }
    /// One scan in which no signal of the station is read.
    void scan_unread() {
        pass();
        picture = {};
        picture.time_ms = now_ms;
        picture.line_hz = stand_line_hz;
        in_sync = false;
        scan();
    }
    /// Scans of a healthy station until the run has ended. False when it does not end.
    bool recover() {
        constexpr std::int64_t most_ms = 2_min;
        in_sync = true;
        for (const std::int64_t end = now_ms + most_ms; now_ms < end && step() != Step::idle;) {
            pass();
            settle();
            scan();
        }
        return step() == Step::idle;
    }
    bool raised(AlarmRef alarm) const {
        if (alarm.of == AlarmRef::Of::station) return (state.latched_station >> alarm.code & 1U) != 0;
        return alarm.of == AlarmRef::Of::pump && (state.latched_pump[stand_pump] >> alarm.code & 1U) != 0;
    }
    bool nothing_raised() const { return state.latched_station == 0 && state.latched_pump[stand_pump] == 0; }

  private:
    const StepRow& row_;
};

}  // namespace freshet::core
