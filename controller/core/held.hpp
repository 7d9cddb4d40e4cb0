// Since when a condition has held. One reason to change: what "held for so long" means.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"

namespace freshet::core {

/// Whether `condition` has held for `hold_ms`; `since_ms` is kept by the caller from scan to scan, never_ms
/// while it does not hold.
constexpr bool held_for(std::int64_t& since_ms, bool condition, std::int64_t hold_ms,
                        std::int64_t now_ms) noexcept {
    if (!condition) {
        since_ms = never_ms;
        return false;
    }
    if (since_ms == never_ms) since_ms = now_ms;
    return now_ms - since_ms >= hold_ms;
}

}  // namespace freshet::core
