// Instants as text and back: RFC 3339, milliseconds.
// One reason to change: how instants are written in records, files of a case and command lines.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace freshet::words {

/// Appends "2031-06-01T04:05:06.700Z" for Unix milliseconds. Years 0000 to 9999; other years give the nearest
/// instant of these.
void append_instant(std::string& out, std::int64_t time_ms);

std::string instant(std::int64_t time_ms);

/// Unix milliseconds of "2031-06-01T04:05:06.700Z"; the fraction (1 to 9 digits, cut to milliseconds) may be
/// missing, "T" may be small or a space, "Z" may be small, and a numeric offset "+02:00" may replace "Z".
/// Nothing when the text is not an instant; a leap second (":60") is refused.
std::optional<std::int64_t> parse_instant(std::string_view text);

}  // namespace freshet::words
