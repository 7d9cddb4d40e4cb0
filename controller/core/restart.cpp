// The return after an outage; see the header.
#include "controller/core/restart.hpp"

#include "controller/core/held.hpp"
#include "controller/core/permissives.hpp"

namespace freshet::core {

namespace {

/// The time left for which the drive is waited for, ms.
std::int64_t drive_wait_left_ms(const Outage& outage, const SequencerState& sequencer,
                                const Settings& settings, std::int64_t now_ms) noexcept {
    if (outage.drive_lost_ms == never_ms || sequencer.drive_locked_out) return 0;
    // The drive may be read as lost some time before or after the line is read as poor, because the two may
    // belong to different poll groups.
    const std::int64_t apart_ms = settings.signal.stale_ms;
    const bool lost_by_outage = outage.drive_lost_ms >= outage.begin_ms - apart_ms &&
                                outage.drive_lost_ms <= outage.last_ms + apart_ms;
    const std::int64_t left_ms = outage.last_ms + settings.restart.drive_wait_ms - now_ms;
    return lost_by_outage && left_ms > 0 ? left_ms : 0;
}

}  // namespace

void renew_return(StationPermit& permit, Outage& outage, const Sight& sight, const SequencerState& sequencer,
                  bool adopted, const NeedMarks& marks, const Settings& settings) noexcept {
    const Picture& picture = sight.picture;
    const std::int64_t now_ms = picture.time_ms;
    const bool lasts = !adopted || picture.emergency_stop || picture.line_poor;
    if (lasts && now_ms - outage.last_ms > settings.restart.drive_wait_ms) outage.begin_ms = now_ms;
    if (lasts || outage.lasts) outage.last_ms = now_ms;
    outage.lasts = lasts;
    track_since(outage.drive_lost_ms, why_no_drive(sequencer, picture) != Permissive::none, now_ms);
    const bool value_known = sight.measured().quality != Quality::bad;
    permit.water_calls = sight.floats.calls || (value_known && sight.need_m >= marks.stage_up_m);
    const bool at_high_mark = sight.floats.calls || (value_known && sight.need_m >= marks.high_m);
    permit.drive_wait_left_ms = at_high_mark ? 0 : drive_wait_left_ms(outage, sequencer, settings, now_ms);
}

void note_involuntary_stops(SequencerState& sequencer, const Picture& picture, const StationPermit& permit,
                            const Settings& settings) noexcept {
    const bool grounds = picture.emergency_stop || permit.low_cutoff || permit.low_float || picture.line_poor;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump) {
        PumpRecord& record = sequencer.pumps[pump];
        if (record.state == PumpState::stopping)
            record.involuntary = record.involuntary || grounds;
        else if (!is_idle(record.state) || has(picture.line_side_closed, pump))
            record.involuntary = false;
    }
}

bool rest_ends_early(const PumpRecord& record, const StationPermit& permit) noexcept {
    return record.involuntary && permit.water_calls;
}

}  // namespace freshet::core
