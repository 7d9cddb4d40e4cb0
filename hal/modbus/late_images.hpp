// What a link shows whose answers take their time, in station time: the station as it was when it was asked.
// One reason to change: how a slow link ages what it carries.
//
// The bench in one process and the simulated station in lockstep both take what they show from here, so that
// a slow link gives the same journal in both. An answer that arrives at t was asked for `slow_ms` before and
// shows the station of that instant; nothing older than what has already arrived is shown again. Leaves out:
// that questions queue behind one another.
#pragma once

#include <cstdint>
#include <deque>
#include <span>
#include <vector>

namespace freshet::modbus {

/// A reader waits no longer than this for an answer (the default of ClientOptions::response): a link at least
/// as slow counts as lost.
inline constexpr std::int64_t answer_limit_ms = 1000;

class LateImages {
  public:
    struct Shown {
        std::span<const std::uint16_t> image;
        std::int64_t time_ms = 0;  ///< the instant that the image shows
    };

    /// The station stands as in `image` at `now_ms`; what arrives at that instant over a link whose answers
    /// take `slow_ms`. Valid until the next call. Allocates while the link is slow, not otherwise.
    Shown pass(std::span<const std::uint16_t> image, std::int64_t now_ms, std::int64_t slow_ms) {
        if (slow_ms <= 0) {
            held_.clear();
            return {image, now_ms};
        }
        held_.push_back({now_ms, {image.begin(), image.end()}});
        while (held_.size() > 1 && held_[1].time_ms <= now_ms - slow_ms) held_.pop_front();
        return {held_.front().image, held_.front().time_ms};
    }

  private:
    struct Held {
        std::int64_t time_ms = 0;
        std::vector<std::uint16_t> image;
    };
    std::deque<Held> held_;  ///< the one that is shown first, then those on their way
};

}  // namespace freshet::modbus
