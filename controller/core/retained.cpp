// Saving and restoring; see the header.
#include "controller/core/retained.hpp"

#include <algorithm>
#include <limits>

namespace freshet::core {

namespace {

RecentTimes oldest_first(const HourlyCount& count) noexcept {
    RecentTimes times{};
    for (std::size_t i = 0; i < hourly_max; ++i) times[i] = count.at_ms[(count.next + i) % hourly_max];
    return times;
}

HourlyCount count_of(const RecentTimes& times, std::int64_t now_ms) noexcept {
    HourlyCount count;
    for (std::size_t i = 0; i < hourly_max; ++i) count.at_ms[i] = std::min(times[i], now_ms);
    return count;
}

template <std::size_t Count>
RetainedAlarms<Count> alarms_of(const AlarmWord<Count>& word, std::uint32_t latched) noexcept {
    RetainedAlarms<Count> kept;
    kept.latched = latched;
    kept.unacknowledged = word.unacknowledged;
    kept.out_of_service = word.out_of_service;
    for (std::size_t code = 0; code < Count; ++code)
        if ((word.shelved >> code & 1U) != 0) kept.shelved_until_ms[code] = word.shelved_until_ms[code];
    return kept;
}

template <std::size_t Count>
void restore_alarms(AlarmWord<Count>& word, const RetainedAlarms<Count>& kept, std::int64_t now_ms) noexcept {
    word.unacknowledged = kept.unacknowledged;
    word.out_of_service = kept.out_of_service;
    for (std::size_t code = 0; code < Count; ++code) {
        if (kept.shelved_until_ms[code] == never_ms) continue;
        word.shelved |= 1U << code;
        word.shelved_until_ms[code] = std::min(kept.shelved_until_ms[code], now_ms + shelve_max_ms);
    }
}

}  // namespace

Retained retain(const SequencerState& sequencer, const AlarmState& alarms, std::int64_t now_ms) noexcept {
    Retained kept;
    kept.seen_ms = now_ms;
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        const PumpRecord& record = sequencer.pumps[pump];
        RetainedPump& one = kept.pumps[pump];
        one.run_ms = record.run_ms;
        one.starts = record.starts_total;
        one.line_starts = record.line_starts_total;
        one.started_ms = record.started_ms;
        // A pump that is not at rest gets no time, so that the record does not change with every scan.
        one.released_ms = has(sequencer.were_de_energised, pump) ? record.released_ms : never_ms;
        one.fed = has(sequencer.fed, pump);
        one.fed_ms = one.fed ? never_ms : record.fed_ms;
        one.retry_after_ms = record.retry_after_ms;
        one.attempts = record.attempts;
        one.involuntary = record.involuntary;
        // A locked-out pump that is being stopped is still locked out.
        one.locked_out = (sequencer.latched_pump[pump] & alarm_bit(PumpAlarm::locked_out)) != 0;
        one.succession_starts = record.succession.starts;
        one.succession_warm = record.succession.warm;
        one.recent_starts_ms = oldest_first(record.starts);
        one.recent_trips_ms = oldest_first(record.trip_count.trips);
        one.alarms = alarms_of(alarms.pump[pump], sequencer.latched_pump[pump]);
    }
    kept.recent_transfers_ms = oldest_first(sequencer.transfers);
    kept.drive_trips_ms = oldest_first(sequencer.drive_trip_count.trips);
    kept.last_start_ms = sequencer.last_start_ms;
    kept.last_line_start_ms = sequencer.last_line_start_ms;
    kept.transfer_retry_after_ms = sequencer.transfer_retry_after_ms;
    kept.drive_retry_after_ms = sequencer.drive_retry_after_ms;
    kept.transfer_attempts = sequencer.transfer_attempts;
    kept.drive_attempts = sequencer.drive_attempts;
    kept.drive_locked_out = sequencer.drive_locked_out;
    kept.drive_trips_spent = sequencer.drive_trips_spent;
    kept.reset_awaited = sequencer.emergency_stop.state != StopState::clear;
    kept.alarms = alarms_of(alarms.station, sequencer.latched_station);
    return kept;
}

void restore(const Retained& kept, std::int64_t now_ms, const Settings& settings, SequencerState& sequencer,
             AlarmState& alarms) noexcept {
    const bool believed = kept.seen_ms <= now_ms && now_ms - kept.seen_ms <= absence_max_ms;
    const std::int64_t retry_latest_ms = now_ms + settings.step.retry_pause_ms;
    const std::int64_t transfer_latest_ms =
        now_ms + std::max(settings.step.retry_pause_ms, settings.step.transfer_pause_ms);
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        const RetainedPump& one = kept.pumps[pump];
        PumpRecord& record = sequencer.pumps[pump];
        record.run_ms = one.run_ms;
        record.starts_total = one.starts;
        record.line_starts_total = one.line_starts;
        record.started_ms = std::min(one.started_ms, now_ms);
        // When nobody saw the stop, the pump may have stopped just now.
        const bool stop_seen = believed && one.released_ms != never_ms;
        record.released_ms = stop_seen ? std::min(one.released_ms, now_ms) : now_ms;
        record.involuntary = one.involuntary || !stop_seen;
        // A pump that was energised in the last recorded scan was energised at least until then.
        record.fed_ms = std::min(one.fed ? kept.seen_ms : one.fed_ms, now_ms);
        record.retry_after_ms = std::min(one.retry_after_ms, retry_latest_ms);
        record.attempts = one.attempts;
        record.starts = count_of(one.recent_starts_ms, now_ms);
        record.trip_count.trips = count_of(one.recent_trips_ms, now_ms);
        // After a long absence nobody knows how often people started the pump by hand, so its starts in
        // succession count as used up.
        constexpr std::uint8_t used_up = std::numeric_limits<std::uint8_t>::max();
        record.succession = believed
                                ? Succession{one.succession_starts, one.succession_warm}
                                : Succession{one.started_ms == never_ms ? std::uint8_t{0} : used_up, true};
        const unsigned locked_out = one.locked_out ? alarm_bit(PumpAlarm::locked_out) : 0U;
        if (one.locked_out) record.state = PumpState::locked_out;
        sequencer.latched_pump[pump] = static_cast<std::uint16_t>(one.alarms.latched | locked_out);
        restore_alarms(alarms.pump[pump], one.alarms, now_ms);
    }
    sequencer.transfers = count_of(kept.recent_transfers_ms, now_ms);
    sequencer.drive_trip_count.trips = count_of(kept.drive_trips_ms, now_ms);
    sequencer.last_start_ms = std::min(kept.last_start_ms, now_ms);
    sequencer.last_line_start_ms = std::min(kept.last_line_start_ms, now_ms);
    sequencer.transfer_retry_after_ms = std::min(kept.transfer_retry_after_ms, transfer_latest_ms);
    sequencer.drive_retry_after_ms = std::min(kept.drive_retry_after_ms, retry_latest_ms);
    sequencer.transfer_attempts = kept.transfer_attempts;
    sequencer.drive_attempts = kept.drive_attempts;
    sequencer.drive_locked_out = kept.drive_locked_out;
    sequencer.drive_trips_spent = kept.drive_trips_spent;
    // The first reading says whether the emergency stop is still operated.
    if (kept.reset_awaited) sequencer.emergency_stop.state = StopState::operated;
    sequencer.latched_station = kept.alarms.latched;
    restore_alarms(alarms.station, kept.alarms, now_ms);
    // An earlier program may have given an alarm a lower priority, so that people could set the alarm aside.
    for (const StationAlarmRule& rule : station_alarm_rules)
        if (!may_be_set_aside(rule.priority)) {
            alarms.station.shelved &= ~alarm_bit(rule.code);
            alarms.station.out_of_service &= ~alarm_bit(rule.code);
        }
    alarms.pending = true;  // so that the first scan shows the restored alarms
}

}  // namespace freshet::core
