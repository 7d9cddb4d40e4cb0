// The water side of the station in one implicit step: store, pumps, check valves, header, main.
//
// One reason to change: how store, main and pumps share one step in each duty.
//
// Equations, all at the end of the step (backward Euler):
//
//   header and pumps: header_balance.hpp and pump_group.hpp, one unknown;
//   store, emptying: change of volume = inflow - pumped - overflow;
//   store, filling:  change of volume = pumped - demand - overflow;
//   level within the step = level before + dt (in - out)/A;
//   NPSHa = (atmosphere - vapour pressure)/(rho g) + suction head - suction level.
//
// The suction head (emptying) or a drowned discharge (filling) moves with the main's flow within the step.
// Volumes are compensated sums. The branch loss is not divided into suction and discharge, so NPSHa has none
// of it.
//
// Air in the suction: the pumps' head falls in proportion, from the suction level to halfway down to the
// floor, and follows within about a second.
//
// Settled flows are kept as they are while the lift moves by less than 1e-5 of the shut-off head (half a
// millimetre in 50 m) and no speed by more than half of that.
//
// Units: SI; heads are metres of the pumped fluid above the station datum.
//
// Valid: any step; accuracy is first order in step over column time constant (0.1 s against seconds and more:
// a few tenths of a per cent while flows change, exact when steady). Stable for any sizes.
//
// Source: rigid-column theory: E. B. Wylie and V. L. Streeter, Fluid Transients in Systems, 1993, from
// memory; the fall of the demand below 10 m is of our own making; parts: see their own headers.
//
// Leaves out:
//   elastic waves (surge.hpp has figures);
//   a main that empties or separates (flagged, not followed);
//   the main of a pressure station (its demand is taken at the header);
//   reverse rotation;
//   spill over a full wet well's cover.
// A discharge that drains back through a stuck valve is taken to be a reservoir. A tank filled over its top
// gives nothing back.
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

/// What the water side needs for a step.
struct HydraulicInputs {
    std::array<double, 8>
        speed_ratio{};      ///< pump speed over rated speed, 0 upwards; backwards counts as stopped
    double inflow_m3s = 0;  ///< into the well (or demand out of the tank / header); 0 upwards
};

struct HydraulicState {
    double level_m = 0;            ///< of the store; pressure duty: of the fixed suction
    double volume_m3 = 0;          ///< in the store; pressure duty: held by vessel and pipes
    double header_head_m = 0;      ///< hydraulic grade at the header, above datum
    double header_pressure_m = 0;  ///< header_head_m less the pump centre line
    double main_flow_m3s = 0;      ///< leaving the header, backflow negative; pressure duty: delivered
    double overflow_m3s = 0;
    /// Totals since the beginning. Backflow counts against pumped.
    ///   emptying: inflow - pumped - overflow = change of volume;
    ///   filling, pressure: pumped - inflow - overflow = change of volume; inflow is the demand that was met.
    double inflow_m3 = 0, pumped_m3 = 0, overflow_m3 = 0;
    std::array<double, 8> flow_m3s{};  ///< backflow negative
    std::array<double, 8> shaft_torque_nm{}, shaft_power_w{};
    std::array<double, 8> npsh_margin_m{};  ///< available less required; 0 for a pump that does not turn
    std::array<bool, 8>
        below_minimum_flow{};  ///< turning, flow less than the minimum continuous flow at its speed
    std::array<bool, 8> backflow{};
    bool suction_dry = false;            ///< a pump turns with the level below the suction level
    bool vortex = false;                 ///< a pump turns with the level below the vortex level
    bool below_vapour_pressure = false;  ///< at the header: a real column would part there
};

/// Adds up many small terms without losing them in the sum (Kahan, 1965).
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
    double carry() const { return carry_; }  ///< what `value` is too large by

  private:
    double sum_ = 0, carry_ = 0;
};

/// The stepped water side. Allocates only in the constructor.
class Hydraulics {
  public:
    /// `initial_m`: level of the store above datum; pressure duty: header pressure head. Throws
    /// std::invalid_argument naming the contradiction when hydraulic_contradictions.hpp finds one in the station.
    Hydraulics(const config::Station& station, double initial_m);

    /// One step of `dt_s` > 0.
    const HydraulicState& step(double dt_s, const HydraulicInputs& inputs);
    const HydraulicState& state() const { return state_; }

    /// Faults; `pump` counts from zero. They hold until set again.
    void set_wear(std::size_t pump, double head_factor);        ///< share of the head left, 0..1
    void set_blockage(std::size_t pump, double blocked_share);  ///< 0 clear, 1 wholly blocked
    void set_valve_stuck_open(std::size_t pump, bool stuck);

    /// Inflow less outflows less change of volume, m3, with the carries of the sums: zero but for rounding.
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
    void share_the_rest(double share);
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

    bool at_rest_ = true;  ///< nothing turns, nothing flows, every valve is on its seat
    double header_head_m_ = 0, main_flow_m3s_ = 0;
    bool held_ = false;                          ///< flows may be held while nothing moves
    double held_head_m_ = 0, held_step_m3_ = 0;  ///< where they were solved, and what a step of them pumps
    double hold_head_m_ = 0, hold_speed_ = 0;
    double flow_before_m3s_ = 0;  ///< main_flow_m3s_ of the step before

    CompensatedSum volume_m3_, inflow_m3_, pumped_m3_, overflow_m3_;
    double initial_volume_m3_ = 0;
    HydraulicState state_;
};

}  // namespace freshet::plant
