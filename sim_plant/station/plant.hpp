// The simulated station as a whole: weather, water, machines, instruments and their faults, one scan period a
// step. One reason to change: how the parts of the station meet in a step.
//
// Order within a step:
//   1. orders, as people at the site let them pass;
//   2. line, drive, contactors and motors, against the pump torques of the step before;
//   3. water, by the shaft speeds;
//   4. faults that are due begin or end;
//   5. the instruments read.
// Therefore pump torque is one step old where shafts are steady. While the motors change speed they carry the
// torque along the affinity law.
//
// Calm: no order changes but the reference by half a hertz, no contact moves, no motor runs up or coasts, the
// drive does not synchronise, and the main's flow changes by less than 2 % a second. Nothing can then happen
// within a second that the end of the second does not show. Such a second is taken in one step, at its end or
// when something happens, whichever is sooner, and the meters read once a second, as metering does. Level
// transmitters keep their own time of measurement; a station whose transmitters measure at every scan is
// stepped at every scan. A pressure station is never calm.
#pragma once

#include <cstdint>
#include <memory>
#include <string_view>

#include "config/scenario.hpp"
#include "config/signals.hpp"
#include "config/station.hpp"
#include "sim_plant/physics/hydraulics.hpp"
#include "sim_plant/physics/orders.hpp"
#include "sim_plant/physics/power_train.hpp"
#include "sim_plant/station/fault_book.hpp"
#include "sim_plant/station/figures.hpp"
#include "sim_plant/station/water_figures.hpp"

namespace freshet::plant {

/// What faults do to the field link. A process does it on its sockets, the bench on its field loop.
struct LinkState {
    bool lost = false;
    double garbled_share = 0;  ///< of the instants: all answers of such an instant are garbled
    std::int64_t slow_ms = 0;  ///< every answer comes so much later; 0: at once
    friend bool operator==(const LinkState&, const LinkState&) = default;
};

class Plant {
  public:
    /// `scan_ms` 20..1000: the period of a step. Throws std::invalid_argument when a fault names a device
    /// that the station does not have, or a kind that the device does not take.
    Plant(const config::Station& station, const config::Scenario& scenario, std::int32_t scan_ms = 100);
    ~Plant();
    Plant(Plant&&) noexcept;
    Plant& operator=(Plant&&) noexcept;

    /// Advances one scan period under these orders. No allocation.
    void step(const Orders& orders);
    /// Advances one scan period under the last orders, as a station does when advice is void.
    void step();

    /// Station time, Unix milliseconds UTC.
    std::int64_t time_ms() const { return time_ms_; }
    std::int32_t scan_ms() const { return scan_ms_; }

    /// What the instruments and auxiliary contacts say at `time_ms()`, by signal index.
    const config::Readings& readings() const { return readings_; }
    /// Whether the last step changed nothing in the readings but `plant_time`.
    bool only_clock() const { return only_clock_; }

    /// The true state at `time_ms()`, or at most a second before while the station is calm.
    const HydraulicState& water() const;
    const PowerTrainState& electrical() const;
    double inflow_m3s() const;  ///< or the demand, for filling and pressure duties
    double held_m() const;      ///< what the duty holds: the store's level, or the header's pressure head
    double rain_m_s() const;
    /// In - out - overflow - change of volume, m3: what the arithmetic lost.
    double volume_error_m3() const;
    Figures figures() const;
    WaterFigures water_figures() const;

    /// Sets a fault from now on, until cleared. False: unknown device, or it does not take that kind.
    bool set_fault(std::string_view device, config::FaultKind kind, double amount);
    /// Clears all faults of a device. False: unknown device, or it had none.
    bool clear_fault(std::string_view device);
    /// Faults in force, timed and by hand.
    const std::vector<ActiveFault>& faults() const;
    /// How often the faults in force have changed since the plant was made.
    std::uint32_t fault_changes() const { return fault_changes_; }
    const LinkState& link() const { return link_; }

  private:
    struct Parts;

    bool only_clock_ = false;
    void read_instruments();
    void change_faults();
    void catch_up();

    std::int64_t time_ms_ = 0;
    std::int32_t scan_ms_ = 100;
    std::uint32_t fault_changes_ = 0;
    LinkState link_;
    config::Readings readings_{};
    std::unique_ptr<Parts> parts_;
};

}  // namespace freshet::plant
