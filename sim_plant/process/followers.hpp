// How the plant comes by its orders: waiting for the advice of its present instant, or taking the latest
// there is. One reason to change: when advice is followed.
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
    /// Why it stalled.
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
    /// The latest advice and whether it still holds at station time `time_ms`.
    Guidance at(std::int64_t time_ms);
    /// Where no controller was reached and why; empty while one is.
    std::string trouble() const;

  private:
    std::string place_;  ///< of the controller
    modbus::AdviceReader reader_;
    modbus::AdviceWatch watch_;
};

}  // namespace freshet::plant_process
