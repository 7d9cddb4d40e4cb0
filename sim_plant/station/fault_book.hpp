// Which faults are in force at the station now, and when the next one comes or goes.
// One reason to change: how timed faults and those set by hand live together.
#pragma once

#include <cstdint>
#include <limits>
#include <string_view>
#include <vector>

#include "config/devices.hpp"
#include "config/scenario.hpp"

namespace freshet::plant {

/// A fault in force.
struct ActiveFault {
    config::Device device;
    config::FaultKind kind = config::FaultKind::dead;
    double amount = 0;
    std::int64_t since_ms = 0;

    friend bool operator==(const ActiveFault&, const ActiveFault&) = default;
};

/// The faults of a run. Times are station time. Event-driven: a step in which nothing is due costs one
/// comparison.
class FaultBook {
  public:
    static constexpr std::int64_t never_due_ms = std::numeric_limits<std::int64_t>::max();

    FaultBook() = default;
    /// Reads the timed faults of a scenario. Throws std::invalid_argument, naming the fault, when a device is
    /// unknown to a station with so many pumps or does not take that kind: the loader finds this first, with
    /// its line.
    FaultBook(const config::Scenario& scenario, std::size_t pump_count);

    /// When the next timed change is due; never_due_ms when none is left.
    std::int64_t next_due_ms() const { return next_due_ms_; }

    /// Makes every change that is due at `now_ms`. True when the faults in force have changed.
    bool advance(std::int64_t now_ms);

    /// Sets a fault by hand; it stays until cleared. A fault of the same kind on the same device gives way to
    /// it.
    void set(const config::Device& device, config::FaultKind kind, double amount, std::int64_t now_ms);

    /// Clears every fault of a device, also timed ones that have begun. True when there was one.
    bool clear(const config::Device& device);

    const std::vector<ActiveFault>& in_force() const { return in_force_; }

  private:
    struct Change {
        std::int64_t due_ms = 0;
        std::size_t fault = 0;  ///< index into timed_
        bool begins = true;
    };

    void put(const ActiveFault& fault, std::size_t timed);
    /// Of timed faults of one kind on one device that overlap, the latest to begin is in force. When it ends,
    /// the one before is in force again.
    void resume(const ActiveFault& ended);

    std::vector<ActiveFault> timed_;
    std::vector<std::uint8_t> standing_;  ///< for each of timed_: begun, not ended, not cleared by hand
    std::vector<Change> changes_;         ///< by time; at one time ends come before beginnings
    std::size_t next_change_ = 0;
    std::int64_t next_due_ms_ = never_due_ms;
    std::vector<ActiveFault> in_force_;
    std::vector<std::size_t> origin_;  ///< for each of in_force_: index into timed_, or by_hand
};

}  // namespace freshet::plant
