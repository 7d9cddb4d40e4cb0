// Seconds of figures. One reason to change: the unit of time of a figure.
#pragma once

#include <cstdint>

namespace freshet::record {

inline double seconds_of(std::int64_t span_ms) {
    constexpr double ms_per_s = 1000;
    return static_cast<double>(span_ms) / ms_per_s;
}

}  // namespace freshet::record
