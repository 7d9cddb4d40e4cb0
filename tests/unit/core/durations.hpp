// Durations in milliseconds, written in their own units. One reason to change: a unit of time.
#pragma once

#include <cstdint>

namespace freshet::core {

constexpr std::int64_t operator""_s(unsigned long long seconds) {
    return static_cast<std::int64_t>(seconds) * 1000;
}
constexpr std::int64_t operator""_min(unsigned long long minutes) {
    return static_cast<std::int64_t>(minutes) * 60'000;
}
constexpr std::int64_t operator""_h(unsigned long long hours) {
    return static_cast<std::int64_t>(hours) * 3'600'000;
}

}  // namespace freshet::core
