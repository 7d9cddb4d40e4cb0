// Repeats a tape on the microcontroller with the same settings and the same inputs, and compares the advice
// of each scan with the host's advice. One reason to change: the parts that are repeated, or the figures that
// are measured.
//
// Exit codes: 0 the advice of every scan equals the host's, 1 some advice differs, 2 the tape cannot be read,
// 3 failure.
#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>

#include "controller/core/controller.hpp"
#include "tests/microcontroller/board.hpp"
#include "tests/microcontroller/tape.hpp"

namespace freshet::microcontroller {
namespace {

constexpr std::size_t scans_max = 36'000;  // scans of one part: an hour

/// Figures of one part of the tape.
struct Part {
    std::array<char, name_max + 1> name{};
    std::size_t scans = 0, different = 0;
    std::size_t first_different = 0, worst_at = 0;  ///< scans count from one
    std::uint64_t making = 0;                       ///< instructions
    std::uint32_t worst = 0;                        ///< instructions
    std::array<std::uint32_t, scans_max> instructions{};
};

// All data of the player outside the stack.
alignas(core::Controller) std::array<std::byte, sizeof(core::Controller)> controller_place;
core::Settings settings;
core::Inputs inputs;
Words words;
Part part;
std::array<std::uint8_t, 32768> buffer;
std::size_t buffered = 0, taken = 0;
const void* stack_top = nullptr;
std::int32_t tape = -1;

/// The next byte of the tape.
std::uint8_t take() {
    if (taken == buffered) {
        buffered = board::read(tape, buffer.data(), buffer.size());
        taken = 0;
        if (buffered == 0) {
            board::say("the tape ends too early\n");
            board::leave(board::Exit::bad_input);
        }
    }
    return buffer[taken++];
}

void take_words() {
    if (take_changes(take, words)) return;
    board::say("the tape holds a change outside of its words\n");
    board::leave(board::Exit::bad_input);
}

/// The stack of the core begins at the place where the player calls the core.
void note_stack_top(const void* here) {
    if (here > stack_top) stack_top = here;
}

__attribute__((noinline)) core::Controller& make_controller() {
    const board::Clock before = board::now();
    auto* const place = reinterpret_cast<core::Controller*>(controller_place.data());
    core::Controller* const made = std::construct_at(place, settings);
    part.making = board::instructions_since(before);
    note_stack_top(__builtin_frame_address(0));
    return *made;
}

__attribute__((noinline)) std::uint64_t scan(core::Controller& controller) {
    const board::Clock before = board::now();
    const core::Advice& advice = controller.scan(inputs);
    const auto spent = static_cast<std::uint32_t>(board::instructions_since(before));
    if (part.scans < scans_max) part.instructions[part.scans] = spent;
    ++part.scans;
    if (spent > part.worst) {
        part.worst = spent;
        part.worst_at = part.scans;
    }
    note_stack_top(__builtin_frame_address(0));
    return digest_of(advice);
}

core::Controller& begin_part() {
    part.scans = part.different = part.first_different = part.worst = part.worst_at = 0;
    const auto letters = static_cast<std::size_t>(take_number(take));
    for (std::size_t i = 0; i < letters; ++i) {
        const auto letter = static_cast<char>(take());
        if (i < name_max) part.name[i] = letter;
    }
    part.name[letters < name_max ? letters : name_max] = 0;
    words = {};
    take_words();
    settings = {};
    Scatter scatter{words};
    fields_of(scatter, settings);
    words = {};
    return make_controller();
}

void repeat_scan(core::Controller& controller) {
    take_words();
    Scatter scatter{words};
    fields_of(scatter, inputs);
    const std::uint64_t own = scan(controller);
    if (own == take_digest(take)) return;
    if (++part.different == 1) part.first_different = part.scans;
}

void say_all(const auto&... pieces) {
    (board::say(pieces), ...);
}

void tell_part() {
    if (part.scans == 0) return;
    const std::size_t counted = part.scans < scans_max ? part.scans : scans_max;
    const auto begin = part.instructions.begin();
    const auto middle = begin + static_cast<std::ptrdiff_t>(counted / 2);
    std::partial_sort(begin, middle + 1, begin + static_cast<std::ptrdiff_t>(counted));
    say_all(part.name.data(), ": scans ", part.scans, ", different ", part.different, "\n");
    if (part.different != 0) say_all("  the first different scan is scan ", part.first_different, "\n");
    say_all("  instructions a scan: median ", *middle, ", worst ", part.worst, " (scan ", part.worst_at,
            "); making the controller ", part.making, "\n");
}

void tell_memory() {
    const board::Flash flash = board::flash_used();
    say_all("flash: ", flash.core + flash.arithmetic + flash.functions, " bytes: core ", flash.core,
            ", double arithmetic ", flash.arithmetic, ", square root and memory ", flash.functions, "\n");
    const std::size_t stack_bytes = board::deepest_stack_below(stack_top);
    say_all("RAM: ", sizeof(core::Controller) + sizeof(core::Inputs) + stack_bytes, " bytes: controller ",
            sizeof(core::Controller), ", inputs ", sizeof(core::Inputs), ", deepest stack ", stack_bytes,
            "\n");
}

}  // namespace

void play_tape() {
    const char* const name = board::argument();
    tape = name == nullptr ? -1 : board::open(name);
    if (tape < 0) {
        board::say("the tape cannot be opened\n");
        board::leave(board::Exit::bad_input);
    }
    std::size_t scans = 0, different = 0;
    core::Controller* controller = nullptr;
    for (;;) {
        const auto record = static_cast<Record>(take());
        if (record == Record::scan && controller != nullptr) {
            repeat_scan(*controller);
            continue;
        }
        if (controller != nullptr) {
            tell_part();
            scans += part.scans;
            different += part.different;
        }
        if (record == Record::end) break;
        if (record != Record::part) {
            board::say("the tape holds an unknown record\n");
            board::leave(board::Exit::bad_input);
        }
        controller = &begin_part();
    }
    tell_memory();
    say_all("scans ", scans, ", different ", different, "\n");
    if (board::stack_overflowed()) {
        board::say("the stack has reached the end of its memory\n");
        board::leave(board::Exit::failure);
    }
    board::leave(different == 0 && scans > 0 ? board::Exit::good : board::Exit::finding);
}

}  // namespace freshet::microcontroller

extern "C" void play() {
    freshet::microcontroller::play_tape();
}
