// All pump branches of a station, solved together with the header.
//
// One reason to change: how the flows of all pumps are found together.
//
// Method: the sum of the branches' flows q_i(lift) from branch.hpp equals the outflow of the header
// (header_balance.hpp). Both sides are monotone, so there is one answer. There are three ways to the answer,
// the quickest first:
//
//   one pass from the flows of the last step, while the pumps are settled (settled_lanes.hpp);
//   Newton's method on all flows at once, while no check valve moves;
//   Newton's method within a bracket, when a check valve moves or the second way does not settle.
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
    /// One figure for each pump. Places beyond the station's pumps are not read.
    using PerPump = std::array<double, 8>;

    /// `station`: free of hydraulic contradictions (hydraulic_contradictions.hpp).
    explicit PumpGroup(const config::Station& station);

    /// The solved balance: the header's unknown, the lift of every branch, and the sum of the pumps' flows.
    struct Solved {
        double unknown = 0, lift_m = 0, flow_m3s = 0;
    };
    /// Solves one step of `dt_s`. `Header` is one of header_balance.hpp.
    template <class Header>
    Solved solve(const Header& header, const PerPump& speed_ratio, double dt_s);

    /// Whether the last solution used the quick pass. Every check valve is then where it was before.
    bool valves_unmoved() const { return valves_unmoved_; }
    /// Whether the next step may use the quick pass: only small changes since the last solution.
    bool settled() const { return lanes_.ready(); }
    /// No speed differs by more than `reach` from its speed in the last pass. Valid only while `settled`.
    bool speeds_within(const PerPump& speed_ratio, double reach) const {
        return lanes_.speeds_within(speed_ratio, reach);
    }
    /// A pump turned at the last solution.
    bool turning_any() const { return turning_any_; }

    /// The next solution is an exact one, from the present flows.
    void unsettle();
    /// Every flow becomes this share of itself.
    void scale_flows(double share);
    /// Whether water can flow back through the main when a check valve is open. True at the beginning.
    void set_drain_back(bool may);
    /// The share of the head that remains with air in the suctions; 1: no air.
    void set_air_factor(double factor);
    double air_factor() const { return air_factor_; }

    /// Faults. `pump` counts from zero. A fault stays until another call changes the fault. Shares are
    /// limited to 0..1.
    void set_wear(std::size_t pump, double head_factor);
    void set_blockage(std::size_t pump, double blocked_share);
    void set_valve_stuck_open(std::size_t pump, bool stuck);

    /// The torque, power and suction figures of the pumps at the flows of the last solution.
    /// `npsh_available_m`: above the pump's centre.
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
    bool valves_settled_ = true;  ///< each check valve is fully open with flow, or shut without flow
    bool valves_unmoved_ = false;
    bool may_drain_back_ = true;
};

}  // namespace freshet::plant
