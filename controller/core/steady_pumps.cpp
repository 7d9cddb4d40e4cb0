// Watching steady pumps; see the header.
#include "controller/core/steady_pumps.hpp"

#include "controller/core/alarms.hpp"
#include "controller/core/held.hpp"
#include "controller/core/losses.hpp"

namespace freshet::core {

void watch_drive_pump(SequencerState& state, const SequencerInputs& inputs, Journal& journal) noexcept {
    const std::uint8_t pump = state.drive_pump;
    const Picture& seen = inputs.picture;
    const std::int64_t now_ms = seen.time_ms;
    const bool drive_gone = seen.drive_lost() || seen.drive_stopped || other_motor_on_drive_bus(seen, pump);
    if (permission_gone(seen, pump)) {
        begin(state, Sequence::stop_on_drive, Step::stop_drive, pump, pump_reason(seen, pump), {}, now_ms,
              journal);
    } else if (drive_gone) {
        begin(state, Sequence::stop_on_drive, Step::stop_open_output, pump, drive_reason(seen), {}, now_ms,
              journal);
        // A drive without supply did not fail.
        state.main.called_off = seen.line_poor;
        state.main.failed = state.main.drive_failed = !seen.line_poor;
    } else if (has(seen.line_side_closed, pump)) {
        begin(state, Sequence::stop_on_drive, Step::stop_open_output, pump, Reason::contact_contradicts,
              {0, 1, 0, 0}, now_ms, journal);
        state.main.failed = true;
    } else if (has(seen.drive_side_open, pump) || seen.output_open) {
        begin(state, Sequence::stop_on_drive, Step::stop_drive, pump, Reason::contact_contradicts,
              {1, 0, 0, 0}, now_ms, journal);
        state.main.failed = true;
    }
}

void watch_line_pump(SequencerState& state, std::uint8_t pump, const Picture& seen, const Settings& settings,
                     Journal& journal) noexcept {
    PumpRecord& record = state.pumps[pump];
    const std::int64_t now_ms = seen.time_ms;
    if (permission_gone(seen, pump)) {
        begin_line_stop(state, pump, pump_reason(seen, pump), {}, now_ms, journal);
        return;
    }
    if (has(seen.line_side_open, pump)) {
        begin_line_stop(state, pump, Reason::contact_contradicts, {1, 0, 0, 0}, now_ms, journal);
        return;
    }
    if (held_for(record.current_missing_ms, has(seen.current_missing, pump),
                 settings.permissives.current_loss_ms, now_ms)) {
        const std::int64_t missing_ms = held_ms(record.current_missing_ms, now_ms);
        state.latched_pump[pump] =
            static_cast<std::uint16_t>(state.latched_pump[pump] | alarm_bit(PumpAlarm::not_running));
        record.retry_after_ms = now_ms + settings.step.retry_pause_ms;
        begin_line_stop(state, pump, Reason::current_missing, {0, static_cast<double>(missing_ms), 0, 0},
                        now_ms, journal);
    }
}

}  // namespace freshet::core
