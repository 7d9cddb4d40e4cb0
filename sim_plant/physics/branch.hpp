// One pump in its branch between suction and header: pump curve at its speed, branch loss, check valve, wear,
// blockage.
//
// One reason to change: the parts of a branch between the suction and the header.
//
// Equations. w is the head factor (wear, air in the suction), k the branch loss with any blockage:
//
//   forwards: lift g(q) = w s^2 h(q/s) - k q^2
//   stopped impeller: no head, and an added loss c of its own
//   backwards, through an opening a of the check valve: lift = s^2 w h(0) + (k + c)(q/a)^2
//   blockage of a share b of the passage adds k_b = (H/Q^2) (1/(1-b)^2 - 1),
//     Q the flow of the last catalogue point and H the shut-off head
//
// Units: m, m3/s, s2/m5, ratios.
//
// Valid: speed ratio 0 upwards, head factor 0..1, blockage 0..1.
//
// Source: affinity laws and quadratic losses: common practice. The blockage law is of our own making.
//
// Leaves out: inertia of the water in the branch (the branch is short compared with the main), reverse
// rotation, the loss of head by cavitation.
#pragma once

#include "config/hydraulics/pump_curve.hpp"

namespace freshet::plant {

/// Faults of a pump's branch. A fault stays until another call changes the fault.
struct BranchFaults {
    double head_factor = 1;   ///< wear: the remaining share of the catalogue head
    double blockage = 0;      ///< 0 clear, 1 wholly blocked
    bool stuck_open = false;  ///< the check valve does not shut
};

struct Branch {
    BranchFaults faults;
    double speed_ratio = 0;
    double per_speed = 0;    ///< the inverse of the speed ratio; 0 when stopped
    double head_scale = 0;   ///< w s^2
    double slope_scale = 0;  ///< w s
    /// Loss k; with a stopped impeller the loss of the impeller is added.
    double loss_s2m5 = 0;
    double reverse_loss_s2m5 = 0;
    double shut_off_m = 0;  ///< lift at no flow
    double air_factor = 1;  ///< the share of the head that remains with air in the suction
    double opening = 0;     ///< of the check valve
    double flow_m3s = 0;    ///< positive in the pumping direction
    const config::CurvePiece* piece = nullptr;
    bool wholly_blocked = false;
};

/// Calculates again the values that depend on speed, faults and air in the suction (0: no water, 1: no air).
void set_branch(Branch& branch, const config::PumpCurve& curve, double branch_loss_s2m5, double speed_ratio,
                double air_factor);

struct BranchFlow {
    double flow_m3s = 0;
    double slope_m2s = 0;  ///< change of flow per metre of lift; zero or less
};

/// Flow at which the branch lifts by `lift_m` (header head minus suction head). `reverse_opening`: opening of
/// the check valve to reverse flow, 0..1. The flow falls steadily as the lift rises, so a station has exactly
/// one header head.
BranchFlow branch_flow(const Branch& branch, const config::PumpCurve& curve, double lift_m,
                       double reverse_opening);

}  // namespace freshet::plant
