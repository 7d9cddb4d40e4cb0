// The printed form of a proposed time; see the header.
// One reason to change: how a proposed value is rounded.
#include "config/engineering/proposal.hpp"

#include <fmt/format.h>

namespace freshet::config {

std::string time_down(double seconds) {
    constexpr double shown_in_minutes_s = 120, tenths = 10;
    return seconds < shown_in_minutes_s ? fmt::format("{:g} s", rounded_down(seconds, 1))
                                        : fmt::format("{:g} min", rounded_down(seconds / s_per_min, tenths));
}

}  // namespace freshet::config
