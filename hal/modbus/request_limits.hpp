// The largest request.
// One reason to change: the standard's limits.
#pragma once

#include <cstddef>

namespace freshet::modbus {

/// MODBUS Application Protocol Specification V1.1b3, 6.1 to 6.4.
inline constexpr std::size_t registers_per_read_max = 125;
inline constexpr std::size_t bits_per_read_max = 2000;

}  // namespace freshet::modbus
