// Pieces of a site that several tests of the field bus share. One reason to change: such a piece.
#pragma once

#include <chrono>
#include <cstdint>

#include "config/field_map.hpp"

namespace freshet::modbus {

inline constexpr std::int64_t morning_ms = 1'767'254'400'000;  // 2026-01-01T08:00:00Z
inline constexpr std::chrono::milliseconds long_enough{5000};  ///< a limit for tests, never a wait

inline config::FieldEntry entry(config::StationSignal signal, config::Table table, std::uint16_t address,
                                config::WordType type, std::uint8_t group = 0) {
    config::FieldEntry made;
    made.signal = config::index_of(signal);
    made.table = table;
    made.address = address;
    made.type = type;
    made.group = group;
    return made;
}

}  // namespace freshet::modbus
