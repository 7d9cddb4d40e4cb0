// The image that a slow link shows, in station time: the station at the instant of the request.
// One reason to change: how a slow link ages the values that it carries.
//
// The bench in one process and the simulated station in lockstep both use this class, so that a slow link
// gives the same journal in both. An answer that arrives at t was requested `slow_ms` before t, and shows the
// station of that instant. The link never shows an image that is older than the last shown image. Leaves out:
// requests that queue behind one another.
#pragma once

#include <cstdint>
#include <deque>
#include <span>
#include <vector>

namespace freshet::modbus {

/// The longest time that a reader waits for an answer (the default of ClientOptions::response). A link that
/// takes this time or longer counts as lost.
inline constexpr std::int64_t answer_limit_ms = 1000;

class LateImages {
  public:
    struct Shown {
        std::span<const std::uint16_t> image;
        std::int64_t time_ms = 0;  ///< the instant that the image shows
    };

    /// `image` is the station at `now_ms`. Returns the image that arrives at that instant over a link whose
    /// answers take `slow_ms`. Valid until the next call. Allocates only while the link is slow.
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
    std::deque<Held> held_;  ///< the image that is shown, then the images under way
};

}  // namespace freshet::modbus
