// Local time of day and day of the week, from station time and a fixed offset.
// One reason to change: how station time becomes local time.
//
// A fixed offset knows no daylight saving time. A station whose people change their clocks gives the offset
// of its standard time, and its hours move by an hour in summer.
#pragma once

#include <cstdint>

#include "controller/core/settings.hpp"

namespace freshet::core {

struct DayTime {
    std::int64_t day = 0;       ///< days since 1 January 1970, local
    std::int32_t since_ms = 0;  ///< since local midnight
    int hour() const noexcept { return since_ms / 3'600'000; }
    /// 0 is Sunday. Day 0 was a Thursday.
    int weekday() const noexcept { return static_cast<int>(((day + 4) % 7 + 7) % 7); }
};

constexpr DayTime day_time(std::int64_t time_ms, const Settings& settings) noexcept {
    constexpr std::int64_t day_ms = 86'400'000;
    const std::int64_t local_ms = time_ms + settings.utc_offset_ms;
    const std::int64_t day = local_ms / day_ms - (local_ms % day_ms < 0 ? 1 : 0);
    return {day, static_cast<std::int32_t>(local_ms - day * day_ms)};
}

}  // namespace freshet::core
