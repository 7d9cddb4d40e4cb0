// How a number is laid out in 16-bit registers: four orders of words and bytes, and the raw patterns that
// mean "not available". One reason to change: a way of writing numbers into registers that sites use.
//
// The float helpers of libmodbus do not read back the same numbers in every packaged build. Therefore this
// file moves the bits itself, by std::bit_cast.
#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>

#include "config/field_map.hpp"

namespace freshet::modbus {

constexpr std::uint16_t swap_bytes(std::uint16_t word) {
    return static_cast<std::uint16_t>((word << 8U) | (word >> 8U));
}

constexpr bool swaps_words(config::WordOrder order) {
    return order == config::WordOrder::cdab || order == config::WordOrder::dcba;
}

constexpr bool swaps_bytes(config::WordOrder order) {
    return order == config::WordOrder::badc || order == config::WordOrder::dcba;
}

/// Puts the low `count` words of `raw` into registers. `count` is 1, 2 or 4.
constexpr void put_words(std::uint64_t raw, std::size_t count, config::WordOrder order,
                         std::uint16_t* registers) {
    if (count == 1) {  // most values of most maps: no loop
        const auto word = static_cast<std::uint16_t>(raw);
        registers[0] = swaps_bytes(order) ? swap_bytes(word) : word;
        return;
    }
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t from_low = swaps_words(order) ? i : count - 1 - i;
        const auto word = static_cast<std::uint16_t>(raw >> (16U * from_low));
        registers[i] = swaps_bytes(order) ? swap_bytes(word) : word;
    }
}

/// Reads back the words of put_words.
constexpr std::uint64_t get_words(const std::uint16_t* registers, std::size_t count,
                                  config::WordOrder order) {
    if (count == 1) return swaps_bytes(order) ? swap_bytes(registers[0]) : registers[0];
    std::uint64_t raw = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t from_low = swaps_words(order) ? i : count - 1 - i;
        const std::uint16_t word = swaps_bytes(order) ? swap_bytes(registers[i]) : registers[i];
        raw |= static_cast<std::uint64_t>(word) << (16U * from_low);
    }
    return raw;
}

inline constexpr std::uint32_t quiet_nan_bits = 0x7FC00000U;

/// The raw pattern that means "no measurement". A measurement of this type never has this pattern.
constexpr std::uint64_t not_available(config::WordType type) {
    switch (type) {
        case config::WordType::u16:
            return 0xFFFFU;
        case config::WordType::s16:
            return 0x8000U;
        case config::WordType::u32:
            return 0xFFFFFFFFU;
        case config::WordType::s32:
            return 0x80000000U;
        case config::WordType::u64:
            return ~std::uint64_t{0};
        case config::WordType::f32:
            return quiet_nan_bits;
        case config::WordType::bit:
            break;
    }
    return 0;
}

/// The range of an integer type without "not available", extended by half a count at each end. A number
/// within this range rounds to a value of the type.
struct RawRange {
    double low = 0, high = 0;
    std::uint64_t otherwise = 0;  ///< the raw pattern of every other number
    std::uint64_t mask = 0;       ///< of the type's bits
};

constexpr RawRange range_of(config::WordType type) {
    switch (type) {
        case config::WordType::u16:
            return {-0.5, 65534.5, not_available(type), 0xFFFFU};
        case config::WordType::s16:
            return {-32767.5, 32767.5, not_available(type), 0xFFFFU};
        case config::WordType::u32:
            return {-0.5, 4294967294.5, not_available(type), 0xFFFFFFFFU};
        case config::WordType::s32:
            return {-2147483647.5, 2147483647.5, not_available(type), 0xFFFFFFFFU};
        case config::WordType::u64:
            return {-0.5, 9007199254740992.0, not_available(type), ~std::uint64_t{0}};
        case config::WordType::bit:
        case config::WordType::f32:
            break;
    }
    return {-0.5, 1.5, 0, 1};
}

/// The raw integer nearest to `number`. A number out of range, or a NaN, becomes "not available".
constexpr std::uint64_t raw_integer(double number, const RawRange& range) {
    if (!(number > range.low && number < range.high)) return range.otherwise;
    const auto rounded = static_cast<std::int64_t>(number < 0 ? number - 0.5 : number + 0.5);
    return static_cast<std::uint64_t>(rounded) & range.mask;
}

/// The raw bits of `number` (already scaled to the register's own unit), rounded to the nearest. A number out
/// of range, or a NaN, becomes "not available", never a neighbouring value.
constexpr std::uint64_t raw_of(double number, config::WordType type) {
    if (type != config::WordType::f32) return raw_integer(number, range_of(type));
    const auto single = static_cast<float>(number);
    return single == single ? std::bit_cast<std::uint32_t>(single) : quiet_nan_bits;
}

/// A decoded raw value; `known` is false for "not available" patterns, NaN and infinity.
struct Number {
    double value = 0;
    bool known = false;
};

constexpr Number number_of(std::uint64_t raw, config::WordType type) {
    if (type == config::WordType::f32) {
        const auto bits = static_cast<std::uint32_t>(raw);
        if ((bits & 0x7F800000U) == 0x7F800000U) return {};
        return {static_cast<double>(std::bit_cast<float>(bits)), true};
    }
    if (type != config::WordType::bit && raw == not_available(type)) return {};
    switch (type) {
        case config::WordType::s16:
            return {static_cast<double>(static_cast<std::int16_t>(raw)), true};
        case config::WordType::s32:
            return {static_cast<double>(static_cast<std::int32_t>(raw)), true};
        default:
            return {static_cast<double>(raw), true};
    }
}

}  // namespace freshet::modbus
