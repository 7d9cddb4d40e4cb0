// Which poll groups are due, by station time alone.
// One reason to change: when a poll group is read.
#pragma once

#include <cstdint>
#include <vector>

#include "hal/modbus/field_plan.hpp"

namespace freshet::modbus {

/// A group is due in the first scan of each of its periods.
class PollSchedule {
  public:
    explicit PollSchedule(const FieldPlan& plan);
    /// Marks the groups that are due at `now_ms`. Call before `due`.
    void advance(std::int64_t now_ms);
    bool due(std::uint8_t group) const { return due_[group] != 0; }
    /// Station time of the next reading that falls due after the last `advance`.
    std::int64_t next_due_ms() const;

  private:
    std::vector<std::int64_t> period_ms_, next_ms_;
    std::vector<std::uint8_t> due_;
};

}  // namespace freshet::modbus
