// Faults of single signals. Such a fault changes a reading on its wire from the station to the registers.
// One reason to change: how a fault of a wire changes a reading.
//
// A fault here can falsify every signal of the dictionary, except the signals that have an instrument of
// their own. The fault does not change the station itself.
//
// Analog signals:
//   dead          gives no reading (NaN)
//   frozen        keeps the value at the begin of the fault
//   erratic       gives a random value between minus and plus ten times the reading, or ten units for a small
//                 reading
//   offset        adds the amount
//   drift         adds the amount per second
//   drops_out     gives no reading in every other period. The amount is the period in seconds. An amount of 0
//                 means 1 s
//   spike         adds the amount to one reading in twenty
// Bits:
//   stuck_on, stuck_off
//   frozen        keeps the state at the begin of the fault
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

    /// Sets a fault on a signal, or changes the amount of the fault. `since_ms` is the begin of the fault.
    void set(config::SignalIndex signal, config::FaultKind kind, double amount, std::int64_t since_ms);
    void clear(config::SignalIndex signal, config::FaultKind kind);

    /// True when no signal has a fault. The caller then need not call `falsify`.
    bool sound() const { return faults_.empty(); }

    /// Falsifies the readings of one instant.
    void falsify(config::Readings& readings, std::int64_t now_ms);

  private:
    struct Fault {
        config::SignalIndex signal;
        config::FaultKind kind;
        double amount;
        std::int64_t since_ms;
        double held;  ///< the first reading after the begin of a `frozen` fault
        bool holds;
    };
    std::vector<Fault> faults_;
    NoiseSource noise_;
};

}  // namespace freshet::plant
