// Instants of tests in station time. One reason to change: an instant that several tests share.
#pragma once

#include <cstdint>

#include "tests/doubles/station_double.hpp"

namespace freshet::core {

inline constexpr std::int64_t start_ms = doubles::odd_start_ms;  ///< the first scan of a test
inline constexpr std::int64_t now_ms = doubles::odd_start_ms;    ///< of a test in which no time passes

}  // namespace freshet::core
