// Counting trips; see the header.
#include "controller/core/trips.hpp"

#include "controller/core/alarms.hpp"

namespace freshet::core {

namespace {

/// Takes one reading of a trip. True when a new trip has come.
bool is_new_trip(TripCount& of, bool tripped, bool clear, std::int64_t now_ms) noexcept {
    constexpr std::int64_t clear_least_ms = 5000;
    if (!tripped) {
        if (clear && of.clear_since_ms == never_ms) of.clear_since_ms = now_ms;
        return false;
    }
    const bool was_clear = of.clear_since_ms != never_ms && now_ms - of.clear_since_ms >= clear_least_ms;
    of.clear_since_ms = never_ms;
    if (was_clear) of.trips.note(now_ms);
    return was_clear;
}

}  // namespace

bool trips_are_spent(const PumpRecord& record, const Settings& settings, std::int64_t now_ms) noexcept {
    return record.trip_count.trips.within_hour(now_ms) >= settings.permissives.trips_per_hour_max;
}

void count_trips(SequencerState& state, const Picture& picture, const Settings& settings,
                 Journal& journal) noexcept {
    const std::int64_t now_ms = picture.time_ms;
    for (std::uint8_t pump = 0; pump < settings.pump_count; ++pump) {
        PumpRecord& record = state.pumps[pump];
        const bool tripped = has(picture.tripped, pump);
        const bool clear = !tripped && !has(picture.trip_unknown, pump);
        if (!is_new_trip(record.trip_count, tripped, clear, now_ms) ||
            !trips_are_spent(record, settings, now_ms))
            continue;
        state.latched_pump[pump] =
            static_cast<std::uint16_t>(state.latched_pump[pump] | alarm_bit(PumpAlarm::locked_out));
        // A pump that runs is locked out when its stop ends.
        if (!is_idle(record.state) || record.state == PumpState::locked_out) continue;
        record.state = PumpState::locked_out;
        const double trips = record.trip_count.trips.within_hour(now_ms);
        record.event = journal.note(EventKind::pump_state, static_cast<std::uint8_t>(PumpState::locked_out),
                                    pump, Reason::trips_spent, {trips, 0, 0, 0}, record.event);
    }
    const bool drive_clear = picture.drive_known && !picture.drive_tripped;
    if (is_new_trip(state.drive_trip_count, picture.drive_tripped, drive_clear, now_ms) &&
        state.drive_trip_count.trips.within_hour(now_ms) >= settings.permissives.trips_per_hour_max)
        state.drive_locked_out = state.drive_trips_spent = true;
    if (picture.drive_tripped)
        state.drive_ready_again = false;
    else if (drive_clear && !picture.drive_not_ready)
        state.drive_ready_again = true;
}

bool people_release_drive(const SequencerState& state, const Picture& picture) noexcept {
    if (!state.drive_trips_spent) return picture.drive_not_ready;
    return state.drive_ready_again && picture.drive_not_ready && !picture.drive_tripped;
}

}  // namespace freshet::core
