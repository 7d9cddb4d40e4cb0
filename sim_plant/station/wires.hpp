// What the wires between the station and its register table make of the readings: faults of single signals.
// One reason to change: how a wire misleads.
//
// Every signal of the dictionary that is not an instrument of its own can be falsified here. The station
// itself is unharmed.
//
// Analog signals:
//   dead          no reading (NaN)
//   frozen        keeps the value of the moment
//   erratic       random within ten times the value either way, ten units at least
//   offset        adds the amount
//   drift         adds the amount per second
//   drops_out     no reading in every other period; the amount is the period in seconds (0: 1 s)
//   spike         adds the amount to one reading in twenty
// Bits:
//   stuck_on, stuck_off
//   frozen        keeps the state of the moment
//   dead          reads as not on
#pragma once

#include <cstdint>
#include <vector>

#include "config/scenario.hpp"
#include "config/signals.hpp"
#include "sim_plant/physics/noise.hpp"

namespace freshet::plant {

class Wires {
  public:
    explicit Wires(std::uint64_t seed) : noise_(seed) {}

    /// Sets a fault on a signal, or changes its amount; `since_ms` is when it began.
    void set(config::SignalIndex signal, config::FaultKind kind, double amount, std::int64_t since_ms);
    void clear(config::SignalIndex signal, config::FaultKind kind);

    /// Nothing is falsified: `falsify` need not be called.
    bool sound() const { return faults_.empty(); }

    /// Falsifies the readings of one instant.
    void falsify(config::Readings& readings, std::int64_t now_ms);

  private:
    struct Fault {
        config::SignalIndex signal;
        config::FaultKind kind;
        double amount;
        std::int64_t since_ms;
        double held;  ///< for `frozen`; taken at the first reading
        bool holds;
    };
    std::vector<Fault> faults_;
    NoiseSource noise_;
};

}  // namespace freshet::plant
