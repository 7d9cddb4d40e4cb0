// The ranges that the rules for settings use.
// One reason to change: a kind of range.
#pragma once

#include <algorithm>
#include <cstdint>

#include "controller/core/settings_check.hpp"

namespace freshet::core::settings_ranges {

using S = const Settings&;

/// No figure of a pumping station is so large in SI units; the square of such a figure is still a number.
inline constexpr double farthest = 1e12;
/// Nor is a figure other than nothing so small: less divides like zero.
inline constexpr double least_of_all = 1 / farthest;
/// A wait or time limit is at most a week: longer is a mistake, and two such times add up within 32 bits.
inline constexpr double week_ms = 7.0 * 24 * 3600 * 1000;
/// A machine's age is at most a century: longer is a mistake, and such a time adds up with station time.
inline constexpr std::int64_t century_ms = 100LL * 366 * 24 * 3600 * 1000;

// A comparison with NaN is false, so every rule below refuses NaN.

constexpr RuleResult within(double value, double least, double most) noexcept {
    return {value >= least && value <= most, 0, value};
}
constexpr RuleResult number(double value) noexcept {
    return within(value, -farthest, farthest);
}
constexpr RuleResult not_negative(double value) noexcept {
    return within(value, 0, farthest);
}
constexpr RuleResult positive(double value) noexcept {
    return within(value, least_of_all, farthest);
}
/// A share of something: above nothing, at most the whole.
constexpr RuleResult share(double ratio) noexcept {
    return within(ratio, least_of_all, 1);
}
/// A time that may be zero.
constexpr RuleResult wait(std::int32_t ms) noexcept {
    return within(ms, 0, week_ms);
}
/// A time that is judged scan by scan: shorter than one scan, it is over before it begins.
constexpr RuleResult a_scan_or_more(S s, std::int32_t ms) noexcept {
    return within(ms, std::max(s.scan_ms, std::int32_t{1}), week_ms);
}
constexpr RuleResult long_wait(std::int64_t ms) noexcept {
    return {ms >= 0 && ms <= century_ms, 0, static_cast<double>(ms)};
}
constexpr RuleResult long_time(std::int64_t ms) noexcept {
    return {ms > 0 && ms <= century_ms, 0, static_cast<double>(ms)};
}
template <class Choice>
constexpr RuleResult one_of(Choice choice, Choice last) noexcept {
    return within(static_cast<double>(choice), 0, static_cast<double>(last));
}
/// The mark `upper_m` needs more pumping than `lower_m`. It is the higher mark where a well is emptied, and
/// the lower mark where a tank is filled or a pressure is held.
constexpr RuleResult asks_for_more(S s, double lower_m, double upper_m) noexcept {
    const bool in_order = s.action == Action::reverse ? lower_m > upper_m : lower_m < upper_m;
    return {in_order && number(lower_m).holds && number(upper_m).holds, 0, upper_m};
}

}  // namespace freshet::core::settings_ranges
