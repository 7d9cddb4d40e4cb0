// The water side of the station in one implicit step: store, pumps, check valves, header, main.
//
// One reason to change: how store, main and pumps share one step in each duty.
//
// Equations, all at the end of the step (backward Euler):
//
//   header and pumps: header_balance.hpp and pump_group.hpp, with one unknown;
//   store, emptying: change of volume = inflow - pumped - overflow;
//   store, filling:  change of volume = pumped - demand - overflow;
//   level within the step = level before + dt (in - out)/A;
//   NPSHa = (atmosphere - vapour pressure)/(rho g) + suction head - suction level.
//
// The suction head (emptying) or a drowned discharge (filling) changes with the main's flow within the step.
// Volumes are compensated sums. The branch loss is not divided into suction and discharge, so NPSHa does not
// contain any branch loss.
//
// Air in the suction: the pumps' head falls in proportion as the level falls from the suction level to
// halfway to the floor. The head follows the level within about a second.
//
// Settled flows stay unchanged while the lift changes by less than 1e-5 of the shut-off head (half a
// millimetre in 50 m) and no speed changes by more than half of this share.
//
// Units: SI; heads are metres of the pumped fluid above the station datum.
//
// Valid: any step. The accuracy is first order in step divided by column time constant (0.1 s against seconds
// and more): a few tenths of a per cent while flows change, exact when steady. Stable for any sizes.
//
// Source: rigid-column theory: E. B. Wylie and V. L. Streeter, Fluid Transients in Systems, 1993, from
// memory. The fall of the demand below 10 m is of our own making. The headers of the parts name their own
// sources.
//
// Leaves out:
//   elastic waves (surge.hpp has figures);
//   a main that empties or separates (the state shows this, the model does not follow it);
//   the main of a pressure station (the header delivers the demand);
//   reverse rotation;
//   spill over the cover of a full wet well.
// A discharge that drains back through a stuck valve counts as a reservoir. Water that has left a tank over
// its top does not return.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "config/station.hpp"
#include "sim_plant/physics/air_vessel.hpp"
#include "sim_plant/physics/main_loss.hpp"
#include "sim_plant/physics/pump_group.hpp"
#include "sim_plant/physics/well.hpp"

namespace freshet::plant {

/// The inputs of a step of the water side.
struct HydraulicInputs {
    /// Pump speed divided by rated speed, from 0; a pump that turns backwards counts as stopped.
    std::array<double, 8> speed_ratio{};
    /// Inflow of the well, or demand on the tank or the header; from 0.
    double inflow_m3s = 0;
};

struct HydraulicState {
    /// Level of the store; pressure duty: level of the fixed suction.
    double level_m = 0;
    /// Volume in the store; pressure duty: volume in vessel and pipes.
    double volume_m3 = 0;
    double header_head_m = 0;      ///< hydraulic grade at the header, above the datum
    double header_pressure_m = 0;  ///< header_head_m minus the level of the pump centre line
    /// Flow out of the header, backflow negative; pressure duty: delivered flow.
    double main_flow_m3s = 0;
    double overflow_m3s = 0;
    /// Totals since the beginning. Backflow reduces the pumped volume.
    ///   emptying: inflow - pumped - overflow = change of volume;
    ///   filling, pressure: pumped - inflow - overflow = change of volume; inflow is the delivered
    ///   demand.
    double inflow_m3 = 0, pumped_m3 = 0, overflow_m3 = 0;
    std::array<double, 8> flow_m3s{};  ///< backflow negative
    std::array<double, 8> shaft_torque_nm{}, shaft_power_w{};
    std::array<double, 8> npsh_margin_m{};  ///< available minus required; 0 for a pump that does not turn
    /// The pump turns, and its flow is less than the minimum continuous flow at its speed.
    std::array<bool, 8> below_minimum_flow{};
    std::array<bool, 8> backflow{};
    bool suction_dry = false;            ///< a pump turns with the level below the suction level
    bool vortex = false;                 ///< a pump turns with the level below the vortex level
    bool below_vapour_pressure = false;  ///< at the header, where a real column would part
};

/// Adds many small terms and keeps the digits that a plain sum would lose (Kahan, 1965).
class CompensatedSum {
  public:
    explicit CompensatedSum(double start = 0) : sum_(start) {}
    void add(double term) {
        const double corrected = term - carry_;
        const double next = sum_ + corrected;
        carry_ = (next - sum_) - corrected;
        sum_ = next;
    }
    double value() const { return sum_; }
    double carry() const { return carry_; }  ///< the excess of `value` over the exact sum

  private:
    double sum_ = 0, carry_ = 0;
};

/// The water side, advanced step by step. Allocates memory only in the constructor.
class Hydraulics {
  public:
    /// `initial_m`: level of the store above the datum; pressure duty: header pressure head. Throws
    /// std::invalid_argument with the contradiction when hydraulic_contradictions.hpp finds one in the
    /// station.
    Hydraulics(const config::Station& station, double initial_m);

    /// One step of `dt_s` > 0.
    const HydraulicState& step(double dt_s, const HydraulicInputs& inputs);
    const HydraulicState& state() const { return state_; }

    /// Faults. `pump` counts from zero. A fault stays until another call changes the fault.
    void set_wear(std::size_t pump, double head_factor);        ///< remaining share of the head, 0..1
    void set_blockage(std::size_t pump, double blocked_share);  ///< 0 clear, 1 wholly blocked
    void set_valve_stuck_open(std::size_t pump, bool stuck);

    /// Inflow minus outflows minus change of volume, m3, with the carries of the sums: zero except for
    /// rounding.
    double volume_error_m3() const;

  private:
    void set_step(double dt_s);
    void follow_air(double suction_surface_m);
    void step_well(const HydraulicInputs& inputs);
    void step_tank(const HydraulicInputs& inputs);
    void step_header(const HydraulicInputs& inputs);
    bool stays_at_rest(const HydraulicInputs& inputs) const;
    bool holds(const HydraulicInputs& inputs, double moving_head_m) const;
    void hold_from(double flow_before_m3s, double moving_head_m);
    void scale_flows(double share);
    double overflow_over_step();
    void report(double suction_m, double header_m);

    config::Station station_;
    PumpGroup pumps_;
    MainLoss loss_;
    StageStorage storage_;
    HeaderStorage header_storage_;

    double inertia_s2m2_ = 0;
    double npsh_offset_m_ = 0, vapour_head_m_ = 0, air_from_m_ = 0, air_per_m_ = 0;
    double dt_s_ = 0, inertia_per_step_ = 0, weir_step_m15_ = 0;
    double centre_line_m_ = 0, discharge_m_ = 0, vortex_m_ = 0, crest_m_ = 0;

    bool at_rest_ = true;  ///< no pump turns, no water flows, every check valve is shut
    double header_head_m_ = 0, main_flow_m3s_ = 0;
    bool held_ = false;  ///< the flows may be held while all changes are small
    /// The head at the last solution, and the volume that these flows pump in a step.
    double held_head_m_ = 0, held_step_m3_ = 0;
    double hold_head_m_ = 0, hold_speed_ = 0;
    double flow_before_m3s_ = 0;  ///< main_flow_m3s_ of the previous step

    CompensatedSum volume_m3_, inflow_m3_, pumped_m3_, overflow_m3_;
    double initial_volume_m3_ = 0;
    HydraulicState state_;
};

}  // namespace freshet::plant
