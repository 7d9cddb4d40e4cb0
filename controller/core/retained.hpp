// What a controller must not forget when it is restarted: hours, starts, times, lock-outs, and what people
// decided about alarms. One reason to change: something more that must outlive a restart.
//
// The order of rotation is not kept by itself: it follows from hours, starts or number.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/alarms.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/sequencer.hpp"

namespace freshet::core {

/// Times of something limited per hour, oldest first; never_ms where there were fewer.
using RecentTimes = std::array<std::int64_t, hourly_max>;

/// Alarms of the station or of one pump. A bit each; shelved until never_ms: not shelved.
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

struct RetainedPump {
    std::int64_t run_ms = 0;
    std::uint32_t starts = 0, line_starts = 0;
    std::int64_t started_ms = never_ms, retry_after_ms = never_ms;
    std::int64_t released_ms = never_ms;  ///< never_ms: not at rest when last seen
    std::int64_t fed_ms = never_ms;       ///< last seen energised; never_ms while it is
    bool fed = false;                     ///< energised when last seen
    std::uint8_t attempts = 0;            ///< failed starts in a row
    bool locked_out = false;
    std::uint8_t succession_starts = 0;  ///< see Succession
    bool succession_warm = true;
    RecentTimes recent_starts_ms = HourlyCount{}.at_ms;
    RetainedAlarms<pump_alarm_count> alarms;
    bool operator==(const RetainedPump&) const = default;
};

/// Times are station time, never_ms where there is none.
struct Retained {
    std::int64_t seen_ms = never_ms;  ///< the last scan it speaks of
    std::array<RetainedPump, pumps_max> pumps;
    RecentTimes recent_transfers_ms = HourlyCount{}.at_ms;
    std::int64_t last_start_ms = never_ms, last_line_start_ms = never_ms;
    std::int64_t transfer_retry_after_ms = never_ms, drive_retry_after_ms = never_ms;
    std::uint8_t transfer_attempts = 0, drive_attempts = 0;
    bool drive_locked_out = false;
    RetainedAlarms<station_alarm_count> alarms;
    bool operator==(const Retained&) const = default;
};

/// A stop that was seen is believed to be the last one when nobody was away for longer than this; after a
/// longer absence a pump may have been run by hand, and its rest begins anew.
inline constexpr std::int64_t absence_believed_ms = 60'000;

/// What there is to keep after a scan at `now_ms`.
Retained retain(const SequencerState& sequencer, const AlarmState& alarms, std::int64_t now_ms) noexcept;

/// Takes up what was kept, in the first scan of a controller. A time that lies after `now_ms` (a clock set
/// back) counts as now, and a wait as begun now, so that no limit is loosened and none lasts for ever.
void restore(const Retained& kept, std::int64_t now_ms, const Settings& settings, SequencerState& sequencer,
             AlarmState& alarms) noexcept;

}  // namespace freshet::core
