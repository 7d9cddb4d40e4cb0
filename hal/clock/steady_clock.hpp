// Station time at a site: the wall clock gives the start, and then the steady clock counts.
// One reason to change: how time passes at a site.
#pragma once

#include <chrono>
#include <cstdint>

namespace freshet::clocks {

/// Unix milliseconds that never go back and never jump. A change of the wall clock during a run does not move
/// timers.
class SteadyClock {
  public:
    SteadyClock()
        : wall_ms_(std::chrono::duration_cast<std::chrono::milliseconds>(
                       std::chrono::system_clock::now().time_since_epoch())
                       .count()),
          begun_(std::chrono::steady_clock::now()) {}

    std::int64_t now_ms() const { return at_ms(std::chrono::steady_clock::now()); }
    std::int64_t at_ms(std::chrono::steady_clock::time_point when) const {
        return wall_ms_ + std::chrono::duration_cast<std::chrono::milliseconds>(when - begun_).count();
    }
    /// The instant at which station time reaches `time_ms`.
    std::chrono::steady_clock::time_point when(std::int64_t time_ms) const {
        return begun_ + std::chrono::milliseconds(time_ms - wall_ms_);
    }

  private:
    std::int64_t wall_ms_;
    std::chrono::steady_clock::time_point begun_;
};

}  // namespace freshet::clocks
