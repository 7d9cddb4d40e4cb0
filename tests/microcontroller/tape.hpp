// The tape between the host, which records scans, and the microcontroller, which repeats them.
// One reason to change: how a scan is written down.
//
// A tape is a sequence of records of bytes. The first byte of a record is its kind.
//   part   the length of its name, the name, and the changes of the settings' words from zero
//   scan   the changes of the inputs' words from the previous scan, and eight bytes of the advice's digest
//   end
// A number is written in groups of seven bits, lowest group first. The eighth bit is set in every group but
// the last.
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <type_traits>

#include "tests/microcontroller/fields.hpp"

namespace freshet::microcontroller {

enum class Record : std::uint8_t { end, part, scan };

inline constexpr std::size_t words_max = 512;
inline constexpr std::size_t name_max = 80;

/// The fields of a structure as words of 64 bits: a number by its value, a double by its bits.
struct Words {
    std::array<std::uint64_t, words_max> at{};
    std::size_t count = 0;
};

template <class Field>
constexpr std::uint64_t word_of(const Field& field) {
    if constexpr (std::is_same_v<Field, double>)
        return std::bit_cast<std::uint64_t>(field);
    else
        return static_cast<std::uint64_t>(static_cast<std::int64_t>(field));
}

/// Puts fields into words.
struct Gather {
    Words& words;
    template <class Field>
    void word(const Field& field) {
        words.at[words.count++] = word_of(field);
    }
};

/// Sets fields from words.
struct Scatter {
    const Words& words;
    std::size_t next = 0;
    template <class Field>
    void word(Field& field) {
        const std::uint64_t word = words.at[next++];
        if constexpr (std::is_same_v<Field, double>)
            field = std::bit_cast<double>(word);
        else
            field = static_cast<Field>(static_cast<std::int64_t>(word));
    }
};

/// A number that distinguishes the advice of two scans. Every NaN counts as the same value, because IEEE 754
/// does not fix the sign and the payload of a NaN.
struct Digest {
    std::uint64_t value = 0;
    template <class Field>
    void word(const Field& field) {
        std::uint64_t word = word_of(field);
        if constexpr (std::is_same_v<Field, double>)
            if (field != field) word = 0x7FF8'0000'0000'0000U;
        value = (std::rotl(value, 5) ^ word) * 0x100'0000'01B3U;
    }
};

inline std::uint64_t digest_of(const core::Advice& advice) {
    Digest digest;
    fields_of(digest, advice);
    return digest.value;
}

/// `put(byte)` takes a byte, and `take()` returns a byte.
void put_number(auto&& put, std::uint64_t number) {
    constexpr std::uint64_t more = 0x80;
    while (number >= more) {
        put(static_cast<std::uint8_t>(number | more));
        number >>= 7U;
    }
    put(static_cast<std::uint8_t>(number));
}
std::uint64_t take_number(auto&& take) {
    std::uint64_t number = 0;
    for (unsigned place = 0; place < 64; place += 7) {
        const std::uint64_t group = take();
        number |= (group & 0x7FU) << place;
        if (group < 0x80) break;
    }
    return number;
}

/// Writes the differences between the words and `before`. A change begins with twice the distance from the
/// last changed word. One is added when the word rises by the same amount as the last changed word. Otherwise
/// the rise follows. Zero ends the changes.
void put_changes(auto&& put, const Words& before, const Words& now) {
    std::size_t from = 0;
    std::uint64_t last_rise = 0;
    for (std::size_t i = 0; i < now.count; ++i) {
        const std::uint64_t rise = now.at[i] - before.at[i];
        if (rise == 0) continue;
        const bool same = rise == last_rise;
        put_number(put, 2 * (i + 1 - from) + (same ? 1 : 0));
        // A small fall becomes a small number, as a small rise does.
        if (!same) put_number(put, (rise << 1U) ^ (0U - (rise >> 63U)));
        from = i + 1;
        last_rise = rise;
    }
    put_number(put, 0);
}
/// Applies these changes. False when a change is outside the words.
bool take_changes(auto&& take, Words& words) {
    std::size_t from = 0;
    std::uint64_t rise = 0;
    for (;;) {
        const std::uint64_t head = take_number(take);
        if (head == 0) return true;
        from += static_cast<std::size_t>(head / 2);
        if (from == 0 || from > words_max) return false;
        if (head % 2 == 0) {
            const std::uint64_t folded = take_number(take);
            rise = (folded >> 1U) ^ (0U - (folded & 1U));
        }
        words.at[from - 1] += rise;
    }
}

void put_digest(auto&& put, std::uint64_t digest) {
    for (unsigned place = 0; place < 64; place += 8) put(static_cast<std::uint8_t>(digest >> place));
}
std::uint64_t take_digest(auto&& take) {
    std::uint64_t digest = 0;
    for (unsigned place = 0; place < 64; place += 8) digest |= std::uint64_t{take()} << place;
    return digest;
}

}  // namespace freshet::microcontroller
