// The board; see the header. One reason to change: see there.
#include "tests/microcontroller/board.hpp"

// Places from the linker script. Only their addresses have a meaning.
extern "C" {
extern std::uint32_t stack_low[], stack_top[];
extern std::uint32_t data_from[], data_begin[], data_end[], zero_begin[], zero_end[];
extern std::uint8_t core_begin[], core_end[], arithmetic_begin[], arithmetic_end[], functions_begin[],
    functions_end[];
void play();
[[noreturn]] void reset();
[[noreturn]] void fault_met();
}

namespace freshet::board {
namespace {

enum class Call : std::uint32_t { open = 0x01, write0 = 0x04, read = 0x06, cmdline = 0x15, exit = 0x20 };

std::uint32_t semihost(Call call, const void* block) {
    register std::uint32_t r0 asm("r0") = static_cast<std::uint32_t>(call);
    register const void* r1 asm("r1") = block;
    asm volatile("bkpt 0xAB" : "+r"(r0) : "r"(r1) : "memory");
    return r0;
}
std::uint32_t word_of(const void* place) {
    return reinterpret_cast<std::uint32_t>(place);
}
std::size_t between(const void* from, const void* to) {
    return word_of(to) - word_of(from);
}

constexpr std::uint32_t paint = 0xA5A5'5A5A;
constexpr std::uint32_t instruction_ns = 64;  // of -icount shift=6
constexpr std::uint32_t count_ns = 40;        // of 25 MHz

/// CMSDK APB timer 0: control, value, reload.
volatile std::uint32_t* fine_timer() {
    return reinterpret_cast<volatile std::uint32_t*>(0x4000'0000);
}
/// The first half of the CMSDK APB dual timer: load, value, control.
volatile std::uint32_t* coarse_timer() {
    return reinterpret_cast<volatile std::uint32_t*>(0x4000'2000);
}
constexpr std::uint32_t coarse_counts = 256;  // of the fine timer

void start_timers() {
    fine_timer()[2] = 0xFFFF'FFFF;
    fine_timer()[1] = 0xFFFF'FFFF;
    fine_timer()[0] = 1;
    constexpr std::uint32_t enable = 1U << 7U, prescale_256 = 2U << 2U, bits_32 = 1U << 1U;
    // Below zero the timer continues with its greatest count.
    coarse_timer()[2] = enable | prescale_256 | bits_32;
}

std::uint64_t instructions(std::uint64_t counts) {
    return (counts * count_ns + instruction_ns / 2) / instruction_ns;
}

std::uint32_t reading_costs = 0;  ///< fine counts that a reading of the timers takes

}  // namespace

void leave(Exit code) {
    constexpr std::uint32_t application_exit = 0x20026;
    const std::uint32_t block[]{application_exit, static_cast<std::uint32_t>(code)};
    semihost(Call::exit, block);
    for (;;) {
    }
}

void say(const char* text) {
    semihost(Call::write0, text);
}
void say(std::uint64_t number) {
    char digits[21];
    char* place = digits + sizeof digits - 1;
    *place = 0;
    do {
        *--place = static_cast<char>('0' + number % 10);
        number /= 10;
    } while (number != 0);
    say(place);
}

const char* argument() {
    static char line[256];
    const std::uint32_t block[]{word_of(line), sizeof line};
    std::uint32_t answer[]{block[0], block[1]};
    if (semihost(Call::cmdline, answer) != 0 || line[0] == 0) return nullptr;
    return line;
}
std::int32_t open(const char* name) {
    std::uint32_t length = 0;
    while (name[length] != 0) ++length;
    constexpr std::uint32_t read_binary = 1;
    const std::uint32_t block[]{word_of(name), read_binary, length};
    return static_cast<std::int32_t>(semihost(Call::open, block));
}
std::size_t read(std::int32_t handle, std::uint8_t* into, std::size_t bytes) {
    const std::uint32_t block[]{static_cast<std::uint32_t>(handle), word_of(into), bytes};
    const std::uint32_t missing = semihost(Call::read, block);
    return missing > bytes ? 0 : bytes - missing;
}

Clock now() {
    return {fine_timer()[1], coarse_timer()[1]};
}
std::uint64_t instructions_since(const Clock& then) {
    const Clock ends = now();
    const std::uint64_t coarse = std::uint64_t{std::uint32_t{then.coarse - ends.coarse}} * coarse_counts;
    constexpr std::uint64_t fine_max = std::uint64_t{3} << 30U;
    if (coarse > fine_max) return instructions(coarse);
    return instructions(std::uint32_t{then.fine - ends.fine} - reading_costs);
}

std::size_t deepest_stack_below(const void* mark) {
    const std::uint32_t* word = stack_low;
    while (word < stack_top && *word == paint) ++word;
    return between(word, mark);
}
bool stack_overflowed() {
    return *stack_low != paint;
}

Flash flash_used() {
    return {between(core_begin, core_end), between(arithmetic_begin, arithmetic_end),
            between(functions_begin, functions_end)};
}

/// Fills the memory as the program expects the memory, and starts the program.
[[noreturn]] __attribute__((noinline)) void start() {
    const std::uint32_t* from = data_from;
    for (std::uint32_t* to = data_begin; to < data_end; ++to) *to = *from++;
    for (std::uint32_t* to = zero_begin; to < zero_end; ++to) *to = 0;
    auto* const here = static_cast<std::uint32_t*>(__builtin_frame_address(0));
    constexpr std::ptrdiff_t own_frame = 64;  // words
    for (std::uint32_t* word = stack_low; word < here - own_frame; ++word) *word = paint;
    start_timers();
    const Clock then = now();
    reading_costs = then.fine - now().fine;
    play();
    leave(Exit::good);
}

}  // namespace freshet::board

extern "C" {

void reset() {
    // Coprocessor Access Control Register: full access to the floating-point unit (ARMv7-M, B3.2.20).
    *reinterpret_cast<volatile std::uint32_t*>(0xE000'ED88) = 0xFU << 20U;
    asm volatile("dsb\n\tisb" ::: "memory");
    freshet::board::start();
}
void fault_met() {
    freshet::board::say("the processor stopped with a fault\n");
    freshet::board::leave(freshet::board::Exit::failure);
}

using Handler = void (*)();
/// Vector table: the stack, reset, then the faults.
__attribute__((section(".vectors"), used)) const Handler vectors[]{
    reinterpret_cast<Handler>(stack_top), reset, fault_met, fault_met, fault_met, fault_met, fault_met};
}
