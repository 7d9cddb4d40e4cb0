// How long a step of a sequence may last. One reason to change: how its limit follows from the settings.
#pragma once

#include <cstdint>

#include "controller/core/numbers.hpp"
#include "controller/core/sequences.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Time of a ramp over `change_hz`, ms, up to 1e9; none at a drive whose rate is not given (zero).
constexpr std::int64_t ramp_ms(double change_hz, double rate_hz_s) noexcept {
    constexpr double ms_per_s = 1000;
    constexpr double longest_ms = 1e9;
    return rate_hz_s > 0 ? static_cast<std::int64_t>(bounded(ms_per_s * change_hz / rate_hz_s, 0, longest_ms))
                         : 0;
}

/// Longest stay in a step that has this limit, ms. `minimum_flow_hz` is the speed that a start runs up to.
std::int64_t limit_ms(Limit limit, const Settings& settings, double minimum_flow_hz) noexcept;

}  // namespace freshet::core
