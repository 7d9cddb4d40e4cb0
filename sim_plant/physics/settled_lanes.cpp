// Fills the lanes from the branches and hands them back; see the header.
//
// One reason to change: how the settled step is made quick.
#include "sim_plant/physics/settled_lanes.hpp"

#include <algorithm>
#include <cmath>

namespace freshet::plant {
namespace {

/// Below any lift of any station.
constexpr double no_lift_m = -1e9;
/// The inverse square of a bound so small that only a change of zero is within the bound.
constexpr double none = 1e30;
/// Weight of a change of speed of a stopped pump, so large that any change is out of bounds.
constexpr double stopped = 1e15;
constexpr double slope_change_max = 0.05;
constexpr double change_max_of_reach = 0.1;

}  // namespace

bool SettledLanes::refresh(std::span<const Branch> branches, const config::PumpCurve& curve) {
    ready_ = false;
    four_ = branches.size() <= 4;
    const double largest = curve.largest_flow_m3s();
    shut_off_most_m_ = no_lift_m;
    for (std::size_t i = 0; i < branches.size(); ++i) {
        const Branch& branch = branches[i];
        const double s = branch.speed_ratio;
        const double s2 = s * s;
        const bool open = branch.opening > 0;
        const bool pumps = branch.per_speed > 0;
        if (open && !(pumps && branch.flow_m3s > 0)) return false;
        if (s > 0 && (branch.wholly_blocked || !pumps)) return false;
        speed_[i] = speed_held_[i] = s;
        // A stopped pump that begins to turn, however slowly, is no longer settled.
        speed_weight_[i] = s > 0 ? 1 : stopped;
        per_speed_reach2_[i] = s > 0 ? 1 / (speed_reach_max * speed_reach_max * s2) : none;
        turning_[i] = s > 0 ? 1 : 0;
        const double x = open ? branch.flow_m3s * branch.per_speed : 0;
        const config::CurvePiece* piece = curve.piece(x, curve.first_piece());
        const double from = piece->from_m3s;
        flow_[i] = x;
        from_[i] = from;
        for (std::size_t k = 0; k < 4; ++k) {
            torque_[k][i] = piece->torque[k];
            npshr_[k][i] = piece->npshr[k];
        }
        if (!open) {
            middle_[i] = per_slope_[i] = per_change2_[i] = per_reach2_[i] = 0;
            for (std::size_t k = 0; k < 4; ++k) lift_[k][i] = 0;
            constexpr double faster = (1 + speed_reach_max) * (1 + speed_reach_max);
            if (!branch.wholly_blocked)
                shut_off_most_m_ = std::max(shut_off_most_m_, faster * branch.shut_off_m);
            continue;
        }
        // k x^2 from the start of the piece is added to the cubic of the head.
        const double head_factor = branch.head_scale / s2;
        const double loss = branch.loss_s2m5;
        lift_[0][i] = head_factor * piece->head[0] - loss * from * from;
        lift_[1][i] = head_factor * piece->head[1] - 2 * loss * from;
        lift_[2][i] = head_factor * piece->head[2] - loss;
        lift_[3][i] = head_factor * piece->head[3];
        const double t = x - from;
        const double slope = lift_[1][i] + t * (2 * lift_[2][i] + t * 3 * lift_[3][i]);
        const double bend = 2 * lift_[2][i] + t * 6 * lift_[3][i];
        // Within `reach_max` the slopes differ by at most a twentieth from the kept slopes, so that every
        // pass converges.
        const double reach =
            std::min({reach_max * largest, slope_change_max * x, slope_change_max * std::abs(slope / bend)});
        const double low = std::max(x - reach, from);
        const double high = std::min(x + reach, piece->to_m3s);
        if (!(slope < 0 && low < high)) return false;
        middle_[i] = 0.5 * (low + high);
        per_reach2_[i] = 4 / ((high - low) * (high - low));
        const double change = std::min(change_max * largest, change_max_of_reach * reach);
        per_change2_[i] = 1 / (change * change);
        per_slope_[i] = 1 / (s2 * slope);
    }
    for (std::size_t i = branches.size(); i < speed_.size(); ++i) {
        // Lanes without a pump. The inputs of these lanes have no effect.
        speed_weight_[i] = speed_[i] = speed_held_[i] = turning_[i] = flow_[i] = from_[i] = middle_[i] =
            per_slope_[i] = 0;
        per_change2_[i] = per_reach2_[i] = per_speed_reach2_[i] = 0;
        for (std::size_t k = 0; k < 4; ++k) lift_[k][i] = torque_[k][i] = npshr_[k][i] = 0;
    }
    ready_ = true;
    return true;
}

void SettledLanes::hand_back(std::span<Branch> branches, const config::PumpCurve& curve,
                             double branch_loss_s2m5, double air_factor) {
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
