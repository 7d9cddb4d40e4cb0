// A site's registers: the address of each signal, and how the register encodes the signal. Plain data.
// One reason to change: an encoding of a signal that sites use.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "config/signals.hpp"

namespace freshet::config {

enum class Table : std::uint8_t { coils, discrete_inputs, input_registers, holding_registers };
enum class WordType : std::uint8_t { bit, u16, s16, u32, s32, u64, f32 };
/// The order of the bytes on the wire: ABCD is big-endian throughout, CDAB swaps the words, BADC swaps the
/// bytes of each word, DCBA swaps both.
enum class WordOrder : std::uint8_t { abcd, cdab, badc, dcba };

/// The names in a file.
constexpr std::string_view name_of(Table table) {
    constexpr std::array<std::string_view, 4> names{"coils", "discrete_inputs", "input_registers",
                                                    "holding_registers"};
    return names[static_cast<std::size_t>(table)];
}
constexpr std::string_view name_of(WordType type) {
    constexpr std::array<std::string_view, 7> names{"bit", "u16", "s16", "u32", "s32", "u64", "f32"};
    return names[static_cast<std::size_t>(type)];
}
constexpr std::string_view name_of(WordOrder order) {
    constexpr std::array<std::string_view, 4> names{"abcd", "cdab", "badc", "dcba"};
    return names[static_cast<std::size_t>(order)];
}

constexpr bool is_bit_table(Table table) {
    return table == Table::coils || table == Table::discrete_inputs;
}

/// Number of registers of a value of this type; 1 for a bit (several bits share the register).
constexpr std::size_t words_of(WordType type) {
    constexpr std::array<std::size_t, 7> words{1, 1, 1, 2, 2, 4, 2};
    return words[static_cast<std::size_t>(type)];
}

struct FieldEntry {
    SignalIndex signal = 0;
    std::uint8_t unit_id = 1;
    Table table = Table::input_registers;
    std::uint16_t address = 0;  ///< zero-based protocol address
    std::uint8_t bit = 0;       ///< for WordType::bit in a register
    WordType type = WordType::u16;
    WordOrder order = WordOrder::abcd;
    double scale = 1, offset = 0;        ///< signal = raw * scale + offset, in the dictionary's unit
    bool inverted = false;               ///< bits only: 0 means on
    std::uint8_t group = 0;              ///< index into FieldMap::groups
    std::uint32_t line = 0, column = 0;  ///< place of the entry in its file, for messages
};

struct PollGroup {
    std::string name;
    std::int32_t period_ms = 100;
};

struct FieldMap {
    std::string name, file;
    std::vector<PollGroup> groups;
    std::vector<FieldEntry> entries;
};

}  // namespace freshet::config
