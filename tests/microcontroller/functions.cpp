// The functions of a C library that the core needs: the square root, copying and clearing of memory.
// One reason to change: a further function that the core needs.
#include <cstddef>
#include <cstdint>

#include "tests/microcontroller/square_root.hpp"

namespace {

using Word __attribute__((may_alias)) = std::uint32_t;
constexpr std::size_t step = sizeof(Word);

bool aligned(const void* one, const void* other) {
    return ((reinterpret_cast<std::uintptr_t>(one) | reinterpret_cast<std::uintptr_t>(other)) % step) == 0;
}

}  // namespace

extern "C" {

double sqrt(double value) {
    return freshet::microcontroller::square_root(value);
}

void* memcpy(void* __restrict to, const void* __restrict from, std::size_t bytes) {
    auto* out = static_cast<unsigned char*>(to);
    const auto* in = static_cast<const unsigned char*>(from);
    if (aligned(to, from)) {
        for (; bytes >= step; bytes -= step, out += step, in += step)
            *reinterpret_cast<Word*>(out) = *reinterpret_cast<const Word*>(in);
    }
    for (; bytes > 0; --bytes) *out++ = *in++;
    return to;
}

void* memset(void* to, int value, std::size_t bytes) {
    auto* out = static_cast<unsigned char*>(to);
    const auto byte = static_cast<unsigned char>(value);
    if (aligned(to, to)) {
        const Word word = byte * 0x0101'0101U;
        for (; bytes >= step; bytes -= step, out += step) *reinterpret_cast<Word*>(out) = word;
    }
    for (; bytes > 0; --bytes) *out++ = byte;
    return to;
}

}  // extern "C"
