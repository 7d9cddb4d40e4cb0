// The services of the board for the player: text, files and the exit by semihosting, a count of instructions,
// the depth of the stack. One reason to change: another board or another way to reach the host.
//
// The board is the Arm MPS2 with the image AN386 (Cortex-M4F) as qemu-system-arm models it. Sources: Arm,
// Application Note AN386, memory map; Arm, "Semihosting for AArch32 and AArch64", 2.0.
#pragma once

#include <cstddef>
#include <cstdint>

namespace freshet::board {

/// The exit codes of every program of the house.
enum class Exit : std::uint32_t { good = 0, finding = 1, bad_input = 2, failure = 3 };
[[noreturn]] void leave(Exit code);

void say(const char* text);
void say(std::uint64_t number);

/// The first word of the command line, or null when there is no word.
const char* argument();
/// A file, read from its beginning. `open` returns a negative handle when the file is missing. `read` returns
/// the number of bytes, which is smaller at the end of the file.
std::int32_t open(const char* name);
std::size_t read(std::int32_t handle, std::uint8_t* into, std::size_t bytes);

/// Counts of the two timers. Both count down: the fine timer by 25 million a second, the coarse timer by a
/// 256th of this rate. Under `-icount shift=6` an instruction takes 64 ns of the board's time, which is 1.6
/// fine counts. Therefore the difference of two counts gives the number of instructions to within one.
struct Clock {
    std::uint32_t fine = 0, coarse = 0;
};
Clock now();
/// Instructions since `then`, without the instructions of the reading itself. The number is right to within
/// one below two thousand million, and to within 160 above.
std::uint64_t instructions_since(const Clock& then);

/// Bytes of stack below `mark` that were used since the start.
std::size_t deepest_stack_below(const void* mark);
/// Whether the stack has reached the end of its memory.
bool stack_overflowed();

/// Bytes of flash, from the linker script.
struct Flash {
    std::size_t core = 0;        ///< code and constants of the core
    std::size_t arithmetic = 0;  ///< of the compiler's library: double arithmetic and 64-bit division
    std::size_t functions = 0;   ///< square root, copying and clearing of memory
};
Flash flash_used();

}  // namespace freshet::board
