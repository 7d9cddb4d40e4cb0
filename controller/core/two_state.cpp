// Condensing two-state signals; see the header.
#include "controller/core/two_state.hpp"

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <limits>
#include <type_traits>

namespace freshet::core {

namespace {

/// Reads signals, leaves out old readings, and keeps the time of the oldest known reading.
struct SignalAges {
    std::int64_t oldest_ms;  ///< a reading before this is not known
    std::int64_t first_read_ms = std::numeric_limits<std::int64_t>::max();  ///< oldest known reading
    bool any_old = false;  ///< a signal is too old; a new reading of the same state makes it known

    std::uint32_t code(bool on, Quality quality, std::int64_t read_ms) noexcept {
        if (quality == Quality::bad) return 0;
        if (read_ms < oldest_ms) {
            any_old = true;
            return 0;
        }
        first_read_ms = std::min(first_read_ms, read_ms);
        return on ? 3U : 1U;
    }
    std::uint32_t code(const Digital& signal) noexcept {
        return code(signal.on, signal.quality, signal.read_ms);
    }
};

template <class Signal>
std::uint32_t at(Signal signal, std::uint32_t code) noexcept {
    return code << 2U * static_cast<unsigned>(signal);
}

std::uint64_t word_of(const PumpInputs& pump, SignalAges& ages) noexcept {
    using enum PumpSignal;
    const bool is_automatic = pump.selector == Selector::automatic;
    const bool is_hand = pump.selector == Selector::hand;
    const bool trip_is_fitted = pump.tripped.cause != Cause::not_fitted;
    return std::uint64_t{
        at(drive_side_closed, ages.code(pump.drive_side_closed)) |
        at(line_side_closed, ages.code(pump.line_side_closed)) | at(tripped, ages.code(pump.tripped)) |
        at(seal_leak, ages.code(pump.seal_leak)) |
        at(selector_automatic, ages.code(is_automatic, pump.selector_quality, pump.selector_read_ms)) |
        at(selector_hand, ages.code(is_hand, pump.selector_quality, pump.selector_read_ms)) |
        at(trip_fitted, trip_is_fitted ? 3U : 1U)};
}

TwoStateWords words_of(const Inputs& inputs, std::size_t pump_count, SignalAges& ages) noexcept {
    using enum StationSignal;
    TwoStateWords words;
    words.station =
        at(output_closed, ages.code(inputs.drive.output_closed)) |
        at(drive_running, ages.code(inputs.drive.running)) |
        at(drive_tripped, ages.code(inputs.drive.tripped)) | at(drive_ready, ages.code(inputs.drive.ready)) |
        at(in_sync, ages.code(inputs.drive.in_sync)) | at(on_generator, ages.code(inputs.line.on_generator)) |
        at(emergency_stop, ages.code(inputs.emergency_stop)) | at(high_float, ages.code(inputs.high_float)) |
        at(low_float, ages.code(inputs.low_float));
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        std::uint64_t& word = pump < 4 ? words.pumps_1_to_4 : words.pumps_5_to_8;
        word |= word_of(inputs.pumps[pump], ages) << 16U * (pump % 4);
    }
    return words;
}

/// Two neighbouring bytes of a struct, in one load.
template <class Struct>
std::uint16_t two_bytes(const Struct& of, std::size_t offset) noexcept {
    std::uint16_t both = 0;
    std::memcpy(&both, reinterpret_cast<const unsigned char*>(&of) + offset, sizeof both);
    return both;
}
static_assert(std::is_standard_layout_v<Digital> && offsetof(Digital, quality) == offsetof(Digital, on) + 1);
std::uint16_t raw(const Digital& signal) noexcept {
    return two_bytes(signal, offsetof(Digital, on));
}
static_assert(std::is_standard_layout_v<PumpInputs> &&
              offsetof(PumpInputs, selector_quality) == offsetof(PumpInputs, selector) + 1);
std::uint16_t raw_selector(const PumpInputs& pump) noexcept {
    return two_bytes(pump, offsetof(PumpInputs, selector));
}

/// Calls `each` with every kept raw signal and the raw signal of this scan.
template <class Keys, class Each>
void compare(Keys& keys, const Inputs& inputs, std::size_t pump_count, const Each& each) noexcept {
    const DriveInputs& drive = inputs.drive;
    each(keys.station[0], raw(drive.output_closed));
    each(keys.station[1], raw(drive.running));
    each(keys.station[2], raw(drive.tripped));
    each(keys.station[3], raw(drive.ready));
    each(keys.station[4], raw(drive.in_sync));
    each(keys.station[5], raw(inputs.line.on_generator));
    each(keys.station[6], raw(inputs.emergency_stop));
    each(keys.station[7], raw(inputs.high_float));
    each(keys.station[8], raw(inputs.low_float));
    for (std::size_t p = 0; p < pump_count; ++p) {
        const PumpInputs& pump = inputs.pumps[p];
        auto& kept = keys.pumps[p];
        each(kept[0], raw(pump.drive_side_closed));
        each(kept[1], raw(pump.line_side_closed));
        each(kept[2], raw(pump.tripped));
        each(kept[3], raw(pump.seal_leak));
        each(kept[4], static_cast<std::uint16_t>(pump.tripped.cause));
        each(kept[5], raw_selector(pump));
    }
}

}  // namespace

bool TwoStateReader::keys_differ(const Inputs& inputs, std::size_t pump_count) const noexcept {
    unsigned difference = 0;
    compare(keys_, inputs, pump_count, [&difference](std::uint16_t kept, std::uint16_t now) noexcept {
        difference |= static_cast<unsigned>(kept ^ now);
    });
    return difference != 0;
}

bool TwoStateReader::read(const Inputs& inputs, const Settings& settings) noexcept {
    const bool differ = keys_differ(inputs, settings.pump_count);
    if (!differ && inputs.time_ms <= valid_until_ms_) return false;
    if (differ)
        compare(keys_, inputs, settings.pump_count,
                [](std::uint16_t& kept, std::uint16_t now) noexcept { kept = now; });
    SignalAges ages{inputs.time_ms - settings.signal.stale_ms};
    const TwoStateWords now = words_of(inputs, settings.pump_count, ages);
    valid_until_ms_ = ages.any_old || ages.first_read_ms == std::numeric_limits<std::int64_t>::max()
                          ? never_ms
                          : ages.first_read_ms + settings.signal.stale_ms;
    const bool changed = !(now == words_);
    words_ = now;
    return changed;
}

}  // namespace freshet::core
