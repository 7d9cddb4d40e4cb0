// Flow through one pump's branch at a given lift; see the header for the equations.
//
// One reason to change: the parts of a branch between the suction and the header.
#include "sim_plant/physics/branch.hpp"

#include <cmath>

namespace freshet::plant {
namespace {

constexpr double wholly_blocked_from = 0.999;
/// An impeller counts as stopped when air leaves less than this share of its head.
constexpr double air_bound_below = 0.02;
/// An impeller below this speed ratio counts as stopped. Its shut-off head is then a millionth of the rated
/// one.
constexpr double stopped_below = 1e-3;

}  // namespace

void set_branch(Branch& branch, const config::PumpCurve& curve, double branch_loss_s2m5, double speed_ratio,
                double air_factor) {
    const double blocked = branch.faults.blockage;
    branch.wholly_blocked = blocked >= wholly_blocked_from;
    branch.speed_ratio = speed_ratio;
    branch.air_factor = air_factor;
    double loss = branch_loss_s2m5;
    if (blocked > 0 && !branch.wholly_blocked) {
        const double largest = curve.largest_flow_m3s();
        const double clear = 1 - blocked;
        loss += curve.shut_off_head_m() / (largest * largest) * (1 / (clear * clear) - 1);
    }
    const double head_factor = branch.faults.head_factor * air_factor;
    const bool pumps = speed_ratio >= stopped_below && head_factor >= air_bound_below;
    branch.per_speed = pumps ? 1 / speed_ratio : 0;
    branch.head_scale = pumps ? head_factor * speed_ratio * speed_ratio : 0;
    branch.slope_scale = pumps ? head_factor * speed_ratio : 0;
    branch.shut_off_m = branch.head_scale * curve.shut_off_head_m();
    branch.reverse_loss_s2m5 = loss + curve.stopped_loss_s2m5();
    branch.loss_s2m5 = pumps ? loss : branch.reverse_loss_s2m5;
    branch.piece = curve.piece(branch.flow_m3s > 0 ? branch.flow_m3s * branch.per_speed : 0,
                               branch.piece != nullptr ? branch.piece : curve.first_piece());
}

BranchFlow branch_flow(const Branch& branch, const config::PumpCurve& curve, double lift_m,
                       double reverse_opening) {
    if (branch.wholly_blocked) return {};
    const double excess = lift_m - branch.shut_off_m;
    if (excess >= 0) {
        if (reverse_opening <= 0 || excess == 0) return {};
        const double flow = -reverse_opening * std::sqrt(excess / branch.reverse_loss_s2m5);
        return {flow, 0.5 * flow / excess};
    }
    if (branch.per_speed == 0) {
        const double flow = std::sqrt(-excess / branch.loss_s2m5);
        return {flow, 0.5 * flow / excess};
    }
    const double s = branch.speed_ratio;
    const double x = curve.flow_m3s(lift_m / (s * s), branch.head_scale / (s * s), branch.loss_s2m5);
    const config::CurvePiece* at = curve.piece(x, curve.first_piece());
    const double lift_slope =
        branch.slope_scale * config::slope_at(at->head, x - at->from_m3s) - 2 * branch.loss_s2m5 * s * x;
    return {s * x, lift_slope < 0 ? 1 / lift_slope : 0};
}

}  // namespace freshet::plant
