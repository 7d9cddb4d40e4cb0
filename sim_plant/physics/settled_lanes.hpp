// The branches of a station side by side, so that a step close to the last step needs only a few dozen
// instructions.
//
// One reason to change: how the settled step is made quick.
//
// Equations: the balance of pump_group.hpp, in flow at rated speed x = q/s. The lift of a branch is then
//   s^2 G(x), G(x) = w h(x) - k x^2, one cubic on each piece of the curve.
// One pass of a chord method uses the slopes 1/(s^2 G') of the last refresh. A pass is valid only while every
// flow changes by less than `change_max` of the largest catalogue flow, and stays within `reach_max` of its
// value at the refresh. The old slopes leave an error of a few per cent of the change, which the next step
// corrects. The error is below 1e-5 of the flow. Otherwise, and whenever a valve, a fault or the suction
// needs an exact solution, the caller solves exactly and refreshes.
//
// Units: m3/s, m, N m; ratios for speeds.
//
// Source: chord (simplified Newton) method: C. T. Kelley, Iterative Methods for Linear and Nonlinear
// Equations, 1995, section 5.4.1, from memory.
//
// Leaves out: every case except a pump with forward flow and a pump with a shut valve.
#pragma once

#include <array>
#include <cstddef>
#include <span>

#include "config/hydraulics/pump_curve.hpp"
#include "sim_plant/physics/branch.hpp"

namespace freshet::plant {

/// The balance of one step, linear about its guess.
struct Balance {
    double lift_m = 0, lift_slope = 0;  ///< of every branch, and its slope over the unknown (>= 0)
    double out_m3s = 0, out_slope = 0;  ///< flow out of the header, and its slope over the unknown (> 0)
};

class SettledLanes {
  public:
    /// Copies the branches after an exact solution. False, and not ready, when water flows through a stopped
    /// pump, or when a wholly blocked pump must turn.
    bool refresh(std::span<const Branch> branches, const config::PumpCurve& curve);
    bool ready() const { return ready_; }
    /// Writes flows and speeds back before an exact solution. The lanes are not ready afterwards.
    void hand_back(std::span<Branch> branches, const config::PumpCurve& curve, double branch_loss_s2m5,
                   double air_factor);

    struct Solution {
        bool taken = false;
        double step = 0, lift_m = 0, flow_m3s = 0;
    };
    /// One pass. When `taken` is false, nothing has changed. `step` is the change of the balance's unknown.
    Solution pass(const std::array<double, 8>& speed_ratio, const Balance& balance) {
        return four_ ? pass_lanes<4>(speed_ratio, balance) : pass_lanes<8>(speed_ratio, balance);
    }
    /// True when no speed differs by more than `reach` (a ratio of rated speed) from its speed in the last
    /// pass.
    bool speeds_within(const std::array<double, 8>& speed_ratio, double reach) const {
        return four_ ? lanes_within<4>(speed_ratio, reach) : lanes_within<8>(speed_ratio, reach);
    }
    struct Shafts {
        std::array<double, 8>&flow_m3s, &torque_nm, &power_w, &npsh_margin_m;
        std::array<bool, 8>& below_minimum_flow;
    };
    /// The figures of shafts and suctions at the flows of the last pass.
    void report(double npsh_available_m, double rated_speed_rad_s, double minimum_flow_m3s,
                double judged_from_speed, const Shafts& shafts) const {
        if (four_) {
            report_lanes<4>(npsh_available_m, rated_speed_rad_s, minimum_flow_m3s, judged_from_speed, shafts);
        } else {
            report_lanes<8>(npsh_available_m, rated_speed_rad_s, minimum_flow_m3s, judged_from_speed, shafts);
        }
    }

  private:
    using Lane = std::array<double, 8>;
    static constexpr double change_max = 3e-4;
    static constexpr double reach_max = 0.015;
    static constexpr double speed_reach_max = 0.01;

    template <std::size_t lanes>
    Solution pass_lanes(const std::array<double, 8>& speed_ratio, const Balance& balance);
    template <std::size_t lanes>
    bool lanes_within(const std::array<double, 8>& speed_ratio, double reach) const;
    template <std::size_t lanes>
    void report_lanes(double npsh_available_m, double rated_speed_rad_s, double minimum_flow_m3s,
                      double judged_from_speed, const Shafts& shafts) const;

    bool ready_ = false, four_ = true;
    double shut_off_most_m_ = 0;  ///< below this lift some shut valve might open
    Lane speed_{}, speed_held_{}, turning_{};
    Lane speed_weight_{};              ///< 1; very large for a stopped pump; 0 without a pump
    Lane flow_{}, from_{}, middle_{};  ///< in flow at rated speed
    Lane per_slope_{};                 ///< 1/(s^2 G'), 0 for a shut valve
    Lane per_change2_{}, per_reach2_{}, per_speed_reach2_{};  ///< inverse squares of the bounds
    std::array<Lane, 4> lift_{}, torque_{}, npshr_{};
};

/// Adds in pairs, always in the same order.
inline double sum_of(const std::array<double, 4>& a) {
    return (a[0] + a[1]) + (a[2] + a[3]);
}
inline double sum_of(const std::array<double, 8>& a) {
    return ((a[0] + a[1]) + (a[2] + a[3])) + ((a[4] + a[5]) + (a[6] + a[7]));
}

template <std::size_t lanes>
bool SettledLanes::lanes_within(const std::array<double, 8>& speed_ratio, double reach) const {
    std::array<double, lanes> square;
    for (std::size_t i = 0; i < lanes; ++i) {
        const double gap = (speed_ratio[i] - speed_[i]) * speed_weight_[i];
        square[i] = gap * gap;
    }
    return sum_of(square) <= reach * reach;
}

// The loops have fixed counts and no branches, so that the compiler runs lanes side by side.
template <std::size_t lanes>
SettledLanes::Solution SettledLanes::pass_lanes(const std::array<double, 8>& speed_ratio,
                                                const Balance& balance) {
    std::array<double, lanes> change;
    std::array<double, lanes> flow;
    std::array<double, lanes> pull;
    std::array<double, lanes> strain;
    for (std::size_t i = 0; i < lanes; ++i) {
        const double s = speed_ratio[i];
        const double t = flow_[i] - from_[i];
        const double lift = lift_[0][i] + t * (lift_[1][i] + t * (lift_[2][i] + t * lift_[3][i]));
        change[i] = (balance.lift_m - s * s * lift) * per_slope_[i];
        flow[i] = s * (flow_[i] + change[i]);
        pull[i] = s * per_slope_[i];
        const double from_held = s - speed_held_[i];
        strain[i] = from_held * from_held * per_speed_reach2_[i];
    }
    Solution solution;
    // The main's inertia makes the balance depend on slopes that cancel exactly, so each pass solves again.
    solution.step =
        (sum_of(flow) - balance.out_m3s) / (balance.out_slope - sum_of(pull) * balance.lift_slope);
    const double lift_step = balance.lift_slope * solution.step;
    solution.lift_m = balance.lift_m + lift_step;
    std::array<double, lanes> next;
    for (std::size_t i = 0; i < lanes; ++i) {
        const double moved = change[i] + lift_step * per_slope_[i];
        next[i] = flow_[i] + moved;
        flow[i] += lift_step * pull[i];
        const double from_middle = next[i] - middle_[i];
        // Each bound must hold alone. The test of the sum is slightly stricter.
        strain[i] += moved * moved * per_change2_[i] + from_middle * from_middle * per_reach2_[i];
    }
    if (!(sum_of(strain) <= 1 && solution.lift_m >= shut_off_most_m_)) return solution;
    for (std::size_t i = 0; i < lanes; ++i) {
        flow_[i] = next[i];
        speed_[i] = speed_ratio[i];
    }
    solution.flow_m3s = sum_of(flow);
    solution.taken = true;
    return solution;
}

template <std::size_t lanes>
void SettledLanes::report_lanes(double npsh_available_m, double rated_speed_rad_s, double minimum_flow_m3s,
                                double judged_from_speed, const Shafts& shafts) const {
    for (std::size_t i = 0; i < lanes; ++i) {
        const double s = speed_[i];
        const double square = s * s;
        const double t = flow_[i] - from_[i];
        const double torque =
            square * (torque_[0][i] + t * (torque_[1][i] + t * (torque_[2][i] + t * torque_[3][i])));
        const double npshr =
            square * (npshr_[0][i] + t * (npshr_[1][i] + t * (npshr_[2][i] + t * npshr_[3][i])));
        shafts.flow_m3s[i] = s * flow_[i];
        shafts.torque_nm[i] = torque;
        shafts.power_w[i] = torque * s * rated_speed_rad_s;
        shafts.npsh_margin_m[i] = turning_[i] * (npsh_available_m - npshr);
    }
    for (std::size_t i = 0; i < lanes; ++i) {
        shafts.below_minimum_flow[i] =
            flow_[i] < minimum_flow_m3s && speed_[i] * turning_[i] >= judged_from_speed;
    }
}

}  // namespace freshet::plant
