// Calendar arithmetic by std::chrono; digits by hand, because a trend writes one of these every second of a
// day.
#include "controller/words/instant.hpp"

#include <algorithm>
#include <charconv>
#include <chrono>

namespace freshet::words {
namespace {

using std::chrono::days;
using std::chrono::milliseconds;
using std::chrono::sys_days;
using std::chrono::sys_time;

constexpr std::int64_t day_ms = 86'400'000;
constexpr std::int64_t first_ms =
    sys_time<milliseconds>(sys_days(std::chrono::year(0) / 1 / 1)).time_since_epoch().count();
constexpr std::int64_t last_ms =
    sys_time<milliseconds>(sys_days(std::chrono::year(9999) / 12 / 31)).time_since_epoch().count() + day_ms -
    1;

void put(char* at, std::int64_t value, int digits) {
    for (int i = digits - 1; i >= 0; --i) {
        at[i] = static_cast<char>('0' + value % 10);
        value /= 10;
    }
}

/// Takes exactly `digits` decimal digits from the front of `text`.
std::optional<int> take(std::string_view& text, std::size_t digits) {
    if (text.size() < digits) return std::nullopt;
    int value = 0;
    for (std::size_t i = 0; i < digits; ++i) {
        if (text[i] < '0' || text[i] > '9') return std::nullopt;
        value = value * 10 + (text[i] - '0');
    }
    text.remove_prefix(digits);
    return value;
}

bool take_one_of(std::string_view& text, std::string_view letters) {
    if (text.empty() || letters.find(text.front()) == std::string_view::npos) return false;
    text.remove_prefix(1);
    return true;
}

/// Milliseconds out of ".7", ".70", ".700123"; 0 where there is no fraction.
std::optional<int> take_fraction_ms(std::string_view& text) {
    if (!take_one_of(text, ".")) return 0;
    int ms = 0;
    std::size_t digits = 0;
    while (digits < text.size() && text[digits] >= '0' && text[digits] <= '9') {
        if (digits < 3) ms = ms * 10 + (text[digits] - '0');
        ++digits;
    }
    if (digits == 0 || digits > 9) return std::nullopt;
    for (std::size_t i = digits; i < 3; ++i) ms *= 10;
    text.remove_prefix(digits);
    return ms;
}

std::optional<int> take_offset_minutes(std::string_view& text) {
    if (take_one_of(text, "Zz")) return 0;
    const bool behind = !text.empty() && text.front() == '-';
    if (!take_one_of(text, "+-")) return std::nullopt;
    const auto hours = take(text, 2);
    if (!hours || *hours > 23 || !take_one_of(text, ":")) return std::nullopt;
    const auto minutes = take(text, 2);
    if (!minutes || *minutes > 59) return std::nullopt;
    return (behind ? -1 : 1) * (*hours * 60 + *minutes);
}

}  // namespace

void append_instant(std::string& out, std::int64_t time_ms) {
    const std::int64_t clamped = std::clamp(time_ms, first_ms, last_ms);
    const sys_time<milliseconds> time{milliseconds(clamped)};
    const auto day = std::chrono::floor<days>(time);
    const std::chrono::year_month_day date{day};
    std::int64_t left = (time - day).count();
    char text[] = "0000-00-00T00:00:00.000Z";
    put(text, static_cast<int>(date.year()), 4);
    put(text + 5, static_cast<unsigned>(date.month()), 2);
    put(text + 8, static_cast<unsigned>(date.day()), 2);
    put(text + 20, left % 1000, 3);
    left /= 1000;
    put(text + 17, left % 60, 2);
    put(text + 14, left / 60 % 60, 2);
    put(text + 11, left / 3600, 2);
    out.append(text, sizeof text - 1);
}

std::string instant(std::int64_t time_ms) {
    std::string out;
    append_instant(out, time_ms);
    return out;
}

std::optional<std::int64_t> parse_instant(std::string_view text) {
    const auto year = take(text, 4);
    if (!year || !take_one_of(text, "-")) return std::nullopt;
    const auto month = take(text, 2);
    if (!month || !take_one_of(text, "-")) return std::nullopt;
    const auto day = take(text, 2);
    if (!day || !take_one_of(text, "Tt ")) return std::nullopt;
    const auto hour = take(text, 2);
    if (!hour || *hour > 23 || !take_one_of(text, ":")) return std::nullopt;
    const auto minute = take(text, 2);
    if (!minute || *minute > 59 || !take_one_of(text, ":")) return std::nullopt;
    const auto second = take(text, 2);
    if (!second || *second > 59) return std::nullopt;
    const auto fraction_ms = take_fraction_ms(text);
    if (!fraction_ms) return std::nullopt;
    const auto offset_min = take_offset_minutes(text);
    if (!offset_min || !text.empty()) return std::nullopt;

    const std::chrono::year_month_day date{std::chrono::year(*year),
                                           std::chrono::month(static_cast<unsigned>(*month)),
                                           std::chrono::day(static_cast<unsigned>(*day))};
    if (!date.ok()) return std::nullopt;
    const std::int64_t midnight_ms = sys_time<milliseconds>(sys_days(date)).time_since_epoch().count();
    return midnight_ms + ((*hour * 60 + *minute - *offset_min) * 60 + *second) * std::int64_t{1000} +
           *fraction_ms;
}

}  // namespace freshet::words
