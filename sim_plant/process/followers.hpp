// Gives the plant its orders. In lockstep the plant waits for the advice of the present instant. Otherwise
// the plant takes the latest advice. One reason to change: when the plant follows advice.
#pragma once

#include <chrono>
#include <cstdint>
#include <string>

#include "hal/clock/lockstep.hpp"
#include "hal/modbus/advice_reader.hpp"
#include "hal/service/stop_signal.hpp"

namespace freshet::plant_process {

/// The orders for the present step.
struct Guidance {
    modbus::AdviceRead read;
    modbus::Validity validity = modbus::Validity::none_yet;
};

/// Follows advice in lockstep.
class LockstepFollower {
  public:
    LockstepFollower(const modbus::Endpoint& advice, const modbus::ClientOptions& client,
                     std::chrono::milliseconds stall);

    enum class Outcome : std::uint8_t { advice, stopped, stalled };
    /// Waits until the controller publishes the advice of station time `time_ms`.
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

/// Follows advice without lockstep.
class FreeFollower {
  public:
    FreeFollower(const modbus::Endpoint& advice, const modbus::ClientOptions& client)
        : place_(modbus::place_of(advice)), reader_(advice, client) {}
    /// The latest advice and whether the advice is still valid at station time `time_ms`.
    Guidance at(std::int64_t time_ms);
    /// The address of a controller that does not answer, and the reason. Empty while the controller answers.
    std::string trouble() const;

  private:
    std::string place_;  ///< of the controller
    modbus::AdviceReader reader_;
    modbus::AdviceWatch watch_;
};

}  // namespace freshet::plant_process
