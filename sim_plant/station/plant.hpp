// The whole simulated station: weather, water, machines, instruments and their faults. A step is one scan
// period. One reason to change: how the parts of the station meet in a step.
//
// Order within a step:
//   1. The machines receive the orders that people at the site let pass.
//   2. Line, drive, contactors and motors step. Their load is the pump torques of the previous step.
//   3. The water steps. The shaft speeds drive the water.
//   4. Faults that are due begin or end.
//   5. The instruments read.
// Therefore the pump torque is one step old while the shaft speeds are steady. While the motors change speed,
// the motor model scales the torque by the affinity law.
//
// A station is calm under these conditions: no order changes, except that the reference may move by half a
// hertz. No contact moves. No motor runs up or coasts. The drive does not synchronise. The flow of the main
// changes by less than 2 % a second. In a calm second the end of the second shows every event of the second.
// The station therefore takes one step for the whole second. The step comes at the end of the second, or
// earlier when something happens. The meters read once a second, as real meters do. Level transmitters keep
// their own times of measurement. A station whose transmitters measure at every scan steps at every scan. A
// pressure station is never calm.
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

/// The effect of faults on the field link. A process applies the effect to its sockets. The bench applies the
/// effect to its field loop.
struct LinkState {
    bool lost = false;
    double garbled_share = 0;  ///< share of the instants whose answers are all garbled
    std::int64_t slow_ms = 0;  ///< delay of every answer; 0: no delay
    friend bool operator==(const LinkState&, const LinkState&) = default;
};

class Plant {
  public:
    /// `scan_ms` is the period of a step, 20..1000. Throws std::invalid_argument when a fault names a device
    /// that the station does not have, or a kind of fault that the device does not take.
    Plant(const config::Station& station, const config::Scenario& scenario, std::int32_t scan_ms = 100);
    ~Plant();
    Plant(Plant&&) noexcept;
    Plant& operator=(Plant&&) noexcept;

    /// Advances one scan period under these orders. Does not allocate.
    void step(const Orders& orders);
    /// Advances one scan period under the last orders. A station does so when advice is void.
    void step();

    /// Station time in Unix milliseconds UTC.
    std::int64_t time_ms() const { return time_ms_; }
    std::int32_t scan_ms() const { return scan_ms_; }

    /// The readings of the instruments and auxiliary contacts at `time_ms()`, by signal index.
    const config::Readings& readings() const { return readings_; }
    /// True when the last step changed no reading except `plant_time`.
    bool only_clock() const { return only_clock_; }

    /// The true state at `time_ms()`. While the station is calm, the state is at most one second older.
    const HydraulicState& water() const;
    const PowerTrainState& electrical() const;
    double inflow_m3s() const;  ///< the demand in filling and pressure duties
    double held_m() const;      ///< held by the duty: level of the store, or pressure head of the header
    double rain_m_s() const;
    /// The volume that the arithmetic lost, m3: in - out - overflow - change of volume.
    double volume_error_m3() const;
    Figures figures() const;
    WaterFigures water_figures() const;

    /// Sets a fault. The fault begins now and stays until `clear_fault`. Returns false when the station does
    /// not have the device, or when the device does not take that kind of fault.
    bool set_fault(std::string_view device, config::FaultKind kind, double amount);
    /// Clears all faults of a device. Returns false when the station does not have the device, or when the
    /// device had no fault.
    bool clear_fault(std::string_view device);
    /// The faults in force: timed faults and faults set by hand.
    const std::vector<ActiveFault>& faults() const;
    /// How often the faults in force have changed since the plant was made.
    std::uint32_t fault_changes() const { return fault_changes_; }
    const LinkState& link() const { return link_; }
    /// What people have done at the controller's panel up to `time_ms()`.
    config::PeopleCounts people() const;

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
