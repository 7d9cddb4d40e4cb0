// Writes the live line.
// One reason to change: see the header.
#include "sim_plant/process/live_line.hpp"

#include <algorithm>
#include <cstdio>

#include <fmt/format.h>
#include <unistd.h>

#include "controller/words/instant.hpp"
#include "controller/words/states.hpp"

namespace freshet::plant_process {
namespace {

using Clock = std::chrono::steady_clock;

std::string next_text(const modbus::AdviceRead& read, modbus::Validity validity) {
    switch (validity) {
        case modbus::Validity::none_yet:
            return "no advice yet";
        case modbus::Validity::expired:
            return "advice is void";
        case modbus::Validity::torn:
        case modbus::Validity::valid:
            break;
    }
    std::string text(words::entry_of(words::intentions, read.next.intention).text);
    if (read.next.pump != core::no_pump) text += fmt::format(" pump {}", read.next.pump + 1);
    if (read.next.intention != core::Intention::none && read.next.countdown_ms >= 0) {
        text += fmt::format(" in {} s", (read.next.countdown_ms + 999) / 1000);
    }
    return text;
}

/// The quality of the measured value and its cause. Empty when the value is good.
std::string doubt_text(const modbus::AdviceRead& read, modbus::Validity validity) {
    if (validity != modbus::Validity::valid || read.measured_quality == core::Quality::good) return {};
    return fmt::format(" (measured value {}, {})", words::word(read.measured_quality).text,
                       words::word(read.measured_cause).text);
}

}  // namespace

std::string live_text(const plant::Plant& plant, std::size_t pump_count, const modbus::AdviceRead& read,
                      modbus::Validity validity) {
    const plant::PowerTrainState& electrical = plant.electrical();
    std::string on_drive = "-";
    std::string on_line;
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        const plant::MotorState& motor = electrical.motors[pump];
        if (motor.line_side_closed) on_line += fmt::format("{}{}", on_line.empty() ? "" : ",", pump + 1);
        if (motor.drive_side_closed && electrical.drive_running) {
            on_drive = fmt::format("{} at {:.1f} Hz", pump + 1, electrical.drive_frequency_hz);
        }
    }
    std::string time = words::instant(plant.time_ms());
    time = time.substr(0, 19) + "Z";
    return fmt::format("{}  level {:.2f} m{}  inflow {:.3f} m3/s  drive {}  line {}  next: {}", time,
                       plant.held_m(), doubt_text(read, validity), plant.inflow_m3s(), on_drive,
                       on_line.empty() ? "-" : on_line, next_text(read, validity));
}

LiveLine::LiveLine(bool enabled) : enabled_(enabled), in_place_(isatty(STDERR_FILENO) == 1) {}

bool LiveLine::due() {
    // A call of the clock at every step would cost more than the step.
    constexpr unsigned every = 16;
    if (!enabled_ || (asked_++ % every) != 0) return false;
    const auto now = Clock::now();
    if (now < next_) return false;
    next_ = now + (in_place_ ? std::chrono::milliseconds(200) : std::chrono::milliseconds(2000));
    return true;
}

void LiveLine::show(const std::string& text) {
    if (in_place_) {
        const std::size_t blanks = last_length_ > text.size() ? last_length_ - text.size() : 0;
        fmt::print(stderr, "\r{}{:{}}", text, "", blanks);
    } else {
        fmt::print(stderr, "{}\n", text);
    }
    (void)std::fflush(stderr);
    last_length_ = text.size();
}

void LiveLine::end() {
    if (in_place_ && last_length_ != 0) fmt::print(stderr, "\n");
    last_length_ = 0;
}

}  // namespace freshet::plant_process
