// The layout of the advice map: the address of every register, the blocks, and how to find a register by
// name. Server, readers, printed map and tests all use this layout.
// One reason to change: how rows become addresses. The rows themselves are in advice_rows.hpp.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "config/field_map.hpp"
#include "controller/core/advice.hpp"
#include "hal/modbus/advice_rows.hpp"
#include "hal/modbus/word_codec.hpp"

namespace freshet::modbus {

/// A name of fixed capacity, so that a pump's registers can be named while compiling.
struct RegisterName {
    std::array<char, 40> text{};
    std::size_t length = 0;

    constexpr RegisterName& operator+=(std::string_view more) {
        for (const char letter : more) text[length++] = letter;
        return *this;
    }
    constexpr std::string_view view() const { return {text.data(), length}; }
};

/// High byte first, high word first.
inline constexpr auto advice_word_order = config::WordOrder::abcd;

/// One value of the map. Every value is read-only, in `advice_word_order`.
struct AdviceRegister {
    RegisterName name;
    std::string_view block;
    std::uint16_t address = 0;  ///< zero-based protocol address
    config::WordType type = config::WordType::u16;
    double scale = 1;  ///< value = raw * scale
    std::string_view unit;
    std::string_view meaning;

    constexpr std::size_t words() const { return words_of(type); }
};

/// Registers without a gap. The server refuses a read beyond these registers.
struct AdviceBlock {
    std::string_view name;
    std::uint16_t address = 0;
    std::uint16_t count = 0;
};

namespace table {

/// A row with its place in the map: once, or once for each pump at a constant distance.
struct PlacedRow {
    const Row* row = nullptr;
    std::string_view block;
    std::uint16_t address = 0;  ///< of the first pump where there is one for each pump
    std::uint16_t stride = 0;   ///< from one pump to the next; 0 where the row is placed once
};

/// Consecutive rows. Rows for each pump repeat as a group: all rows of pump 1, then all rows of pump 2.
template <class Place>
constexpr void place_rows(const BlockRows& block, Place place) {
    std::uint16_t next = block.address;
    const auto advance = [&next](std::size_t words) { next = static_cast<std::uint16_t>(next + words); };
    place(PlacedRow{&scan_first, block.name, next, 0});
    advance(scan_first.words());
    for (std::size_t i = 0; i < block.rows.size();) {
        if (block.rows[i].per == Per::station) {
            place(PlacedRow{&block.rows[i], block.name, next, 0});
            advance(block.rows[i].words());
            ++i;
            continue;
        }
        std::size_t stride = 0;
        std::size_t end = i;
        for (; end < block.rows.size() && block.rows[end].per == Per::pump; ++end)
            stride += block.rows[end].words();
        const std::uint16_t after = static_cast<std::uint16_t>(next + stride * core::pumps_max);
        for (; i < end; ++i) {
            place(PlacedRow{&block.rows[i], block.name, next, static_cast<std::uint16_t>(stride)});
            advance(block.rows[i].words());
        }
        next = after;
    }
    place(PlacedRow{&scan_last, block.name, next, 0});
}

constexpr std::size_t placed_count() {
    std::size_t count = 0;
    for (const BlockRows& block : blocks) place_rows(block, [&](const PlacedRow&) { ++count; });
    return count;
}

inline constexpr auto placed_rows = [] {
    std::array<PlacedRow, placed_count()> placed{};
    std::size_t count = 0;
    for (const BlockRows& block : blocks)
        place_rows(block, [&](const PlacedRow& row) { placed[count++] = row; });
    return placed;
}();

constexpr std::size_t times_of(const PlacedRow& placed) {
    return placed.row->per == Per::pump ? core::pumps_max : 1;
}

constexpr AdviceRegister register_of(const PlacedRow& placed, std::size_t pump) {
    const Row& row = *placed.row;
    RegisterName name;
    if (row.per == Per::pump) {
        const char digit = static_cast<char>('1' + pump);
        ((name += "pump_") += std::string_view(&digit, 1)) += ".";
    } else if (row.per == Per::block) {
        (name += placed.block) += ".";
    }
    name += row.name;
    const auto address = static_cast<std::uint16_t>(placed.address + pump * placed.stride);
    return {name, placed.block, address, row.type, row.scale, row.unit, row.meaning};
}

constexpr std::size_t register_count() {
    std::size_t count = 0;
    for (const PlacedRow& placed : placed_rows) count += times_of(placed);
    return count;
}

/// All registers in the order of their addresses.
inline constexpr auto registers = [] {
    std::array<AdviceRegister, register_count()> made{};
    std::size_t count = 0;
    for (std::size_t i = 0; i < placed_rows.size();) {
        std::size_t end = i + 1;
        while (end < placed_rows.size() && placed_rows[i].stride != 0 &&
               placed_rows[end].stride == placed_rows[i].stride) {
            ++end;
        }
        for (std::size_t pump = 0; pump < times_of(placed_rows[i]); ++pump) {
            for (std::size_t row = i; row < end; ++row) made[count++] = register_of(placed_rows[row], pump);
        }
        i = end;
    }
    return made;
}();

inline constexpr auto block_extents = [] {
    std::array<AdviceBlock, blocks.size()> made{};
    for (std::size_t i = 0; i < blocks.size(); ++i) {
        std::size_t end = 0;
        place_rows(blocks[i], [&](const PlacedRow& placed) { end = placed.address + placed.row->words(); });
        made[i] = {blocks[i].name, blocks[i].address, static_cast<std::uint16_t>(end - blocks[i].address)};
    }
    return made;
}();

}  // namespace table

inline constexpr auto& advice_registers = table::registers;
inline constexpr auto& advice_blocks = table::block_extents;
inline constexpr std::size_t advice_address_end = advice_blocks.back().address + advice_blocks.back().count;

/// All registers by zero-based address; the server never serves an address between the blocks.
using AdviceImage = std::array<std::uint16_t, advice_address_end>;

/// The register of this name. A name that is not in the table does not compile.
consteval const AdviceRegister& advice_register(std::string_view name) {
    for (const AdviceRegister& entry : advice_registers) {
        if (entry.name.view() == name) return entry;
    }
    throw "no advice register of that name";
}

/// The place of a register that each pump has.
struct PumpRegisters {
    std::uint16_t address = 0;  ///< of the first pump
    std::uint16_t stride = 0;   ///< from one pump to the next

    constexpr std::size_t of(std::size_t pump) const { return address + pump * stride; }
};

/// The registers "pump_N.name". A name that is not in the table does not compile.
consteval PumpRegisters pump_registers(std::string_view name) {
    for (const table::PlacedRow& placed : table::placed_rows) {
        if (placed.row->per == table::Per::pump && placed.row->name == name)
            return {placed.address, placed.stride};
    }
    throw "no register of that name for each pump";
}

/// The block of this name. A name that is not in the table does not compile.
consteval const AdviceBlock& advice_block(std::string_view name) {
    for (const AdviceBlock& block : advice_blocks) {
        if (block.name == name) return block;
    }
    throw "no advice block of that name";
}

/// Readers that use 16-bit traditional reference numbers number an input register from 30001: 30001 is
/// address 0.
constexpr std::uint32_t input_reference(std::uint16_t address) {
    return 30001U + address;
}
/// The same for a holding register: 40001 is address 0.
constexpr std::uint32_t holding_reference(std::uint16_t address) {
    return 40001U + address;
}

/// Whether `count` registers from `address` lie in one block.
constexpr bool advice_serves(std::uint32_t address, std::uint32_t count) {
    return std::any_of(advice_blocks.begin(), advice_blocks.end(), [&](const AdviceBlock& block) {
        return address >= block.address &&
               address + count <= static_cast<std::uint32_t>(block.address) + block.count;
    });
}

}  // namespace freshet::modbus
