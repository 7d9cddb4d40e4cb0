// Coming up in front of a station that may already run: showing what is found, waiting for a consistent
// picture, and taking it over. One reason to change: what is done with what is found.
#include <algorithm>
#include <array>

#include "controller/core/controller.hpp"
#include "controller/core/held.hpp"

namespace freshet::core {

/// The picture has been consistent, and the line healthy, for the settling time.
bool Controller::settles(const Picture& picture) noexcept {
    const bool consistent = picture.contacts_known && picture.drive_known && !picture.line_poor;
    return held_for(held_.consistent_ms, consistent, settings_.restart.settle_ms, picture.time_ms);
}

void Controller::adopt(const Picture& picture, Journal& journal) noexcept {
    adopted_ = true;
    const std::uint32_t cause =
        journal.note(Happening::service, static_cast<std::uint8_t>(advice_.service), no_pump,
                     Reason::picture_consistent, {static_cast<double>(settings_.restart.settle_ms), 0, 0, 0});
    for (std::uint8_t pump = 0; pump < settings_.pump_count; ++pump)
        adopt_pump(picture, pump, cause, journal);
}

void Controller::adopt_pump(const Picture& picture, std::uint8_t pump, std::uint32_t cause,
                            Journal& journal) noexcept {
    const bool drive_side = has(picture.drive_side_closed, pump);
    const bool line_side = has(picture.line_side_closed, pump);
    PumpRecord& record = sequencer_.pumps[pump];
    record.event = cause;
    if (has_kept_ && !drive_side && !line_side) {
        // Its rest goes on from the stop that was seen; its own voltage is waited out anew, in case somebody
        // ran it by hand meanwhile.
        sequencer_.dead_before = static_cast<PumpMask>(sequencer_.dead_before | bit_of(pump));
        const std::int64_t voltage_gone_ms = picture.time_ms + settings_.permissives.residual_voltage_ms;
        record.retry_after_ms = std::max(record.retry_after_ms, voltage_gone_ms);
    } else {
        record.released_ms = picture.time_ms;
    }
    const auto found = [&](PumpState state, Reason why, std::array<double, 4> values = {}) {
        record.state = state;
        record.event =
            journal.note(Happening::pump_state, static_cast<std::uint8_t>(state), pump, why, values, cause);
    };
    // A selector that is not read has not said that the pump is somebody else's.
    const bool ours = !has(picture.not_automatic, pump);
    // A lock-out stands until people take it off at the pump: found running, such a pump is taken off, and is
    // locked out again when that is done.
    const bool locked_out = record.state == PumpState::locked_out;
    const bool drive_is_idle = sequencer_.main.step == Step::idle && sequencer_.drive_pump == no_pump;
    const auto take_off = [&](Step first, Reason why) {
        begin(sequencer_, Sequence::stop_on_drive, first, pump, why, {}, picture.time_ms, journal);
    };
    if (drive_side && line_side && drive_is_idle) {
        // Stopped in the middle of a transfer: it ends on the line, and the drive is freed.
        sequencer_.latched_station |= alarm_bit(StationAlarm::restarted_in_transfer);
        if (locked_out)
            take_off(Step::stop_open_output, Reason::found_both_closed);
        else
            begin(sequencer_, Sequence::hand_over,
                  picture.output_closed ? Step::over_open_output : Step::over_open_drive_side, pump,
                  Reason::found_both_closed, {}, picture.time_ms, journal);
    } else if (drive_side && drive_is_idle) {
        if (picture.output_closed && picture.drive_running && ours && !locked_out) {
            sequencer_.drive_pump = pump;
            found(PumpState::on_drive, Reason::found_on_drive);
        } else {
            take_off(Step::stop_drive, Reason::found_on_drive);
        }
    } else if (locked_out) {
        found(PumpState::locked_out, Reason::attempts_spent, {static_cast<double>(record.attempts), 0, 0, 0});
    } else if (line_side && !drive_side && ours) {
        found(PumpState::on_line, Reason::found_on_line);
    } else if (line_side && !ours) {
        // Started by hand, or never ours: it is left to those who did.
        found(PumpState::unavailable, has(picture.hand, pump) ? Reason::selector_hand : Reason::selector_off);
    } else if (drive_side) {
        // The drive is another motor's already: this one is let go, and is to be had when it is seen open.
        found(PumpState::unavailable, Reason::contact_contradicts, {0, 1, 0, 0});
    } else {
        found(PumpState::off, Reason::found_off);
    }
}

/// What was found, as far as it is read. A contact that is not read is shown as it was last read, or closed
/// where a current says so; a pump that may run is never shown as one to be taken off.
void Controller::mirror(const Inputs& inputs, const Picture& picture) noexcept {
    const auto as_read = [](bool closed, bool open, bool otherwise) {
        return closed || (!open && otherwise);
    };
    advice_.drive_run = as_read(picture.drive_running, picture.drive_standing, advice_.drive_run);
    advice_.output_close = as_read(picture.output_closed, picture.output_open, advice_.output_close);
    advice_.synchronise = false;
    if (picture.drive_hz_known) advice_.speed_hz = speed_reference_hz(inputs.drive.frequency_hz.value);
    advice_.pumps_on_line = picture.on_line;
    const bool drive_feeds = advice_.output_close && advice_.drive_run;
    for (std::size_t pump = 0; pump < settings_.pump_count; ++pump) {
        PumpAdvice& one = advice_.pumps[pump];
        const bool runs = has(picture.current_seen, pump);
        const bool line_open = has(picture.line_side_open, pump);
        one.drive_side_close =
            as_read(has(picture.drive_side_closed, pump), has(picture.drive_side_open, pump),
                    one.drive_side_close || (runs && line_open));
        one.line_side_close =
            as_read(has(picture.line_side_closed, pump), line_open,
                    one.line_side_close || (runs && !(one.drive_side_close && drive_feeds)));
    }
}

}  // namespace freshet::core
