// Taking a station over; see the header.
#include "controller/core/adoption.hpp"

#include <algorithm>
#include <array>

#include "controller/core/alarms.hpp"
#include "controller/core/composing.hpp"
#include "controller/core/held.hpp"

namespace freshet::core {

namespace {

/// What adopting one pump needs.
struct Found {
    SequencerState& sequencer;
    const Picture& picture;
    const Settings& settings;
    Journal& journal;
    std::uint32_t cause;  ///< the event of the station's adoption
    bool kept;

    bool drive_side(std::uint8_t pump) const noexcept { return has(picture.drive_side_closed, pump); }
    bool line_side(std::uint8_t pump) const noexcept { return has(picture.line_side_closed, pump); }
    /// True unless the selector is read at hand or at off. A selector that is not read proves neither.
    bool may_advise(std::uint8_t pump) const noexcept { return !has(picture.not_automatic, pump); }

    void set_state(std::uint8_t pump, PumpState state, Reason why,
                   std::array<double, 4> values = {}) const noexcept {
        PumpRecord& record = sequencer.pumps[pump];
        record.state = state;
        record.event =
            journal.note(EventKind::pump_state, static_cast<std::uint8_t>(state), pump, why, values, cause);
    }
    void stop_pump(std::uint8_t pump, Step first, Reason why) const noexcept {
        begin(sequencer, Sequence::stop_on_drive, first, pump, why, {}, picture.time_ms, journal);
    }
};

/// Sets the time at which the motor came to rest, and the time from which a source may be connected to the
/// motor again.
void restore_rest(const Found& found, std::uint8_t pump) noexcept {
    PumpRecord& record = found.sequencer.pumps[pump];
    if (found.drive_side(pump) || found.line_side(pump)) {
        record.released_ms = found.picture.time_ms;
        // Nobody saw the stop of a pump that is found at rest.
        record.involuntary = !found.drive_side(pump) && !found.line_side(pump);
        return;
    }
    if (!found.kept) {
        // Nobody knows when the motor last ran. The rest spares the motor and may be over, but the residual
        // voltage time counts from now.
        const Settings::Permissives& rules = found.settings.permissives;
        const std::int32_t rested_ms =
            std::max(rules.rest_min_ms - rules.residual_voltage_ms, std::int32_t{0});
        record.released_ms = found.picture.time_ms - rested_ms;
        found.sequencer.were_de_energised =
            static_cast<PumpMask>(found.sequencer.were_de_energised | bit_of(pump));
        return;
    }
    // The rest continues from the stop that the earlier controller saw. The residual voltage time starts
    // again, because somebody may have run the pump by hand meanwhile.
    found.sequencer.were_de_energised =
        static_cast<PumpMask>(found.sequencer.were_de_energised | bit_of(pump));
    const std::int64_t voltage_gone_ms =
        found.picture.time_ms + found.settings.permissives.residual_voltage_ms;
    record.retry_after_ms = std::max(record.retry_after_ms, voltage_gone_ms);
}

/// Both contactors are closed because the controller stopped in the middle of a transfer. The transfer ends
/// with the pump on the line, and the drive becomes free.
void end_transfer(const Found& found, std::uint8_t pump, bool locked_out) noexcept {
    found.sequencer.latched_station |= alarm_bit(StationAlarm::restarted_in_transfer);
    if (locked_out) {
        found.stop_pump(pump, Step::stop_open_output, Reason::found_both_closed);
        return;
    }
    const Step first = found.picture.output_closed ? Step::over_open_output : Step::over_open_drive_side;
    begin(found.sequencer, Sequence::hand_over, first, pump, Reason::found_both_closed, {},
          found.picture.time_ms, found.journal);
}

void adopt_on_drive(const Found& found, std::uint8_t pump, bool locked_out) noexcept {
    const bool runs = found.picture.output_closed && found.picture.drive_running;
    if (!runs || !found.may_advise(pump) || locked_out) {
        found.stop_pump(pump, Step::stop_drive, Reason::found_on_drive);
        return;
    }
    found.sequencer.drive_pump = pump;
    found.set_state(pump, PumpState::on_drive, Reason::found_on_drive);
}

void adopt_pump(const Found& found, std::uint8_t pump) noexcept {
    PumpRecord& record = found.sequencer.pumps[pump];
    record.event = found.cause;
    restore_rest(found, pump);
    const bool drive_side = found.drive_side(pump);
    const bool line_side = found.line_side(pump);
    const bool may_use_drive = drive_is_idle(found.sequencer);
    // Only people release a lock-out, at the pump. The controller stops a locked-out pump that it finds
    // running, and the pump is locked out again at the end of the stop.
    const bool locked_out = record.state == PumpState::locked_out;
    if (drive_side && line_side && may_use_drive) {
        end_transfer(found, pump, locked_out);
    } else if (drive_side && may_use_drive) {
        adopt_on_drive(found, pump, locked_out);
    } else if (locked_out) {
        found.set_state(pump, PumpState::locked_out, Reason::attempts_spent,
                        {static_cast<double>(record.attempts), 0, 0, 0});
    } else if (line_side && !drive_side && found.may_advise(pump)) {
        found.set_state(pump, PumpState::on_line, Reason::found_on_line);
    } else if (line_side && !found.may_advise(pump)) {
        // Somebody started the pump by hand. The controller leaves the pump to them.
        const bool by_hand = has(found.picture.hand, pump);
        found.set_state(pump, PumpState::unavailable, by_hand ? Reason::selector_hand : Reason::selector_off);
    } else if (drive_side) {
        // The drive already feeds another motor. This pump is available again when its drive-side contactor
        // is read open.
        found.set_state(pump, PumpState::unavailable, Reason::contact_contradicts, {0, 1, 0, 0});
    } else {
        found.set_state(pump, PumpState::off, Reason::found_off);
    }
}

}  // namespace

bool settles(Adoption& adoption, const Picture& picture, const Settings& settings) noexcept {
    const bool consistent = picture.contacts_known && picture.drive_known && !picture.line_poor;
    return held_for(adoption.consistent_since_ms, consistent, settings.restart.settle_ms, picture.time_ms);
}

void adopt(Adoption& adoption, SequencerState& sequencer, const Picture& picture, Service service, bool kept,
           const Settings& settings, Journal& journal) noexcept {
    adoption.adopted = true;
    const std::uint32_t cause =
        journal.note(EventKind::service, static_cast<std::uint8_t>(service), no_pump,
                     Reason::picture_consistent, {static_cast<double>(settings.restart.settle_ms), 0, 0, 0});
    const Found found{sequencer, picture, settings, journal, cause, kept};
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) adopt_pump(found, pump);
}

void mirror(const Inputs& inputs, const Picture& picture, const Settings& settings, Advice& advice) noexcept {
    const auto as_read = [](bool closed, bool open, bool unread) { return closed || (!open && unread); };
    advice.drive_run = as_read(picture.drive_running, picture.drive_stopped, advice.drive_run);
    advice.output_close = as_read(picture.output_closed, picture.output_open, advice.output_close);
    advice.synchronise = false;
    if (picture.drive_hz_known) advice.speed_hz = speed_reference_hz(inputs.drive.frequency_hz.value);
    advice.pumps_on_line = picture.on_line;
    const bool drive_feeds = advice.output_close && advice.drive_run;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump) {
        PumpAdvice& contactors = advice.pumps[pump];
        const bool runs = has(picture.current_seen, pump);
        const bool line_open = has(picture.line_side_open, pump);
        contactors.drive_side_close =
            as_read(has(picture.drive_side_closed, pump), has(picture.drive_side_open, pump),
                    contactors.drive_side_close || (runs && line_open));
        contactors.line_side_close =
            as_read(has(picture.line_side_closed, pump), line_open,
                    contactors.line_side_close || (runs && !(contactors.drive_side_close && drive_feeds)));
    }
}

}  // namespace freshet::core
