// Numbers in registers: golden bytes of the four orders, and the patterns that are never a measurement.
// One reason to change: a way of writing numbers.
#include "hal/modbus/word_codec.hpp"

#include <array>
#include <cmath>
#include <limits>
#include <random>

#include <gtest/gtest.h>

namespace freshet::modbus {
namespace {

using config::WordOrder;
using config::WordType;
using Words2 = std::array<std::uint16_t, 2>;
using Words4 = std::array<std::uint16_t, 4>;

constexpr std::array all_orders = {WordOrder::abcd, WordOrder::cdab, WordOrder::badc, WordOrder::dcba};

template <std::size_t Count>
std::array<std::uint16_t, Count> put(std::uint64_t raw, WordOrder order) {
    std::array<std::uint16_t, Count> words{};
    put_words(raw, Count, order, words.data());
    return words;
}

// IEEE 754 single 123456.0 is 0x47F12000: 123456 = 1.8837890625 * 2^16, exponent 127 + 16, fraction 0x712000.
TEST(WordCodec, writes_the_float_123456_in_the_golden_bytes_of_each_order) {
    const std::uint64_t raw = raw_of(123456.0, WordType::f32);

    EXPECT_EQ(put<2>(raw, WordOrder::abcd), (Words2{0x47F1, 0x2000}));
    EXPECT_EQ(put<2>(raw, WordOrder::cdab), (Words2{0x2000, 0x47F1}));
    EXPECT_EQ(put<2>(raw, WordOrder::badc), (Words2{0xF147, 0x0020}));
    EXPECT_EQ(put<2>(raw, WordOrder::dcba), (Words2{0x0020, 0xF147}));
}

TEST(WordCodec, writes_the_integer_0x01020304_in_the_golden_bytes_of_each_order) {
    const std::uint64_t raw = raw_of(0x01020304, WordType::u32);

    EXPECT_EQ(put<2>(raw, WordOrder::abcd), (Words2{0x0102, 0x0304}));
    EXPECT_EQ(put<2>(raw, WordOrder::cdab), (Words2{0x0304, 0x0102}));
    EXPECT_EQ(put<2>(raw, WordOrder::badc), (Words2{0x0201, 0x0403}));
    EXPECT_EQ(put<2>(raw, WordOrder::dcba), (Words2{0x0403, 0x0201}));
}

TEST(WordCodec, writes_64_bits_in_the_golden_bytes_of_each_order) {
    const std::uint64_t raw = 0x0102030405060708;

    EXPECT_EQ(put<4>(raw, WordOrder::abcd), (Words4{0x0102, 0x0304, 0x0506, 0x0708}));
    EXPECT_EQ(put<4>(raw, WordOrder::cdab), (Words4{0x0708, 0x0506, 0x0304, 0x0102}));
    EXPECT_EQ(put<4>(raw, WordOrder::badc), (Words4{0x0201, 0x0403, 0x0605, 0x0807}));
    EXPECT_EQ(put<4>(raw, WordOrder::dcba), (Words4{0x0807, 0x0605, 0x0403, 0x0201}));
}

TEST(WordCodec, writes_a_single_register_high_byte_first_unless_the_order_swaps_bytes) {
    EXPECT_EQ(put<1>(0x0A0B, WordOrder::abcd)[0], 0x0A0B);
    EXPECT_EQ(put<1>(0x0A0B, WordOrder::cdab)[0], 0x0A0B);
    EXPECT_EQ(put<1>(0x0A0B, WordOrder::badc)[0], 0x0B0A);
    EXPECT_EQ(put<1>(0x0A0B, WordOrder::dcba)[0], 0x0B0A);
}

TEST(WordCodec, reads_back_what_it_wrote_in_every_order_and_width) {
    std::mt19937_64 random(20251124);
    for (int round = 0; round < 1000; ++round) {
        const std::uint64_t raw = random();
        for (const WordOrder order : all_orders) {
            std::array<std::uint16_t, 4> words{};
            put_words(raw, 4, order, words.data());
            ASSERT_EQ(get_words(words.data(), 4, order), raw);
            put_words(raw, 2, order, words.data());
            ASSERT_EQ(get_words(words.data(), 2, order), raw & 0xFFFFFFFF);
            put_words(raw, 1, order, words.data());
            ASSERT_EQ(get_words(words.data(), 1, order), raw & 0xFFFF);
        }
    }
}

TEST(WordCodec, carries_signed_numbers_in_twos_complement) {
    EXPECT_EQ(raw_of(-1, WordType::s16), 0xFFFFU);
    EXPECT_EQ(raw_of(-32767, WordType::s16), 0x8001U);
    EXPECT_EQ(number_of(0xFFFF, WordType::s16).value, -1);
    EXPECT_EQ(raw_of(-2, WordType::s32), 0xFFFFFFFEU);
    EXPECT_EQ(number_of(0xFFFFFFFE, WordType::s32).value, -2);
}

TEST(WordCodec, rounds_to_the_nearest_count) {
    EXPECT_EQ(raw_of(4.4, WordType::u16), 4U);
    EXPECT_EQ(raw_of(4.6, WordType::u16), 5U);
    EXPECT_EQ(raw_of(-4.6, WordType::s16), 0xFFFBU);
}

TEST(WordCodec, writes_a_number_that_does_not_fit_as_not_available_and_not_as_a_neighbour) {
    EXPECT_EQ(raw_of(65535, WordType::u16), not_available(WordType::u16));
    EXPECT_EQ(raw_of(-1, WordType::u16), not_available(WordType::u16));
    EXPECT_EQ(raw_of(-32768, WordType::s16), not_available(WordType::s16));
    EXPECT_EQ(raw_of(40000, WordType::s16), not_available(WordType::s16));
    EXPECT_EQ(raw_of(5e9, WordType::u32), not_available(WordType::u32));
    EXPECT_EQ(raw_of(-3e9, WordType::s32), not_available(WordType::s32));
    EXPECT_EQ(raw_of(1e30, WordType::u64), not_available(WordType::u64));
}

TEST(WordCodec, writes_not_a_number_as_not_available_in_every_type) {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    for (const WordType type :
         {WordType::u16, WordType::s16, WordType::u32, WordType::s32, WordType::u64, WordType::f32}) {
        EXPECT_EQ(raw_of(nan, type), not_available(type));
    }
}

TEST(WordCodec, never_reads_a_not_available_pattern_as_a_measurement) {
    for (const WordType type :
         {WordType::u16, WordType::s16, WordType::u32, WordType::s32, WordType::u64, WordType::f32}) {
        EXPECT_FALSE(number_of(not_available(type), type).known);
    }
}

TEST(WordCodec, never_reads_a_float_that_is_not_a_number_as_a_measurement) {
    EXPECT_FALSE(number_of(0x7F800000, WordType::f32).known) << "infinity";
    EXPECT_FALSE(number_of(0xFF800000, WordType::f32).known) << "minus infinity";
    EXPECT_FALSE(number_of(0xFFC00001, WordType::f32).known) << "another NaN";
    EXPECT_TRUE(number_of(0x7F7FFFFF, WordType::f32).known) << "the largest number";
}

}  // namespace
}  // namespace freshet::modbus
