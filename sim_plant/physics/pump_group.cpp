// Solves all pump branches together; see the header for the three ways.
//
// One reason to change: how the flows of all pumps are found together.
#include "sim_plant/physics/pump_group.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

#include "sim_plant/physics/check_valve.hpp"
#include "sim_plant/physics/header_balance.hpp"

namespace freshet::plant {
namespace {

/// A pump below this share of rated speed is not compared with its minimum flow.
constexpr double judged_from_speed = 0.1;
/// The square of Newton's last change no longer matters below this share of the station's flow scale.
constexpr double settled_change = 1e-5;
constexpr int newton_passes_max = 6;
constexpr int bracketed_passes_max = 200;
constexpr int widenings_max = 80;

/// The flow of the pumps minus the flow out of the header. The surplus falls as the header's unknown rises.
template <class Header>
class Surplus {
  public:
    Surplus(const Header& header, std::span<const Branch> branches, const config::PumpCurve& curve,
            const PumpGroup::PerPump& reverse_opening)
        : header_(header), branches_(branches), curve_(curve), reverse_opening_(reverse_opening) {}

    double operator()(double unknown) {
        const Balance balance = header_.at(unknown);
        double sum = 0;
        double sum_slope = 0;
        for (std::size_t i = 0; i < branches_.size(); ++i) {
            const BranchFlow flow = branch_flow(branches_[i], curve_, balance.lift_m, reverse_opening_[i]);
            sum += flow.flow_m3s;
            sum_slope += flow.slope_m2s;
        }
        slope_ = sum_slope * balance.lift_slope - balance.out_slope;
        return sum - balance.out_m3s;
    }
    /// The slope of the surplus over the unknown, at the last evaluation; below zero.
    double slope() const { return slope_; }

  private:
    const Header& header_;
    std::span<const Branch> branches_;
    const config::PumpCurve& curve_;
    const PumpGroup::PerPump& reverse_opening_;
    double slope_ = 0;
};

struct Bracket {
    double low = 0, high = 0;
};

/// The surplus is zero or more at `low` and zero or less at `high`.
template <class Falling>
Bracket bracket_around(Falling& surplus, double guess, double stride) {
    const double value = surplus(guess);
    double low = guess;
    double high = guess;
    if (value > 0) {
        for (int i = 0; i < widenings_max; ++i) {
            low = high;
            high += stride;
            if (surplus(high) <= 0) break;
            stride *= 2;
        }
    } else if (value < 0) {
        for (int i = 0; i < widenings_max; ++i) {
            high = low;
            low -= stride;
            if (surplus(low) >= 0) break;
            stride *= 2;
        }
    }
    return {low, high};
}

/// Newton's method inside a bracket. A pass that does not halve the surplus halves the bracket instead, so
/// that a root next to an infinite slope is found, too.
template <class Falling>
double root_within(Falling& surplus, Bracket bracket, double unknown_resolution, double flow_resolution) {
    double left_before = std::numeric_limits<double>::infinity();
    double z = 0.5 * (bracket.low + bracket.high);
    for (int i = 0; i < bracketed_passes_max && bracket.high - bracket.low > unknown_resolution; ++i) {
        const double value = surplus(z);
        const double left = std::abs(value);
        if (left <= flow_resolution) break;
        (value > 0 ? bracket.low : bracket.high) = z;
        double next = z - value / surplus.slope();
        if (!(next > bracket.low && next < bracket.high) || left > 0.5 * left_before) {
            next = 0.5 * (bracket.low + bracket.high);
            left_before = std::numeric_limits<double>::infinity();
        } else {
            left_before = left;
        }
        z = next;
    }
    return z;
}

}  // namespace

/// The branches with an open check valve, as Newton's method changes them.
struct PumpGroup::OpenBranches {
    std::array<std::size_t, 8> index{};
    std::array<double, 8> flow{}, change{}, per_slope{};
    std::array<const config::CurvePiece*, 8> piece{};
    std::size_t count = 0;
    double shut_off_most_m = -1e300;  ///< below this lift some shut valve would open

    struct Sums {
        double flow = 0, per_slope = 0;
    };
    /// Each branch's change of flow towards `lift_m`, and the sums over all branches.
    Sums approach(double lift_m, const std::array<Branch, 8>& branches, const config::PumpCurve& curve) {
        Sums sums;
        for (std::size_t j = 0; j < count; ++j) {
            const Branch& branch = branches[index[j]];
            double head = 0;
            double slope = 0;
            if (flow[j] < 0) {
                slope = 2 * branch.reverse_loss_s2m5 * flow[j];
                head = branch.shut_off_m + 0.5 * slope * flow[j];
            } else {
                const double x = flow[j] * branch.per_speed;
                piece[j] = curve.piece(x, piece[j]);
                const double t = x - piece[j]->from_m3s;
                head = branch.head_scale * config::value_at(piece[j]->head, t) -
                       branch.loss_s2m5 * flow[j] * flow[j];
                slope =
                    branch.slope_scale * config::slope_at(piece[j]->head, t) - 2 * branch.loss_s2m5 * flow[j];
            }
            per_slope[j] = 1 / slope;
            change[j] = (lift_m - head) * per_slope[j];
            sums.flow += flow[j] + change[j];
            sums.per_slope += per_slope[j];
        }
        return sums;
    }
    /// Applies the changes, with the lift changed by a further `lift_step_m`. False: a flow would reverse, or
    /// is NaN. `largest`: the largest change.
    bool move(double lift_step_m, double& largest) {
        largest = 0;
        for (std::size_t j = 0; j < count; ++j) {
            const double moved = change[j] + lift_step_m * per_slope[j];
            if (!((flow[j] + moved) * flow[j] > 0)) return false;
            flow[j] += moved;
            largest = std::max(largest, std::abs(moved));
        }
        return true;
    }
};

PumpGroup::PumpGroup(const config::Station& station)
    : curve_(station.pump, station.fluid),
      pumps_(station.pump_count),
      branch_loss_s2m5_(station.pump.branch_loss_s2m5),
      valve_closing_s_(station.pump.valve_closing_s),
      minimum_flow_m3s_(station.pump.minimum_flow_m3s),
      flow_scale_m3s_(curve_.largest_flow_m3s()) {
    for (std::size_t i = 0; i < pumps_; ++i) set_branch(branches_[i], curve_, branch_loss_s2m5_, 0, 1);
}

void PumpGroup::unsettle() {
    if (!lanes_.ready()) return;
    lanes_.hand_back(std::span(branches_).first(pumps_), curve_, branch_loss_s2m5_, air_factor_);
}

void PumpGroup::refresh(std::size_t pump) {
    unsettle();
    Branch& branch = branches_[pump];
    set_branch(branch, curve_, branch_loss_s2m5_, branch.speed_ratio, air_factor_);
    valves_settled_ = false;
}

void PumpGroup::set_wear(std::size_t pump, double head_factor) {
    branches_.at(pump).faults.head_factor = std::clamp(head_factor, 0.0, 1.0);
    refresh(pump);
}

void PumpGroup::set_blockage(std::size_t pump, double blocked_share) {
    branches_.at(pump).faults.blockage = std::clamp(blocked_share, 0.0, 1.0);
    refresh(pump);
}

void PumpGroup::set_valve_stuck_open(std::size_t pump, bool stuck) {
    branches_.at(pump).faults.stuck_open = stuck;
    refresh(pump);
}

void PumpGroup::set_air_factor(double factor) {
    unsettle();
    air_factor_ = factor;
    for (std::size_t i = 0; i < pumps_; ++i)
        set_branch(branches_[i], curve_, branch_loss_s2m5_, branches_[i].speed_ratio, factor);
}

void PumpGroup::set_drain_back(bool may) {
    if (may == may_drain_back_) return;
    unsettle();
    valves_settled_ = false;
    may_drain_back_ = may;
}

void PumpGroup::scale_flows(double share) {
    unsettle();
    for (std::size_t i = 0; i < pumps_; ++i) branches_[i].flow_m3s *= share;
}

void PumpGroup::set_speeds(const PerPump& speed_ratio) {
    turning_any_ = false;
    for (std::size_t i = 0; i < pumps_; ++i) {
        const double speed = std::max(0.0, speed_ratio[i]);
        turning_any_ = turning_any_ || speed > 0;
        if (speed == branches_[i].speed_ratio) continue;
        set_branch(branches_[i], curve_, branch_loss_s2m5_, speed, air_factor_);
    }
}

PumpGroup::OpenBranches PumpGroup::open_branches() const {
    OpenBranches open;
    for (std::size_t i = 0; i < pumps_; ++i) {
        const Branch& branch = branches_[i];
        if (branch.opening > 0) {
            open.index[open.count] = i;
            open.flow[open.count] = branch.flow_m3s;
            open.piece[open.count] = branch.piece;
            ++open.count;
        } else if (!branch.wholly_blocked) {
            open.shut_off_most_m = std::max(open.shut_off_most_m, branch.shut_off_m);
        }
    }
    return open;
}

/// Newton's method on all flows at once, from the flows of the last step. False: a check valve would move, or
/// Newton's method does not settle.
template <class Header>
bool PumpGroup::solve_unmoved(const Header& header, double& unknown) {
    OpenBranches open = open_branches();
    double z = header.guess;
    double lift_m = 0;
    bool settled = false;
    for (int pass = 0; pass < newton_passes_max && !settled; ++pass) {
        const Balance balance = header.at(z);
        const OpenBranches::Sums sums = open.approach(balance.lift_m, branches_, curve_);
        const double step =
            (sums.flow - balance.out_m3s) / (balance.out_slope - sums.per_slope * balance.lift_slope);
        const double lift_step_m = balance.lift_slope * step;
        z += step;
        lift_m = balance.lift_m + lift_step_m;
        double largest = 0;
        if (!open.move(lift_step_m, largest)) return false;
        settled = open.count > 0 ? largest <= settled_change * flow_scale_m3s_
                                 : std::abs(step) <= settled_change * header.first_stride(flow_scale_m3s_);
    }
    if (!settled || lift_m < open.shut_off_most_m) return false;
    for (std::size_t j = 0; j < open.count; ++j) {
        Branch& branch = branches_[open.index[j]];
        branch.flow_m3s = open.flow[j];
        branch.piece = open.piece[j];
    }
    unknown = z;
    return true;
}

PumpGroup::PerPump PumpGroup::reverse_openings(double dt_s) const {
    PerPump reverse{};
    if (!may_drain_back_) return reverse;
    for (std::size_t i = 0; i < pumps_; ++i) {
        const Branch& branch = branches_[i];
        reverse[i] =
            branch.faults.stuck_open ? 1 : opening_after_reversal(branch.opening, dt_s, valve_closing_s_);
    }
    return reverse;
}

/// Sets flows and check valves to their state at a lift.
void PumpGroup::take_over(double lift_m, const PerPump& reverse_opening) {
    valves_settled_ = true;
    for (std::size_t i = 0; i < pumps_; ++i) {
        Branch& branch = branches_[i];
        branch.flow_m3s = branch_flow(branch, curve_, lift_m, reverse_opening[i]).flow_m3s;
        branch.opening = branch.flow_m3s > 0 ? 1 : reverse_opening[i];
        if (branch.flow_m3s > 0) {
            branch.piece = curve_.piece(branch.flow_m3s * branch.per_speed, branch.piece);
        } else if (branch.opening > 0 && !(branch.faults.stuck_open && branch.flow_m3s < 0)) {
            valves_settled_ = false;
        }
    }
}

/// Decides again which check valves are open.
template <class Header>
double PumpGroup::solve_bracketed(const Header& header, double dt_s) {
    const PerPump reverse = reverse_openings(dt_s);
    Surplus<Header> surplus(header, std::span(branches_).first(pumps_), curve_, reverse);
    const double stride = header.first_stride(flow_scale_m3s_);
    const Bracket bracket = bracket_around(surplus, header.guess, stride);
    const double unknown_resolution = 1e-14 * stride;
    const double flow_resolution = 1e-13 * flow_scale_m3s_;
    const double unknown = root_within(surplus, bracket, unknown_resolution, flow_resolution);
    take_over(header.at(unknown).lift_m, reverse);
    return unknown;
}

template <class Header>
PumpGroup::Solved PumpGroup::solve_exactly(const Header& header, double dt_s) {
    Solved solved;
    if (!(valves_settled_ && solve_unmoved(header, solved.unknown)))
        solved.unknown = solve_bracketed(header, dt_s);
    for (std::size_t i = 0; i < pumps_; ++i) solved.flow_m3s += branches_[i].flow_m3s;
    solved.lift_m = header.at(solved.unknown).lift_m;
    if (turning_any_ && valves_settled_ && air_factor_ == 1)
        lanes_.refresh(std::span(branches_).first(pumps_), curve_);
    return solved;
}

template <class Header>
PumpGroup::Solved PumpGroup::solve(const Header& header, const PerPump& speed_ratio, double dt_s) {
    if (lanes_.ready()) {
        const SettledLanes::Solution pass = lanes_.pass(speed_ratio, header.at(header.guess));
        valves_unmoved_ = pass.taken;
        if (pass.taken) return {header.guess + pass.step, pass.lift_m, pass.flow_m3s};
        unsettle();
    }
    valves_unmoved_ = false;
    set_speeds(speed_ratio);
    return solve_exactly(header, dt_s);
}

template PumpGroup::Solved PumpGroup::solve(const MainColumn&, const PerPump&, double);
template PumpGroup::Solved PumpGroup::solve(const PressureHeader&, const PerPump&, double);

void PumpGroup::report(double npsh_available_m, const SettledLanes::Shafts& shafts) const {
    if (lanes_.ready()) {
        lanes_.report(npsh_available_m, curve_.rated_speed_rad_s(), minimum_flow_m3s_, judged_from_speed,
                      shafts);
    } else {
        report_branches(npsh_available_m, shafts);
    }
}

void PumpGroup::report_branches(double npsh_available_m, const SettledLanes::Shafts& shafts) const {
    for (std::size_t i = 0; i < pumps_; ++i) {
        const Branch& branch = branches_[i];
        const double flow = branch.flow_m3s;
        const double s = branch.speed_ratio;
        const bool forward = flow > 0;
        const double t = forward ? flow * branch.per_speed - branch.piece->from_m3s : 0;
        const config::CurvePiece& piece = forward ? *branch.piece : *curve_.first_piece();
        const double torque = s * s * branch.air_factor * config::value_at(piece.torque, t);
        shafts.flow_m3s[i] = flow;
        shafts.torque_nm[i] = torque;
        shafts.power_w[i] = torque * s * curve_.rated_speed_rad_s();
        shafts.npsh_margin_m[i] = s > 0 ? npsh_available_m - s * s * config::value_at(piece.npshr, t) : 0;
        shafts.below_minimum_flow[i] = s >= judged_from_speed && flow < s * minimum_flow_m3s_;
    }
}

}  // namespace freshet::plant
