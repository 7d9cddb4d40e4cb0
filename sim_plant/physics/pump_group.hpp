// All pump branches of a station, solved together against the header.
//
// One reason to change: how the flows of all pumps are found together.
//
// Method: the branches' flows q_i(lift) from branch.hpp add up to what leaves the header
// (header_balance.hpp). Both sides are monotone, so there is one answer. Three ways lead to it, the quickest
// first:
//
//   one pass from the flows of the last step, while all is settled (settled_lanes.hpp);
//   Newton on all flows at once, while no check valve moves;
//   Newton within a closing bracket, when a check valve moves or the second way does not settle.
//
// Units: SI; speeds are ratios of rated speed.
// Valid: one to eight pumps, any step.
// Source: Newton's method held within a bracket, any text on numerical analysis.
// Leaves out: see branch.hpp.
#pragma once

#include <array>
#include <cstddef>

#include "config/hydraulics/pump_curve.hpp"
#include "config/station.hpp"
#include "sim_plant/physics/branch.hpp"
#include "sim_plant/physics/settled_lanes.hpp"

namespace freshet::plant {

class PumpGroup {
  public:
    /// One figure for each pump; the places past the station's pumps are not read.
    using PerPump = std::array<double, 8>;

    /// `station`: free of hydraulic contradictions (hydraulic_contradictions.hpp).
    explicit PumpGroup(const config::Station& station);

    /// The balance solved: the header's unknown, the lift of every branch, and what the pumps push together.
    struct Solved {
        double unknown = 0, lift_m = 0, flow_m3s = 0;
    };
    /// Solves one step of `dt_s`. `Header` is one of header_balance.hpp.
    template <class Header>
    Solved solve(const Header& header, const PerPump& speed_ratio, double dt_s);

    /// Whether the last solve went by the quick pass, so that every check valve is where it was.
    bool valves_unmoved() const { return valves_unmoved_; }
    /// Whether the quick pass may be taken next: nothing but small changes since the last solve.
    bool settled() const { return lanes_.ready(); }
    /// No speed is further than `reach` from that of the last pass; only while `settled`.
    bool speeds_within(const PerPump& speed_ratio, double reach) const {
        return lanes_.speeds_within(speed_ratio, reach);
    }
    /// A pump turned at the last solve.
    bool turning_any() const { return turning_any_; }

    /// The next solve is an exact one, from the flows as they are.
    void unsettle();
    /// Every flow becomes this share of itself.
    void scale_flows(double share);
    /// Whether water can come back through the main when a check valve is open. True from the beginning.
    void let_drain_back(bool may);
    /// Share of the head that air in the suctions leaves; 1: solid water.
    void set_air_factor(double factor);
    double air_factor() const { return air_factor_; }

    /// Faults; `pump` counts from zero. They hold until set again. Shares are clamped to 0..1.
    void set_wear(std::size_t pump, double head_factor);
    void set_blockage(std::size_t pump, double blocked_share);
    void set_valve_stuck_open(std::size_t pump, bool stuck);

    /// What shafts and suctions feel at the flows of the last solve. `npsh_available_m` above the pump's
    /// centre.
    void report(double npsh_available_m, const SettledLanes::Shafts& shafts) const;
    const Branch& branch(std::size_t pump) const { return branches_[pump]; }
    const config::PumpCurve& curve() const { return curve_; }

  private:
    struct OpenBranches;

    void refresh(std::size_t pump);
    void set_speeds(const PerPump& speed_ratio);
    OpenBranches open_branches() const;
    template <class Header>
    Solved solve_exactly(const Header& header, double dt_s);
    template <class Header>
    bool solve_unmoved(const Header& header, double& unknown);
    template <class Header>
    double solve_bracketed(const Header& header, double dt_s);
    PerPump reverse_openings(double dt_s) const;
    void take_over(double lift_m, const PerPump& reverse_opening);
    void report_branches(double npsh_available_m, const SettledLanes::Shafts& shafts) const;

    config::PumpCurve curve_;
    std::array<Branch, 8> branches_{};
    SettledLanes lanes_;
    std::size_t pumps_;
    double branch_loss_s2m5_, valve_closing_s_, minimum_flow_m3s_, flow_scale_m3s_;
    double air_factor_ = 1;
    bool turning_any_ = false;
    bool valves_settled_ = true;  ///< each check valve is wide open with flow or on its seat without
    bool valves_unmoved_ = false;
    bool may_drain_back_ = true;
};

}  // namespace freshet::plant
