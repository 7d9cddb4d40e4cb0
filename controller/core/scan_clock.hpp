// The time of a scan, and the time since the scan before.
// One reason to change: when the slow task is due.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"

namespace freshet::core {

/// The times of one scan.
struct ScanTime {
    std::int64_t now_ms = never_ms;  ///< station time
    std::int64_t elapsed_ms = 0;     ///< since the scan before; zero in the first scan
    double elapsed_s = 0;            ///< for integrals: after a stall at most one second
    bool second_passed = false;      ///< the slow task is due; true in the first scan
};

/// Keeps the station time of the last scan.
class ScanClock {
  public:
    /// True after the first scan.
    bool started() const noexcept { return last_ms_ != never_ms; }
    /// Station time of the last scan; never_ms before the first scan.
    std::int64_t last_ms() const noexcept { return last_ms_; }
    /// True when `now_ms` lies before the last scan.
    bool would_go_back(std::int64_t now_ms) const noexcept { return started() && now_ms < last_ms_; }

    /// Advances to the scan at `now_ms`, which must not lie before the last scan.
    ScanTime advance(std::int64_t now_ms) noexcept {
        constexpr std::int64_t second_ms = 1000;
        constexpr double seconds_per_ms = 1e-3;
        ScanTime time;
        time.now_ms = now_ms;
        time.elapsed_ms = started() ? now_ms - last_ms_ : 0;
        const std::int64_t integral_ms = time.elapsed_ms < second_ms ? time.elapsed_ms : second_ms;
        time.elapsed_s = seconds_per_ms * static_cast<double>(integral_ms);
        time.second_passed = slow_ms_ == never_ms || now_ms - slow_ms_ >= second_ms;
        if (time.second_passed) slow_ms_ = now_ms;
        last_ms_ = now_ms;
        return time;
    }

  private:
    std::int64_t last_ms_ = never_ms, slow_ms_ = never_ms;
};

}  // namespace freshet::core
