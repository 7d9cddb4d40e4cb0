// How long running pumps may keep running while nothing is read.
// One reason to change: when advice without readings becomes void.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/balance.hpp"
#include "controller/core/need.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

/// The time in service `hold`.
struct Hold {
    std::int64_t since_ms = never_ms;
    std::int64_t allowed_ms = 0;
    double inflow_m3s = 0, outflow_m3s = 0;  ///< last known when the service began

    /// Time left, ms; zero when the advice is void. Not known outside service `hold`.
    std::int64_t left_ms(std::int64_t now_ms) const noexcept {
        const std::int64_t left = since_ms + allowed_ms - now_ms;
        return left > 0 ? left : 0;
    }
    bool is_over(std::int64_t now_ms) const noexcept { return since_ms != never_ms && left_ms(now_ms) == 0; }
};

/// Renews the time in each scan, after the service is judged and before the balance. When service `hold` begins,
/// the last known inflow, with its doubt and a tenth either way, says when the store would overflow or be at the
/// cut-off with the pumps that run. After an hour nobody knows the inflow. Where a pressure is held, the time has
/// no limit, because the store lasts for seconds only and the pumps follow the pressure by their curves.
void renew_hold(Hold& hold, Service service, const Sight& sight, const Balance& balance,
                const NeedMarks& marks, const Settings& settings) noexcept;

}  // namespace freshet::core
