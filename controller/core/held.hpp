// Since when a condition has held. One reason to change: what "held for so long" means.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"

namespace freshet::core {

/// Keeps in `since_ms`, from scan to scan, since when `condition` has held; never_ms while it does not.
constexpr void keep_since(std::int64_t& since_ms, bool condition, std::int64_t now_ms) noexcept {
    if (!condition) {
        since_ms = never_ms;
    } else if (since_ms == never_ms) {
        since_ms = now_ms;
    }
}

/// For how long it has held, ms; zero where it does not.
constexpr std::int64_t held_ms(std::int64_t since_ms, std::int64_t now_ms) noexcept {
    return since_ms == never_ms ? 0 : now_ms - since_ms;
}

/// Whether `condition` has held for `hold_ms`; keeps `since_ms`.
constexpr bool held_for(std::int64_t& since_ms, bool condition, std::int64_t hold_ms,
                        std::int64_t now_ms) noexcept {
    keep_since(since_ms, condition, now_ms);
    return condition && now_ms - since_ms >= hold_ms;
}

}  // namespace freshet::core
