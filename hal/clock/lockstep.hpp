// Lockstep: one instant at a time between a plant that waits for advice and a controller that waits for the
// plant.
// One reason to change: the rule of the exchange.
//
// The plant publishes its measurements of instant t. Then the plant waits until it reads advice whose station
// time is t, and takes a step. The controller scans each instant once and publishes. Each side's server holds
// the other side's next request until there is a new instant. At most one step is outstanding. A limit in
// wall time, on purpose, keeps a lost peer from stopping the other side for ever.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>

namespace freshet::clocks {

/// Checks that the peer continues to step.
class StallWatch {
  public:
    using WallTime = std::chrono::steady_clock::time_point;

    StallWatch(std::chrono::milliseconds limit, WallTime now) : limit_(limit), last_(now) {}

    /// Call when the peer has done its part of a step.
    void stepped(WallTime now) {
        ++steps_;
        last_ = now;
    }
    bool stalled(WallTime now) const { return now - last_ > limit_; }
    std::uint64_t steps() const { return steps_; }
    /// "peer stalled at step 17 (no answer for 30000 ms)"
    std::string message() const {
        return "peer stalled at step " + std::to_string(steps_) + " (no answer for " +
               std::to_string(limit_.count()) + " ms)";
    }

  private:
    std::chrono::milliseconds limit_;
    WallTime last_;
    std::uint64_t steps_ = 0;
};

}  // namespace freshet::clocks
