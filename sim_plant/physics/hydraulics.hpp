// The water side of the station in one implicit step: store, pumps, check valves, header, main.
//
// One reason to change: how the parts of the water side are solved together.
//
// Equations, all at the END of the step (backward Euler), one unknown:
//   emptying, filling: unknown Q through the main; header head H = discharge + loss(Q) + (sum L/gA)(Q -
//   Q_before)/dt;
//     every branch's flow q_i(H - suction head) from branch.hpp; sum q_i = Q. Suction head (emptying) or a
//     drowned discharge (filling) moves with Q within the step: level = level_before + dt (in - out)/A.
//   pressure: unknown H; sum q_i(H - suction) = delivered(H) + (held(H) - held_before)/dt, held from
//   air_vessel.hpp;
//     delivered = demand at 10 m or more above the discharge level, falling as r (2 - r), r = height/10 m, to
//     none.
//   Both balances are monotone, so there is one answer; it is found by Newton from the last step's flows (one
//   pass when settled) and, when a valve changes or Newton does not settle, by Newton within a closing
//   bracket.
//   Store: d volume = inflow - pumped - overflow (emptying), pumped - demand - overflow (filling),
//   by compensated sums.
//   Air in the suction: head falls in proportion from the suction level to halfway down to the floor,
//   followed within about a second. Settled flows are held as they are while the lift moves by less than 1e-5
//   of the shut-off head (half a millimetre in 50 m) and no speed by more than half of that.
//
//   NPSHa = (atmosphere - vapour pressure)/(rho g) + suction head - suction level (the branch
//   loss is not divided into suction and discharge, so none is deducted).
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
// elastic waves (surge.hpp has figures), a main that empties or separates (flagged, not followed), the main
// of a pressure station (its demand is taken at the header), reverse rotation, spill over a
// full wet well's cover. A discharge that drains back through a stuck valve is taken to be a reservoir; a
// tank filled over its top gives nothing back.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "config/station.hpp"
#include "sim_plant/physics/air_vessel.hpp"
#include "sim_plant/physics/branch.hpp"
#include "sim_plant/physics/pipe.hpp"
#include "sim_plant/physics/pump_curve.hpp"
#include "sim_plant/physics/settled_lanes.hpp"
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
    double main_velocity_ms = 0;   ///< in the narrowest reach
    double overflow_m3s = 0;
    double delivered_m3s = 0;  ///< of a demand, what was met
    /// Totals. Emptying: inflow - pumped - overflow = change of volume. Filling and pressure, where inflow is
    /// the demand that was met: pumped - inflow - overflow = change of volume. Backflow counts against
    /// pumped.
    double inflow_m3 = 0, pumped_m3 = 0, overflow_m3 = 0;
    std::array<double, 8> flow_m3s{};  ///< backflow negative
    std::array<double, 8> shaft_torque_nm{}, shaft_power_w{};
    std::array<double, 8> npsh_margin_m{};  ///< available less required; 0 for a pump that does not turn
    std::array<bool, 8>
        below_minimum_flow{};  ///< turning, flow less than the minimum continuous flow at its speed
    std::array<bool, 8> backflow{};
    std::array<bool, 8> valve_open{};    ///< check valve off its seat
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
    /// std::invalid_argument naming the contradiction when station_capacity.hpp finds one in the station.
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
    /// Joukowsky head if all pumps tripped now and the flow stopped at once, m.
    double trip_surge_head_m() const;

  private:
    struct Column;
    struct Header;

    /// The header's balance solved: its unknown, the lift of every branch, and what the pumps push together.
    struct Solved {
        double unknown = 0, lift_m = 0, flow_m3s = 0;
    };

    void set_step(double dt_s);
    void set_speeds(const HydraulicInputs& inputs);
    void set_air(double suction_surface_m);
    void refresh(std::size_t pump);
    void hand_back();
    template <class System>
    Solved solve(const System& system, const HydraulicInputs& inputs);
    template <class System>
    Solved solve_exactly(const System& system);
    template <class System>
    bool solve_settled(const System& system, double& unknown);
    template <class System>
    double solve_bracketed(const System& system);
    void step_well(const HydraulicInputs& inputs);
    void step_tank(const HydraulicInputs& inputs);
    void step_header(const HydraulicInputs& inputs);
    bool stays_at_rest(const HydraulicInputs& inputs) const;
    bool holds(const HydraulicInputs& inputs, double moving_head_m) const;
    void hold_from(double flow_before_m3s, double moving_head_m);
    void share_what_is_there(double share);
    double overflow_over_step();
    void report(double suction_m, double header_m);
    void report_branches(double npsh_available_m);

    config::Station station_;
    PumpCurve curve_;
    MainLoss loss_;
    StageStorage storage_;
    HeaderStorage header_storage_;
    std::array<Branch, 8> branches_{};
    SettledLanes lanes_;
    std::size_t pumps_ = 0;

    double inertia_s2m2_ = 0, per_bore_m2_ = 0, flow_scale_m3s_ = 0;
    double npsh_offset_m_ = 0, vapour_head_m_ = 0, air_from_m_ = 0, air_per_m_ = 0;
    double dt_s_ = 0, inertia_per_step_ = 0, weir_step_m15_ = 0;
    double centre_line_m_ = 0, discharge_m_ = 0, vortex_m_ = 0, crest_m_ = 0;

    bool at_rest_ = true;  ///< nothing turns, nothing flows, every valve is on its seat
    bool turning_any_ = false;
    bool valves_settled_ = true;  ///< each check valve is wide open with flow or on its seat without
    bool may_drain_back_ = true;
    bool valves_stand_ = false;  ///< the last solve moved no valve
    double air_factor_ = 1;
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
