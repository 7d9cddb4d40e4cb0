// Lockstep: one instant at a time between a plant that waits for advice and a controller that waits for the
// plant.
// One reason to change: the rule of the exchange.
//
// The plant publishes its measurements of instant t and waits until it reads advice whose station time is t;
// then the plant steps. The controller scans each instant once and publishes. Each side's server holds the
// next request of the other side until there is news. One step is outstanding at any time. A limit in wall
// time keeps a lost peer from stopping the other for ever; the limit is in wall time on purpose.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>

namespace freshet::clocks {

/// Watches that the peer keeps stepping.
class StallWatch {
  public:
    using WallTime = std::chrono::steady_clock::time_point;

    StallWatch(std::chrono::milliseconds limit, WallTime now) : limit_(limit), last_(now) {}

    /// The peer has done its part of a step.
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
