// The volume balance of the store: what is pumped, and the inflow (or the demand) behind the measured value.
// One reason to change: how the balance is struck.
#pragma once

#include "controller/core/advice.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/forecast.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

struct Balance {
    Observer observer;
    double need_sum_m = 0, watched_s = 0;  ///< of the scans with a good value since the last balance
    int needs = 0;
};

/// Adds one scan to the balance.
void watch_balance(Balance& balance, const Sight& sight, double elapsed_s) noexcept;

/// Strikes the balance, once a second, on the mean of the scans since the last one: the store moves slowly.
/// Writes pumped flow and inflow into the advice. Without a good value the last inflow is kept for people,
/// until the value is bad.
void strike_balance(Balance& balance, const Sight& sight, const FlowTable& flows, const Settings& settings,
                    Advice& advice) noexcept;

}  // namespace freshet::core
