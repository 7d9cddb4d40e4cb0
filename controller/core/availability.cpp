// Judging idle pumps; see the header.
#include "controller/core/availability.hpp"

#include "controller/core/alarms.hpp"
#include "controller/core/permissives.hpp"
#include "controller/core/transfer_impossible.hpp"

namespace freshet::core {

namespace {

void release_drive(SequencerState& sequencer) noexcept {
    sequencer.drive_locked_out = false;
    sequencer.drive_attempts = 0;
    sequencer.latched_station = 0;
    release_transfers(sequencer);
}

void release_pump(SequencerState& sequencer, std::uint8_t pump, Journal& journal) noexcept {
    PumpRecord& record = sequencer.pumps[pump];
    record.attempts = 0;
    constexpr unsigned of_transfers =
        alarm_bit(PumpAlarm::hand_over_failed) | alarm_bit(PumpAlarm::take_back_failed);
    if ((sequencer.latched_pump[pump] & of_transfers) != 0) release_transfers(sequencer);
    sequencer.latched_pump[pump] = 0;
    if (record.state != PumpState::locked_out) return;
    record.state = PumpState::off;
    record.event = journal.note(EventKind::pump_state, static_cast<std::uint8_t>(PumpState::off), pump,
                                Reason::selector_off, {}, record.event);
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
    if (spent && picture.drive_not_ready) release_drive(sequencer);
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        PumpRecord& record = sequencer.pumps[pump];
        if (!is_idle(record.state)) continue;
        const bool selector_off = has(static_cast<PumpMask>(picture.not_automatic & ~picture.hand), pump);
        if (selector_off) release_pump(sequencer, pump, journal);
        if (record.state != PumpState::locked_out) judge_idle_pump(record, picture, pump, journal);
    }
}

}  // namespace freshet::core
