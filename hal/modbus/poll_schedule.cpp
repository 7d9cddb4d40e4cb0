// Periods of poll groups.
// One reason to change: see the header.
#include "hal/modbus/poll_schedule.hpp"

#include <algorithm>
#include <cstddef>
#include <limits>

namespace freshet::modbus {

PollSchedule::PollSchedule(const FieldPlan& plan)
    : next_ms_(plan.groups.size(), 0), due_(plan.groups.size(), 0) {
    for (const config::PollGroup& group : plan.groups) period_ms_.push_back(std::max(group.period_ms, 1));
}

void PollSchedule::advance(std::int64_t now_ms) {
    for (std::size_t i = 0; i < period_ms_.size(); ++i) {
        due_[i] = now_ms >= next_ms_[i] ? 1 : 0;
        if (due_[i] == 0) continue;
        // A scan within the next period needs no division.
        next_ms_[i] += period_ms_[i];
        if (next_ms_[i] <= now_ms) next_ms_[i] = (now_ms / period_ms_[i] + 1) * period_ms_[i];
    }
}

std::int64_t PollSchedule::next_due_ms() const {
    return next_ms_.empty() ? std::numeric_limits<std::int64_t>::max()
                            : *std::min_element(next_ms_.begin(), next_ms_.end());
}

}  // namespace freshet::modbus
