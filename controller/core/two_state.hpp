// Every two-state signal and selector of a scan, condensed to two bits each: known, and on.
// One reason to change: a two-state signal that the picture is made of, or when a reading counts as known.
//
// A scan reads some thirty such signals, which rarely change. The words are cheap to make and to compare, so
// the picture is renewed only when the words differ.
#pragma once

#include <array>
#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// A signal as the controller may use it. A bad or old reading is neither on nor off.
struct Known {
    bool on = false, off = false;
};

/// The two-state signals of one pump.
enum class PumpSignal : std::uint8_t {
    drive_side_closed,
    line_side_closed,
    tripped,
    seal_leak,
    selector_automatic,
    selector_hand,
    trip_fitted,
    count
};
/// The two-state signals of the station.
enum class StationSignal : std::uint8_t {
    output_closed,
    drive_running,
    drive_tripped,
    drive_ready,
    in_sync,
    on_generator,
    emergency_stop,
    high_float,
    low_float,
    emergency_stop_reset,
    count
};

/// The known states of all signals. Each pump has 16 bits, so a word holds four pumps.
struct TwoStateWords {
    std::uint64_t station = 0, pumps_1_to_4 = 0, pumps_5_to_8 = 0;

    Known of(StationSignal signal) const noexcept {
        return known(station >> 2U * static_cast<unsigned>(signal));
    }
    Known of(PumpSignal signal, std::size_t pump) const noexcept {
        const std::uint64_t word = pump < 4 ? pumps_1_to_4 : pumps_5_to_8;
        const std::size_t shift = 16 * (pump % 4) + 2 * static_cast<std::size_t>(signal);
        return known(word >> shift);
    }
    bool operator==(const TwoStateWords&) const = default;

  private:
    static constexpr Known known(std::uint64_t code) noexcept {
        return {(code & 3U) == 3U, (code & 3U) == 1U};
    }
};
static_assert(2 * static_cast<unsigned>(PumpSignal::count) <= 16);
static_assert(2 * static_cast<unsigned>(StationSignal::count) <= 64);
static_assert(pumps_max == 8);

/// Every signal as it was read, with its quality, cause and age in one word. While no key changes, the words
/// do not change.
struct TwoStateKeys {
    using OfStation = std::array<std::uint64_t, static_cast<std::size_t>(StationSignal::count)>;
    using OfPump = std::array<std::uint64_t, 5>;
    /// At first a key that no reading has, so that the first scan gives its words.
    OfStation station{~std::uint64_t{0}};
    std::array<OfPump, pumps_max> pumps{};
};

/// Reads the two-state signals of one scan after another.
class TwoStateReader {
  public:
    /// Reads one scan. Returns true when the words differ from the words of the scan before.
    bool read(const Inputs& inputs, const Settings& settings) noexcept {
        return differ(inputs, settings.pump_count) && renew(inputs, settings);
    }
    const TwoStateWords& words() const noexcept { return words_; }

  private:
    bool differ(const Inputs& inputs, std::size_t pump_count) const noexcept;
    bool renew(const Inputs& inputs, const Settings& settings) noexcept;

    TwoStateKeys keys_;
    TwoStateWords words_;
};

}  // namespace freshet::core
