// Which faults are in force at the station now, and when the next fault begins or ends.
// One reason to change: how timed faults and faults set by hand combine.
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

/// The faults of a run. Times are station time. A step in which no change is due costs one comparison.
class FaultBook {
  public:
    static constexpr std::int64_t never_due_ms = std::numeric_limits<std::int64_t>::max();

    FaultBook() = default;
    /// Reads the timed faults of a scenario. Throws std::invalid_argument when a station with `pump_count`
    /// pumps does not have the device, or when the device does not take that kind of fault. The exception
    /// names the fault. The loader finds the same mistake earlier and reports its line.
    FaultBook(const config::Scenario& scenario, std::size_t pump_count);

    /// When the next timed change is due. Returns never_due_ms when no change is left.
    std::int64_t next_due_ms() const { return next_due_ms_; }

    /// Makes every change that is due at `now_ms`. Returns true when the faults in force have changed.
    bool advance(std::int64_t now_ms);

    /// Sets a fault by hand. The new fault replaces a fault of the same kind on the same device. The new fault
    /// stays in force until a call of `clear`, or until a later fault of the same kind replaces the fault.
    void set(const config::Device& device, config::FaultKind kind, double amount, std::int64_t now_ms);

    /// Clears every fault of a device, also timed faults that have begun. Returns true when the device had a
    /// fault.
    bool clear(const config::Device& device);

    const std::vector<ActiveFault>& in_force() const { return in_force_; }

  private:
    struct Change {
        std::int64_t due_ms = 0;
        std::size_t fault = 0;  ///< index into timed_
        bool begins = true;
    };

    void put(const ActiveFault& fault, std::size_t timed);
    /// Timed faults of one kind on one device may overlap. The fault that began last is then in force. When
    /// that fault ends, the fault that began before that fault is in force again.
    void resume(const ActiveFault& ended);

    std::vector<ActiveFault> timed_;
    std::vector<std::uint8_t> standing_;  ///< per timed fault: begun, not ended, not cleared
    std::vector<Change> changes_;         ///< sorted by time; ends sort before begins
    std::size_t next_change_ = 0;
    std::int64_t next_due_ms_ = never_due_ms;
    std::vector<ActiveFault> in_force_;
    std::vector<std::size_t> origin_;  ///< per fault in force: index into timed_, or by_hand
};

}  // namespace freshet::plant
