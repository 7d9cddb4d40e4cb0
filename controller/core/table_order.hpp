// An audit of every table that is read by the code of a row.
// One reason to change: what makes the place of a row right.
#pragma once

#include <array>
#include <cstddef>

namespace freshet::core::audit {

/// Each code has one row, at its own place. The codes of the table start at `first`.
template <class Row, std::size_t Count, class Code>
consteval bool is_in_order(const std::array<Row, Count>& table, Code Row::*code, std::size_t first = 0) {
    for (std::size_t i = 0; i < Count; ++i)
        if (static_cast<std::size_t>(table[i].*code) != first + i) return false;
    return true;
}

}  // namespace freshet::core::audit
