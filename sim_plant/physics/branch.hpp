// One pump in its branch between suction and header: pump curve at its speed, branch loss, check valve, wear,
// blockage.
//
// One reason to change: what lies between the suction and the header.
//
// Equations, with w the head factor (wear, air in the suction), k the branch loss and any blockage:
//
//   forwards: lift g(q) = w s^2 h(q/s) - k q^2
//   stopped impeller: lifts nothing and adds its own loss c
//   backwards, through an opening a of the check valve: lift = s^2 w h(0) + (k + c)(q/a)^2
//   blockage of a share b of the passage adds k_b = (H/Q^2) (1/(1-b)^2 - 1),
//     Q the flow of the last catalogue point and H the shut-off head
//
// Units: m, m3/s, s2/m5, ratios.
//
// Valid: speed ratio 0 upwards, head factor 0..1, blockage 0..1.
//
// Source: affinity laws and quadratic losses: common practice; the blockage law is of our own making.
//
// Leaves out: inertia of the water in the branch (short against the main), reverse rotation, cavitation's
// loss of head.
#pragma once

#include "config/hydraulics/pump_curve.hpp"

namespace freshet::plant {

/// Set by faults, kept until set again.
struct BranchFaults {
    double head_factor = 1;   ///< wear: share of the catalogue head that is left
    double blockage = 0;      ///< 0 clear, 1 wholly blocked
    bool stuck_open = false;  ///< the check valve does not shut
};

struct Branch {
    BranchFaults faults;
    double speed_ratio = 0;
    double per_speed = 0;    ///< one over the speed ratio; 0 when stopped
    double head_scale = 0;   ///< w s^2
    double slope_scale = 0;  ///< w s
    double loss_s2m5 = 0;    ///< k, with the stopped impeller's loss where it does not turn
    double reverse_loss_s2m5 = 0;
    double shut_off_m = 0;  ///< lift at no flow
    double air_factor = 1;  ///< share of the head that air in the suction leaves
    double opening = 0;     ///< of the check valve
    double flow_m3s = 0;    ///< forwards positive
    const config::CurvePiece* piece = nullptr;
    bool wholly_blocked = false;
};

/// Recomputes what follows from speed, faults and air in the suction (0 none primed .. 1 solid water).
void set_branch(Branch& branch, const config::PumpCurve& curve, double branch_loss_s2m5, double speed_ratio,
                double air_factor);

struct BranchFlow {
    double flow_m3s = 0;
    double slope_m2s = 0;  ///< of flow over lift; zero or less
};

/// Flow at which the branch lifts by `lift_m` (header less suction head). `reverse_opening`: 0..1, open to
/// reverse flow. Monotone falling in the lift, so that a station's header has one head.
BranchFlow branch_flow(const Branch& branch, const config::PumpCurve& curve, double lift_m,
                       double reverse_opening);

}  // namespace freshet::plant
