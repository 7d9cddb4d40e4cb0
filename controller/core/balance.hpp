// The volume balance of the store: the pumped flow, and the inflow (or the demand of a tank) that explains
// the measured value.
// One reason to change: how the inflow is found from the balance.
#pragma once

#include "controller/core/advice.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/forecast.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/sight.hpp"

namespace freshet::core {

/// The observer of the inflow, and the sums since the last balance.
struct Balance {
    Observer observer;
    double need_sum_m = 0, observed_s = 0;  ///< sums over the scans with a good value
    int samples = 0;
};

/// Adds one scan of `elapsed_s` seconds to the sums. Leaves out a scan without a good measured value.
void add_to_balance(Balance& balance, const Sight& sight, double elapsed_s) noexcept;

/// Makes the balance, once a second, from the mean of the scans since the last balance. The mean is enough,
/// because the store moves slowly. Writes the pumped flow and the inflow into the advice, m3/s. Without a
/// good value the advice keeps the last inflow. After a bad value the observer starts again.
void update_balance(Balance& balance, const Sight& sight, const FlowTable& flows, const Settings& settings,
                    Advice& advice) noexcept;

}  // namespace freshet::core
