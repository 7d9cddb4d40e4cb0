// Times of the core as numbers.
// One reason to change: how a time in milliseconds becomes seconds.
#pragma once

#include <cstdint>

namespace freshet::core {

constexpr double as_double(std::int64_t value) noexcept {
    return static_cast<double>(value);
}

/// A time of ms in seconds.
constexpr double seconds_of(std::int64_t time_ms) noexcept {
    constexpr double seconds_per_ms = 1e-3;
    return seconds_per_ms * as_double(time_ms);
}

}  // namespace freshet::core
