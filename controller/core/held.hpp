// How long a condition has held.
// One reason to change: how the holding time of a condition is measured.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"

namespace freshet::core {

/// Keeps in `since_ms` the station time since which `condition` has held. `since_ms` is never_ms while the
/// condition does not hold. Call in every scan.
constexpr void track_since(std::int64_t& since_ms, bool condition, std::int64_t now_ms) noexcept {
    if (!condition) {
        since_ms = never_ms;
    } else if (since_ms == never_ms) {
        since_ms = now_ms;
    }
}

/// How long a condition has held, ms; zero while the condition does not hold.
constexpr std::int64_t held_ms(std::int64_t since_ms, std::int64_t now_ms) noexcept {
    return since_ms == never_ms ? 0 : now_ms - since_ms;
}

/// True when `condition` has held for `hold_ms` or longer. Keeps `since_ms`. Call in every scan.
constexpr bool held_for(std::int64_t& since_ms, bool condition, std::int64_t hold_ms,
                        std::int64_t now_ms) noexcept {
    track_since(since_ms, condition, now_ms);
    return condition && now_ms - since_ms >= hold_ms;
}

}  // namespace freshet::core
