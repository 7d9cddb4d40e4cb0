// Judging idle pumps; see the header.
#include "controller/core/availability.hpp"

#include "controller/core/alarms.hpp"
#include "controller/core/permissives.hpp"
#include "controller/core/transfer_impossible.hpp"
#include "controller/core/trips.hpp"

namespace freshet::core {

namespace {

void release_drive(SequencerState& sequencer) noexcept {
    sequencer.drive_locked_out = false;
    sequencer.drive_attempts = 0;
    sequencer.drive_trip_count = {};
    sequencer.drive_trips_spent = false;
    sequencer.latched_station = 0;
    release_transfers(sequencer);
}

void release_pump(SequencerState& sequencer, std::uint8_t pump, Journal& journal) noexcept {
    PumpRecord& record = sequencer.pumps[pump];
    record.attempts = record.openings_failed = 0;
    record.trip_count = {};
    constexpr unsigned of_transfers =
        alarm_bit(PumpAlarm::hand_over_failed) | alarm_bit(PumpAlarm::take_back_failed);
    if ((sequencer.latched_pump[pump] & of_transfers) != 0) release_transfers(sequencer);
    sequencer.latched_pump[pump] = 0;
    if (record.state != PumpState::locked_out) return;
    record.state = PumpState::off;
    record.event = journal.note(EventKind::pump_state, static_cast<std::uint8_t>(PumpState::off), pump,
                                Reason::selector_off, {}, record.event);
}

/// True when the only ground of a lock-out was a contactor that was not read open, and both contactors of
/// the pump have been read open since soon after.
bool opened_late(const PumpRecord& record, const Picture& picture, std::uint8_t pump,
                 const Settings& settings) noexcept {
    constexpr std::int64_t open_least_ms = 2000;
    const bool open = has(static_cast<PumpMask>(picture.drive_side_open & picture.line_side_open), pump);
    return record.state == PumpState::locked_out && record.opens_late_until_ms != never_ms && open &&
           record.released_ms <= record.opens_late_until_ms &&
           picture.time_ms - record.released_ms >= open_least_ms &&
           record.attempts < settings.step.attempts_max &&
           !trips_are_spent(record, settings, picture.time_ms);
}

void release_after_late_opening(SequencerState& sequencer, std::uint8_t pump, Journal& journal) noexcept {
    PumpRecord& record = sequencer.pumps[pump];
    std::uint16_t& latched = sequencer.latched_pump[pump];
    latched = static_cast<std::uint16_t>(latched & ~alarm_bit(PumpAlarm::locked_out));
    record.opens_late_until_ms = never_ms;
    record.state = PumpState::off;
    const double failed = record.openings_failed;
    record.event = journal.note(EventKind::pump_state, static_cast<std::uint8_t>(PumpState::off), pump,
                                Reason::opened_late, {failed, 0, 0, 0}, record.event);
}

Reason reason_of(Permissive why, const Picture& picture, std::uint8_t pump) noexcept {
    if (why == Permissive::none) return Reason::selector_automatic;
    if (why == Permissive::tripped) return Reason::pump_tripped;
    if (why != Permissive::not_automatic) return Reason::permission_lost;
    if (has(picture.hand, pump)) return Reason::selector_hand;
    return has(picture.not_automatic, pump) ? Reason::selector_off : Reason::permission_lost;
}

void judge_idle_pump(PumpRecord& record, const Picture& picture, std::uint8_t pump,
                     Journal& journal) noexcept {
    const Permissive why = why_unavailable(picture, pump);
    const PumpState state = why == Permissive::none ? PumpState::off : PumpState::unavailable;
    if (state == record.state) return;
    record.state = state;
    record.event =
        journal.note(EventKind::pump_state, static_cast<std::uint8_t>(state), pump,
                     reason_of(why, picture, pump), {static_cast<double>(why), 0, 0, 0}, record.event);
}

}  // namespace

void judge_availability(SequencerState& sequencer, const Picture& picture, const Settings& settings,
                        Journal& journal) noexcept {
    const bool spent =
        sequencer.drive_locked_out || sequencer.transfer_attempts >= settings.step.attempts_max;
    if (spent && people_release_drive(sequencer, picture)) release_drive(sequencer);
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        PumpRecord& record = sequencer.pumps[pump];
        if (!is_idle(record.state)) continue;
        const bool selector_off = has(static_cast<PumpMask>(picture.not_automatic & ~picture.hand), pump);
        if (selector_off) release_pump(sequencer, pump, journal);
        if (opened_late(record, picture, pump, settings))
            release_after_late_opening(sequencer, pump, journal);
        if (record.state != PumpState::locked_out) judge_idle_pump(record, picture, pump, journal);
    }
}

}  // namespace freshet::core
