// The faults of a random storm, and the random numbers that choose them.
// One reason to change: a fault of a storm.
#pragma once

#include <cstddef>
#include <cstdint>

#include "tests/doubles/station_double.hpp"

namespace freshet::storms {

/// SplitMix64: small, good enough for tests, and the same on every machine.
class Dice {
  public:
    explicit Dice(std::uint64_t seed) : state_(seed * 0x9E3779B97F4A7C15ULL + 0x1234567ULL) {}
    std::uint64_t throw_bits() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
        z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31U);
    }
    double between(double low, double high) {
        return low + (high - low) * static_cast<double>(throw_bits() >> 11U) * 0x1.0p-53;
    }
    std::int64_t between_ms(std::int64_t low, std::int64_t high) {
        return low + static_cast<std::int64_t>(throw_bits() % static_cast<std::uint64_t>(high - low + 1));
    }
    std::size_t one_of(std::size_t count) { return static_cast<std::size_t>(throw_bits() % count); }
    bool one_in(std::size_t count) { return one_of(count) == 0; }

  private:
    std::uint64_t state_;
};

/// The order matters, because a random number chooses the fault.
enum class Fault : std::uint8_t {
    does_not_close,
    does_not_open,
    late,
    lies_closed,
    lies_open,
    contact_silent,
    drive_trips,
    drive_not_ready,
    never_in_sync,
    claims_falsely,
    does_not_run,
    does_not_stop,
    drive_silent,
    angle_off,
    pump_trips,
    selector_moved,
    level_quality,
    level_jumps,
    loop_fails,
    level_stops,
    link_lost,
    supply_fails,
    emergency_stop,
    generator,
    current_missing,
    pump_unwell,
    float_fails,
    scan_stalls,
    controller_restarts,
    count
};

/// A fault that is present until a station time.
struct ActiveFault {
    Fault kind = Fault::count;
    std::size_t where = 0;  ///< number of the contactor, pump or transmitter
    std::int64_t until_ms = 0;
};

/// Puts a fault of random size on a random device of a station with this number of pumps. Returns the device.
std::size_t put_on(doubles::StationDouble& station, Fault kind, std::size_t pumps, Dice& dice);

/// Takes the fault off again.
void take_off(doubles::StationDouble& station, const ActiveFault& fault);

}  // namespace freshet::storms
