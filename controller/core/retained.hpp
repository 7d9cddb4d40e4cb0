// The record that survives a restart of the controller: hours, starts, trips, times, lock-outs, and people's
// orders about alarms.
// One reason to change: a value that must survive a restart.
//
// The record does not hold the order of rotation, because that order follows from hours, starts, the times of
// the last starts, or the settings.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/alarms.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/sequencer.hpp"

namespace freshet::core {

/// Station times of events that are limited per hour, oldest first. Unused places hold never_ms.
using RecentTimes = std::array<std::int64_t, hourly_max>;

/// Alarms of the station or of one pump, a bit each. shelved_until_ms is never_ms for an alarm that is not
/// shelved.
template <std::size_t Count>
struct RetainedAlarms {
    std::uint32_t latched = 0, unacknowledged = 0, out_of_service = 0;
    std::array<std::int64_t, Count> shelved_until_ms = [] {
        std::array<std::int64_t, Count> none{};
        none.fill(never_ms);
        return none;
    }();
    bool operator==(const RetainedAlarms&) const = default;
};

/// The record of one pump.
struct RetainedPump {
    std::int64_t run_ms = 0;
    std::uint32_t starts = 0, line_starts = 0;
    std::int64_t started_ms = never_ms, retry_after_ms = never_ms;
    std::int64_t released_ms = never_ms;  ///< never_ms: not at rest in the last scan
    std::int64_t fed_ms = never_ms;       ///< last seen energised; never_ms while energised
    bool fed = false;                     ///< energised in the last scan
    std::uint8_t attempts = 0;            ///< failed starts in a row
    bool locked_out = false;
    bool involuntary = false;            ///< see PumpRecord
    std::uint8_t succession_starts = 0;  ///< see Succession
    bool succession_warm = true;
    RecentTimes recent_starts_ms = HourlyCount{}.at_ms;
    RecentTimes recent_trips_ms = HourlyCount{}.at_ms;
    RetainedAlarms<pump_alarm_count> alarms;
    bool operator==(const RetainedPump&) const = default;
};

/// The whole record. Times are station time; never_ms: no such time.
struct Retained {
    std::int64_t seen_ms = never_ms;  ///< time of the last scan in the record
    std::array<RetainedPump, pumps_max> pumps;
    RecentTimes recent_transfers_ms = HourlyCount{}.at_ms;
    RecentTimes drive_trips_ms = HourlyCount{}.at_ms;
    std::int64_t last_start_ms = never_ms, last_line_start_ms = never_ms;
    std::int64_t transfer_retry_after_ms = never_ms, drive_retry_after_ms = never_ms;
    std::uint8_t transfer_attempts = 0, drive_attempts = 0;
    bool drive_locked_out = false;
    bool drive_trips_spent = false;  ///< the drive was locked out for its trips
    bool reset_awaited = false;      ///< an emergency stop was operated, and nobody has reset it since
    RetainedAlarms<station_alarm_count> alarms;
    bool operator==(const Retained&) const = default;
};

/// The longest absence of a controller, ms, after which a recorded stop still counts as the last stop of its
/// pump. During a longer absence people may have run the pump by hand, so its rest starts again.
inline constexpr std::int64_t absence_max_ms = 60'000;

/// The record after a scan at `now_ms`.
Retained retain(const SequencerState& sequencer, const AlarmState& alarms, std::int64_t now_ms) noexcept;

/// Restores the record in the first scan of a controller. A recorded time after `now_ms` counts as now,
/// because somebody set the clock back. A wait lasts at most one full wait from now. So a restart neither
/// loosens a limit nor makes a wait endless.
void restore(const Retained& kept, std::int64_t now_ms, const Settings& settings, SequencerState& sequencer,
             AlarmState& alarms) noexcept;

}  // namespace freshet::core
