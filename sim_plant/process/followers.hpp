// The plant's orders: from the advice of the present instant, for which the plant waits, or from the latest
// advice. One reason to change: when the plant follows advice.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>

#include "hal/clock/lockstep.hpp"
#include "hal/modbus/advice_reader.hpp"
#include "hal/service/stop_signal.hpp"

namespace freshet::plant_process {

/// What to do with the present step.
struct Guidance {
    modbus::AdviceRead read;
    modbus::Validity validity = modbus::Validity::none_yet;
};

/// Lockstep.
class LockstepFollower {
  public:
    LockstepFollower(const modbus::Endpoint& advice, const modbus::ClientOptions& client,
                     std::chrono::milliseconds stall);

    enum class Outcome : std::uint8_t { advice, stopped, stalled };
    /// Waits until advice made from station time `time_ms` is published.
    Outcome wait_for(std::int64_t time_ms, service::StopSignal& stop);
    const modbus::AdviceRead& read() const { return read_; }
    /// Why the controller counts as stalled.
    std::string message() const;

  private:
    std::string place_;  ///< of the controller
    modbus::AdviceLink link_;
    clocks::StallWatch watch_;
    modbus::AdviceRead read_;
};

/// Free running.
class FreeFollower {
  public:
    FreeFollower(const modbus::Endpoint& advice, const modbus::ClientOptions& client)
        : place_(modbus::place_of(advice)), reader_(advice, client) {}
    /// The latest advice and whether the advice is still valid at station time `time_ms`.
    Guidance at(std::int64_t time_ms);
    /// The address of a controller that was not reached, and why; empty while the controller answers.
    std::string trouble() const;

  private:
    std::string place_;  ///< of the controller
    modbus::AdviceReader reader_;
    modbus::AdviceWatch watch_;
};

}  // namespace freshet::plant_process
