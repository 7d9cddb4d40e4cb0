// Time of day and day of week of station time. One reason to change: how station time maps to a daily
// pattern.
#pragma once

#include <cstdint>

namespace freshet::plant {

inline constexpr std::int64_t day_ms = 86'400'000;
inline constexpr double day_s = 86'400.0;

/// Whole days since 1 January 1970, UTC. A time before this day is rounded towards the past.
constexpr std::int64_t day_number(std::int64_t time_ms) {
    const std::int64_t days = time_ms / day_ms;
    return time_ms % day_ms < 0 ? days - 1 : days;
}

/// Milliseconds since midnight UTC.
constexpr std::int64_t time_of_day_ms(std::int64_t time_ms) {
    return time_ms - day_number(time_ms) * day_ms;
}

/// Saturday or Sunday, UTC. Day 0, 1 January 1970, was a Thursday.
constexpr bool is_weekend(std::int64_t time_ms) {
    const std::int64_t weekday = ((day_number(time_ms) + 4) % 7 + 7) % 7;  // 0 is Sunday
    return weekday == 0 || weekday == 6;
}

}  // namespace freshet::plant
