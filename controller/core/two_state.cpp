// Condensing two-state signals; see the header.
#include "controller/core/two_state.hpp"

#include <bit>
#include <cstddef>
#include <type_traits>

namespace freshet::core {

namespace {

/// Condenses a signal to two bits.
struct Condenser {
    std::int32_t stale_ms;  ///< a reading of a greater age is not known

    std::uint32_t code(bool on, Quality quality, std::int32_t age_ms) const noexcept {
        if (quality == Quality::bad || age_ms > stale_ms) return 0;
        return on ? 3U : 1U;
    }
    std::uint32_t code(const Digital& signal) const noexcept {
        return code(signal.on, signal.quality, signal.age_ms);
    }
};

template <class Signal>
std::uint32_t at(Signal signal, std::uint32_t code) noexcept {
    return code << 2U * static_cast<unsigned>(signal);
}

std::uint64_t word_of(const PumpInputs& pump, const Condenser& condenser) noexcept {
    using enum PumpSignal;
    const bool is_automatic = pump.selector.position == Selector::automatic;
    const bool is_hand = pump.selector.position == Selector::hand;
    const bool trip_is_fitted = pump.tripped.cause != Cause::not_fitted;
    return std::uint64_t{
        at(drive_side_closed, condenser.code(pump.drive_side_closed)) |
        at(line_side_closed, condenser.code(pump.line_side_closed)) |
        at(tripped, condenser.code(pump.tripped)) | at(seal_leak, condenser.code(pump.seal_leak)) |
        at(selector_automatic, condenser.code(is_automatic, pump.selector.quality, pump.selector.age_ms)) |
        at(selector_hand, condenser.code(is_hand, pump.selector.quality, pump.selector.age_ms)) |
        at(trip_fitted, trip_is_fitted ? 3U : 1U)};
}

TwoStateWords words_of(const Inputs& inputs, std::size_t pump_count, const Condenser& condenser) noexcept {
    using enum StationSignal;
    TwoStateWords words;
    words.station = at(output_closed, condenser.code(inputs.drive.output_closed)) |
                    at(drive_running, condenser.code(inputs.drive.running)) |
                    at(drive_tripped, condenser.code(inputs.drive.tripped)) |
                    at(drive_ready, condenser.code(inputs.drive.ready)) |
                    at(in_sync, condenser.code(inputs.drive.in_sync)) |
                    at(on_generator, condenser.code(inputs.line.on_generator)) |
                    at(emergency_stop, condenser.code(inputs.emergency_stop)) |
                    at(high_float, condenser.code(inputs.high_float)) |
                    at(low_float, condenser.code(inputs.low_float)) |
                    at(emergency_stop_reset, condenser.code(inputs.emergency_stop_reset));
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        std::uint64_t& word = pump < 4 ? words.pumps_1_to_4 : words.pumps_5_to_8;
        word |= word_of(inputs.pumps[pump], condenser) << 16U * (pump % 4);
    }
    return words;
}

/// A reading as one word.
template <class Reading>
std::uint64_t key_of(const Reading& reading) noexcept {
    static_assert(std::has_unique_object_representations_v<Reading>, "an unused byte would have any value");
    return std::bit_cast<std::uint64_t>(reading);
}

TwoStateKeys::OfPump keys_of(const PumpInputs& pump) noexcept {
    return {key_of(pump.drive_side_closed), key_of(pump.line_side_closed), key_of(pump.tripped),
            key_of(pump.seal_leak), key_of(pump.selector)};
}

TwoStateKeys::OfStation keys_of(const Inputs& inputs) noexcept {
    const DriveInputs& drive = inputs.drive;
    return {key_of(drive.output_closed),   key_of(drive.running),
            key_of(drive.tripped),         key_of(drive.ready),
            key_of(drive.in_sync),         key_of(inputs.line.on_generator),
            key_of(inputs.emergency_stop), key_of(inputs.high_float),
            key_of(inputs.low_float),      key_of(inputs.emergency_stop_reset)};
}

/// The bits that differ, of all keys together.
template <std::size_t Count>
std::uint64_t difference(const std::array<std::uint64_t, Count>& before,
                         const std::array<std::uint64_t, Count>& now) noexcept {
    std::uint64_t bits = 0;
    for (std::size_t i = 0; i < Count; ++i) bits |= before[i] ^ now[i];
    return bits;
}

}  // namespace

bool TwoStateReader::differ(const Inputs& inputs, std::size_t pump_count) const noexcept {
    std::uint64_t changes = difference(keys_.station, keys_of(inputs));
    for (std::size_t pump = 0; pump < pump_count; ++pump)
        changes |= difference(keys_.pumps[pump], keys_of(inputs.pumps[pump]));
    return changes != 0;
}

bool TwoStateReader::renew(const Inputs& inputs, const Settings& settings) noexcept {
    keys_.station = keys_of(inputs);
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        keys_.pumps[pump] = keys_of(inputs.pumps[pump]);
    const TwoStateWords now = words_of(inputs, settings.pump_count, {settings.signal.stale_ms});
    const bool changed = !(now == words_);
    words_ = now;
    return changed;
}

}  // namespace freshet::core
