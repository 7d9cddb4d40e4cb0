// RFC 3339 date-times as Unix milliseconds.
// One reason to change: how instants are written in our files.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace freshet::config {

/// Days since 1970-01-01 of a civil date (H. Hinnant, chrono-compatible low-level date algorithms).
constexpr std::int64_t days_from_civil(std::int64_t year, unsigned month, unsigned day) {
    year -= month <= 2 ? 1 : 0;
    const std::int64_t era = (year >= 0 ? year : year - 399) / 400;
    const auto year_of_era = static_cast<unsigned>(year - era * 400);
    const unsigned day_of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
    const unsigned day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + static_cast<std::int64_t>(day_of_era) - 719468;
}

/// "2031-05-17T06:30:00Z", "2031-05-17 06:30:00.250+02:00": Unix milliseconds, or nothing when it is no such
/// text. The offset is required, a leap second is not taken.
std::optional<std::int64_t> instant_of(std::string_view text);

}  // namespace freshet::config
