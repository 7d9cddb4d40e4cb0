// Condensing two-state signals; see the header.
#include "controller/core/two_state.hpp"

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <limits>
#include <type_traits>

namespace freshet::core {

namespace {

/// Reads signals by their age, and keeps when the first of those that are known will be too old.
struct SignalAges {
    std::int64_t oldest_ms;                                                 ///< older readings are not known
    std::int64_t first_read_ms = std::numeric_limits<std::int64_t>::max();  ///< of the known signals
    bool any_old = false;  ///< a signal is not known because of its age: a new reading may say the same

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

/// State and quality of a signal as they lie side by side, in one load.
static_assert(std::is_standard_layout_v<Digital> && offsetof(Digital, quality) == offsetof(Digital, on) + 1);
std::uint16_t raw(const Digital& signal) noexcept {
    std::uint16_t both = 0;
    std::memcpy(&both, reinterpret_cast<const unsigned char*>(&signal) + offsetof(Digital, on), sizeof both);
    return both;
}

/// Replaces a kept raw signal; not zero when it differs. Without a branch, because every scan does this for
/// every signal.
unsigned renew(std::uint16_t& kept, std::uint16_t now) noexcept {
    const auto difference = static_cast<unsigned>(kept ^ now);
    kept = now;
    return difference;
}

}  // namespace

bool TwoStateReader::keys_differ(const Inputs& inputs, std::size_t pump_count) noexcept {
    const DriveInputs& drive = inputs.drive;
    unsigned differ = 0;
    std::size_t i = 0;
    for (const Digital* signal :
         {&drive.output_closed, &drive.running, &drive.tripped, &drive.ready, &drive.in_sync,
          &inputs.line.on_generator, &inputs.emergency_stop, &inputs.high_float, &inputs.low_float})
        differ |= renew(raw_station_[i++], raw(*signal));
    for (std::size_t p = 0; p < pump_count; ++p) {
        const PumpInputs& pump = inputs.pumps[p];
        RawPump& kept = raw_pumps_[p];
        differ |= renew(kept[0], raw(pump.drive_side_closed));
        differ |= renew(kept[1], raw(pump.line_side_closed));
        differ |= renew(kept[2], raw(pump.tripped));
        differ |= renew(kept[3], raw(pump.seal_leak));
        differ |= renew(kept[4], static_cast<std::uint16_t>(pump.tripped.cause));
        differ |=
            renew(kept[5], static_cast<std::uint16_t>(static_cast<unsigned>(pump.selector) |
                                                      static_cast<unsigned>(pump.selector_quality) << 8U));
    }
    return differ != 0;
}

bool TwoStateReader::read(const Inputs& inputs, const Settings& settings) noexcept {
    const bool differ = keys_differ(inputs, settings.pump_count);
    if (!differ && inputs.time_ms <= valid_until_ms_) return false;
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
