// Station time on a bench: the plant's clock, read from the plant.
// One reason to change: how time passes on a bench.
#pragma once

#include <chrono>
#include <cstdint>

namespace freshet::clocks {

enum class ClockStep : std::uint8_t { first, forward, same, refused };

/// Unset, not zero, before the first reading of the plant. Within a connection the clock refuses a time that
/// goes back. While the plant does not answer, the clock continues at the rate of the steady clock, so that
/// data age and advice expires.
class PlantClock {
  public:
    using WallTime = std::chrono::steady_clock::time_point;

    bool set() const { return set_; }
    /// Station time; meaningful only when set.
    std::int64_t now_ms() const { return now_ms_; }
    /// Station time minus the plant's own time. Zero unless the plant returned with an earlier time.
    std::int64_t offset_ms() const { return offset_ms_; }

    /// The plant's clock shows `plant_ms`; `wall` is the time of the reading.
    ClockStep advance(std::int64_t plant_ms, WallTime wall) {
        const std::int64_t station_ms = plant_ms + offset_ms_;
        if (set_ && station_ms < now_ms_) return ClockStep::refused;
        const ClockStep step = !set_                   ? ClockStep::first
                               : station_ms == now_ms_ ? ClockStep::same
                                                       : ClockStep::forward;
        set_ = true;
        now_ms_ = station_ms;
        anchor_ms_ = station_ms;
        anchor_wall_ = wall;
        return step;
    }

    /// A new connection found the plant at `plant_ms`. When the plant's time is before station time, station
    /// time continues one step of `step_ms` later and then follows the plant's pace. Returns whether the
    /// plant's time was before station time.
    bool rejoin(std::int64_t plant_ms, std::int64_t step_ms) {
        if (!set_ || plant_ms + offset_ms_ >= now_ms_) return false;
        offset_ms_ = now_ms_ + step_ms - plant_ms;
        return true;
    }

    /// Call while the plant does not answer. Moves station time to `wall`, in whole steps of `step_ms`.
    /// Returns whether station time moved.
    bool coast(WallTime wall, std::int64_t step_ms) {
        if (!set_) return false;
        const auto since = std::chrono::duration_cast<std::chrono::milliseconds>(wall - anchor_wall_).count();
        const std::int64_t coasted_ms = anchor_ms_ + since / step_ms * step_ms;
        if (coasted_ms <= now_ms_) return false;
        now_ms_ = coasted_ms;
        return true;
    }

  private:
    bool set_ = false;
    std::int64_t now_ms_ = 0, offset_ms_ = 0, anchor_ms_ = 0;
    WallTime anchor_wall_{};
};

}  // namespace freshet::clocks
