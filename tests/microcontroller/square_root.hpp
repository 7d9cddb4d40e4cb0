// The square root of a double by whole numbers only, for a processor without double arithmetic.
// One reason to change: how the root is found.
//
// IEEE 754 (2019, clause 5.4.1) requires the double that is nearest to the true root, so there is one right
// answer. The tape maker compares this root with the host's root before it writes a tape.
#pragma once

#include <bit>
#include <cstdint>

namespace freshet::microcontroller {

/// The double nearest to the root of `value`. A tie is impossible. NaN below zero.
constexpr double square_root(double value) {
    constexpr int mantissa_bits = 52;
    constexpr std::uint64_t hidden = std::uint64_t{1} << mantissa_bits;
    constexpr int bias = 1023;
    constexpr std::uint64_t exponents = 0x7FF;
    const auto bits = std::bit_cast<std::uint64_t>(value);
    if (bits << 1U == 0) return value;  // plus zero and minus zero
    if (bits >> 63U != 0) return std::bit_cast<double>(std::uint64_t{0x7FF8'0000'0000'0000U});
    if (bits >> mantissa_bits == exponents) return value;  // infinity or NaN
    int exponent = static_cast<int>(bits >> mantissa_bits);
    std::uint64_t mantissa = bits & (hidden - 1);
    if (exponent == 0) {
        const int shift = std::countl_zero(mantissa) - (63 - mantissa_bits);
        mantissa <<= static_cast<unsigned>(shift);
        exponent = 1 - shift;
    } else {
        mantissa |= hidden;
    }
    exponent -= bias;
    if (exponent % 2 != 0) {
        mantissa <<= 1U;
        --exponent;
    }
    // Bit by bit: `root` is the greatest number with root^2 <= mantissa * 2^54. Each step doubles the
    // remainder.
    std::uint64_t rest = mantissa << 1U;
    std::uint64_t root = 0;
    std::uint64_t twice = 0;
    for (std::uint64_t bit = hidden << 1U; bit != 0; bit >>= 1U) {
        const std::uint64_t trial = twice + bit;
        if (trial <= rest) {
            twice = trial + bit;
            rest -= trial;
            root += bit;
        }
        rest <<= 1U;
    }
    // The loop found one bit more than a mantissa has. The remainder shows whether the true root is above
    // this value.
    if (rest != 0) root += root & 1U;
    root >>= 1U;
    return std::bit_cast<double>((static_cast<std::uint64_t>(exponent / 2 + bias - 1) << mantissa_bits) +
                                 root);
}

}  // namespace freshet::microcontroller
