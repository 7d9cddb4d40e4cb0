// How long a step of a sequence may last.
// One reason to change: how the limit of a step follows from the settings.
#pragma once

#include <cstdint>

#include "controller/core/numbers.hpp"
#include "controller/core/sequences.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// The time of a ramp, ms: change over rate, limited to 0 .. 1e9. A rate that is not above zero gives 0.
constexpr std::int64_t ramp_ms(double change_hz, double rate_hz_s) noexcept {
    constexpr double ms_per_s = 1000;
    constexpr double longest_ms = 1e9;
    return rate_hz_s > 0 ? static_cast<std::int64_t>(bounded(ms_per_s * change_hz / rate_hz_s, 0, longest_ms))
                         : 0;
}

/// The longest time in a step with this limit, ms. `minimum_flow_hz` is the speed that a start on the drive
/// reaches, Hz.
std::int64_t limit_ms(Limit limit, const Settings& settings, double minimum_flow_hz) noexcept;

}  // namespace freshet::core
