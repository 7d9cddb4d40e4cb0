// Filling the lanes from branches and handing them back; see the header.
#include "sim_plant/physics/settled_lanes.hpp"

namespace freshet::plant {
namespace {

/// A lift that no station reaches, so that a lane without a shut valve never asks for one to open.
constexpr double no_lift_m = -1e9;
constexpr double anywhere_m3s = 1e9;

}  // namespace

bool SettledLanes::refresh(std::span<const Branch> branches, const PumpCurve& curve, const Balance& balance) {
    ready_ = false;
    four_ = branches.size() <= 4;
    change_max_m3s_ = change_max * curve.largest_flow_m3s();
    const double reach = reach_max * curve.largest_flow_m3s();
    const double shut_off = curve.shut_off_head_m();
    double pull = 0;
    for (std::size_t i = 0; i < branches.size(); ++i) {
        const Branch& branch = branches[i];
        const bool open = branch.opening > 0;
        const bool pumps = branch.per_speed > 0;
        if (open && !(pumps && branch.flow_m3s > 0)) return false;
        if (branch.speed_ratio > 0 && (branch.wholly_blocked || !pumps)) return false;
        const double s = branch.speed_ratio;
        const double s2 = s * s;
        const double head_factor = pumps ? branch.head_scale / s2 : 0;
        const double x = open ? branch.flow_m3s * branch.per_speed : 0;
        const CurvePiece* piece =
            curve.piece(x, branch.piece != nullptr ? branch.piece : curve.first_piece());
        const double from = piece->from_m3s;
        const double loss = branch.loss_s2m5;
        speed_[i] = speed_held_[i] = s;
        speed_reach_[i] = speed_reach_max * s;
        turning_[i] = s > 0 ? 1 : 0;
        flow_[i] = x;
        from_[i] = from;
        // k x^2 about the piece's start joins the head's cubic.
        lift_[0][i] = head_factor * piece->head[0] - loss * from * from;
        lift_[1][i] = head_factor * piece->head[1] - 2 * loss * from;
        lift_[2][i] = head_factor * piece->head[2] - loss;
        lift_[3][i] = head_factor * piece->head[3];
        for (std::size_t k = 0; k < 4; ++k) {
            torque_[k][i] = piece->torque[k];
            npshr_[k][i] = piece->npshr[k];
        }
        if (open) {
            const double t = x - from;
            const double slope = lift_[1][i] + t * (2 * lift_[2][i] + t * 3 * lift_[3][i]);
            if (!(slope < 0)) return false;
            low_[i] = std::max({x - reach, from, 0.5 * x});
            high_[i] = std::min(x + reach, piece->to_m3s);
            per_slope_[i] = 1 / (s2 * slope);
            shut_off_[i] = no_lift_m;
            pull += s * per_slope_[i];
        } else {
            low_[i] = -anywhere_m3s;
            high_[i] = anywhere_m3s;
            per_slope_[i] = 0;
            shut_off_[i] = branch.wholly_blocked ? no_lift_m : head_factor * shut_off;
        }
    }
    for (std::size_t i = branches.size(); i < speed_.size(); ++i) {
        speed_[i] = speed_held_[i] = turning_[i] = flow_[i] = from_[i] = per_slope_[i] = 0;
        // What the inputs say about pumps that are not there does not matter.
        speed_reach_[i] = anywhere_m3s;
        low_[i] = -anywhere_m3s;
        high_[i] = anywhere_m3s;
        shut_off_[i] = no_lift_m;
        for (std::size_t k = 0; k < 4; ++k) lift_[k][i] = torque_[k][i] = npshr_[k][i] = 0;
    }
    per_balance_slope_ = 1 / (balance.out_slope - pull * balance.lift_slope);
    ready_ = true;
    return true;
}

void SettledLanes::hand_back(std::span<Branch> branches, const PumpCurve& curve, double branch_loss_s2m5,
                             double air_factor) {
    ready_ = false;
    for (std::size_t i = 0; i < branches.size(); ++i) {
        Branch& branch = branches[i];
        branch.flow_m3s = speed_[i] * flow_[i];
        if (branch.speed_ratio != speed_[i])
            set_branch(branch, curve, branch_loss_s2m5, speed_[i], air_factor);
        if (branch.flow_m3s > 0) branch.piece = curve.piece(flow_[i], branch.piece);
    }
}

}  // namespace freshet::plant
