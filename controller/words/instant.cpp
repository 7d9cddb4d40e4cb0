// Dates and times of day by std::chrono; digits by hand, because a trend writes an instant for every second
// of a day and this compiler's library reads no dates.
#include "controller/words/instant.hpp"

#include <algorithm>
#include <chrono>

namespace freshet::words {
namespace {

using std::chrono::days;
using std::chrono::milliseconds;
using std::chrono::sys_days;
using std::chrono::sys_time;

using std::chrono::hh_mm_ss;
using std::chrono::hours;
using std::chrono::minutes;
using std::chrono::seconds;
using std::chrono::year_month_day;
using Instant = sys_time<milliseconds>;

constexpr Instant first_written = sys_days(std::chrono::year(0) / 1 / 1);
constexpr Instant last_written =
    Instant(sys_days(std::chrono::year(9999) / 12 / 31)) + days(1) - milliseconds(1);

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
std::optional<milliseconds> take_fraction(std::string_view& text) {
    if (!take_one_of(text, ".")) return milliseconds(0);
    int ms = 0;
    std::size_t digits = 0;
    while (digits < text.size() && text[digits] >= '0' && text[digits] <= '9') {
        if (digits < 3) ms = ms * 10 + (text[digits] - '0');
        ++digits;
    }
    if (digits == 0 || digits > 9) return std::nullopt;
    for (std::size_t i = digits; i < 3; ++i) ms *= 10;
    text.remove_prefix(digits);
    return milliseconds(ms);
}

std::optional<sys_days> take_date(std::string_view& text) {
    const auto year = take(text, 4);
    if (!year || !take_one_of(text, "-")) return std::nullopt;
    const auto month = take(text, 2);
    if (!month || !take_one_of(text, "-")) return std::nullopt;
    const auto day = take(text, 2);
    if (!day) return std::nullopt;
    const year_month_day date{std::chrono::year(*year), std::chrono::month(static_cast<unsigned>(*month)),
                              std::chrono::day(static_cast<unsigned>(*day))};
    if (!date.ok()) return std::nullopt;
    return sys_days(date);
}

/// "04:05", without seconds.
std::optional<minutes> take_hours_and_minutes(std::string_view& text) {
    const auto hour = take(text, 2);
    if (!hour || *hour > 23 || !take_one_of(text, ":")) return std::nullopt;
    const auto minute = take(text, 2);
    if (!minute || *minute > 59) return std::nullopt;
    return hours(*hour) + minutes(*minute);
}

/// How far the local time lies before UTC.
std::optional<minutes> take_offset(std::string_view& text) {
    if (take_one_of(text, "Zz")) return minutes(0);
    const bool west = !text.empty() && text.front() == '-';
    if (!take_one_of(text, "+-")) return std::nullopt;
    const auto offset = take_hours_and_minutes(text);
    if (!offset) return std::nullopt;
    return west ? -*offset : *offset;
}

}  // namespace

void append_instant(std::string& out, std::int64_t time_ms) {
    const Instant time = std::clamp(Instant(milliseconds(time_ms)), first_written, last_written);
    const auto day = std::chrono::floor<days>(time);
    const year_month_day date{day};
    const hh_mm_ss<milliseconds> of_day{time - day};
    char text[] = "0000-00-00T00:00:00.000Z";
    put(text, static_cast<int>(date.year()), 4);
    put(text + 5, static_cast<unsigned>(date.month()), 2);
    put(text + 8, static_cast<unsigned>(date.day()), 2);
    put(text + 11, of_day.hours().count(), 2);
    put(text + 14, of_day.minutes().count(), 2);
    put(text + 17, of_day.seconds().count(), 2);
    put(text + 20, of_day.subseconds().count(), 3);
    out.append(text, sizeof text - 1);
}

std::string instant(std::int64_t time_ms) {
    std::string out;
    append_instant(out, time_ms);
    return out;
}

std::optional<std::int64_t> parse_instant(std::string_view text) {
    const auto date = take_date(text);
    if (!date || !take_one_of(text, "Tt ")) return std::nullopt;
    const auto time_of_day = take_hours_and_minutes(text);
    if (!time_of_day || !take_one_of(text, ":")) return std::nullopt;
    const auto second = take(text, 2);
    if (!second || *second > 59) return std::nullopt;
    const auto fraction = take_fraction(text);
    if (!fraction) return std::nullopt;
    const auto offset = take_offset(text);
    if (!offset || !text.empty()) return std::nullopt;
    const Instant time = *date + *time_of_day - *offset + seconds(*second) + *fraction;
    return time.time_since_epoch().count();
}

}  // namespace freshet::words
