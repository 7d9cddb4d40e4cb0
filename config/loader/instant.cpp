// Takes a date-time apart, digit by digit.
// One reason to change: how instants are written in our files.
#include "config/loader/instant.hpp"

#include <array>

namespace freshet::config {
namespace {

/// Reads fixed-width fields off the front of a text.
struct Scanner {
    std::string_view rest;
    bool failed = false;

    unsigned digits(std::size_t count) {
        unsigned value = 0;
        for (std::size_t i = 0; i < count; ++i) {
            if (rest.empty() || rest.front() < '0' || rest.front() > '9') failed = true;
            if (failed) return 0;
            value = value * 10 + static_cast<unsigned>(rest.front() - '0');
            rest.remove_prefix(1);
        }
        return value;
    }
    bool take(char c) {
        if (rest.empty() || rest.front() != c) return false;
        rest.remove_prefix(1);
        return true;
    }
    void expect(char c) { failed = failed || !take(c); }
};

constexpr unsigned days_in_month(unsigned year, unsigned month) {
    constexpr std::array<unsigned, 12> days{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    return days[month - 1] + (month == 2 && leap ? 1 : 0);
}

}  // namespace

std::optional<std::int64_t> instant_of(std::string_view text) {
    Scanner scanner{text};
    const unsigned year = scanner.digits(4);
    scanner.expect('-');
    const unsigned month = scanner.digits(2);
    scanner.expect('-');
    const unsigned day = scanner.digits(2);
    if (!scanner.take('T') && !scanner.take('t')) scanner.expect(' ');
    const unsigned hour = scanner.digits(2);
    scanner.expect(':');
    const unsigned minute = scanner.digits(2);
    scanner.expect(':');
    const unsigned second = scanner.digits(2);
    std::int64_t fraction_ms = 0;
    if (scanner.take('.'))
        for (std::int64_t place = 100; !scanner.failed;) {
            fraction_ms += place * scanner.digits(1);
            place /= 10;
            if (scanner.rest.empty() || scanner.rest.front() < '0' || scanner.rest.front() > '9') break;
        }
    std::int64_t offset_min = 0;
    if (!scanner.take('Z') && !scanner.take('z')) {
        const bool west = scanner.take('-');
        if (!west) scanner.expect('+');
        const unsigned offset_h = scanner.digits(2);
        scanner.expect(':');
        const unsigned offset_rest = scanner.digits(2);
        scanner.failed = scanner.failed || offset_h > 23 || offset_rest > 59;
        offset_min = (west ? -1 : 1) * static_cast<std::int64_t>(offset_h * 60 + offset_rest);
    }
    if (scanner.failed || !scanner.rest.empty()) return std::nullopt;
    if (month < 1 || month > 12 || day < 1 || day > days_in_month(year, month) || hour > 23 || minute > 59 ||
        second > 59)
        return std::nullopt;
    const std::int64_t minutes = days_from_civil(year, month, day) * 1440 + hour * 60 + minute - offset_min;
    return (minutes * 60 + second) * 1000 + fraction_ms;
}

}  // namespace freshet::config
