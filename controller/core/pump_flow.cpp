// What one pump delivers; see the header for the equations.
// One reason to change: how a pump's curve is read at any speed.
#include "controller/core/pump_flow.hpp"

#include <algorithm>
#include <cmath>

namespace freshet::core {

namespace {

/// The last point of `low` to `high` that `before` holds for, where it holds for all points up to some point.
/// At least `low`, and less than `high`.
template <class Before>
std::size_t last_where(std::size_t low, std::size_t high, Before before) noexcept {
    while (high - low > 1) {
        const std::size_t middle = (low + high) / 2;
        (before(middle) ? low : high) = middle;
    }
    return low;
}

}  // namespace

PumpFlow::PumpFlow(const Settings& settings) noexcept
    : last_(std::min<std::size_t>(settings.curve_points, curve_points_max) - 1U) {
    for (std::size_t i = 0; i <= last_; ++i) {
        const auto [flow_m3s, head_m] = settings.curve[i];
        points_[i] = {flow_m3s, head_m - settings.branch_loss_s2m5 * flow_m3s * flow_m3s};
        if (points_[i].head_m >= 0 || i == 0) continue;
        // Where the branch takes all of the head, the curve ends.
        const CurvePoint before = points_[i - 1];
        const double share = before.head_m / (before.head_m - points_[i].head_m);
        points_[i] = {before.flow_m3s + share * (points_[i].flow_m3s - before.flow_m3s), 0};
        last_ = i;
    }
}

double PumpFlow::flow_m3s(double ratio, double head_m) const noexcept {
    if (!(ratio > 0)) return 0;
    const double at_line_m = head_m / (ratio * ratio);
    if (!(at_line_m < points_[0].head_m)) return 0;
    if (at_line_m <= points_[last_].head_m) return ratio * points_[last_].flow_m3s;
    const std::size_t i =
        last_where(0, last_, [&](std::size_t point) { return points_[point].head_m > at_line_m; });
    const CurvePoint &from = points_[i], &to = points_[i + 1];
    const double share = (from.head_m - at_line_m) / (from.head_m - to.head_m);
    return ratio * (from.flow_m3s + share * (to.flow_m3s - from.flow_m3s));
}

double PumpFlow::speed_ratio(double flow_m3s, double head_m) const noexcept {
    // At a point of the curve the speed is flow / (flow of the point), and the head goes with its square.
    const double square = flow_m3s * flow_m3s;
    const auto gives_more = [&](std::size_t point) {
        const CurvePoint& at = points_[point];
        return square * at.head_m > head_m * at.flow_m3s * at.flow_m3s;
    };
    if (gives_more(last_)) return flow_m3s / points_[last_].flow_m3s;
    const std::size_t i = last_where(0, last_, gives_more);
    const CurvePoint &from = points_[i], &to = points_[i + 1];
    // With n the ratio and the piece h = a - f q at line frequency: n^2 a - n f flow = head.
    const double fall = (from.head_m - to.head_m) / (to.flow_m3s - from.flow_m3s);
    const double at_zero_m = from.head_m + fall * from.flow_m3s;
    const double slope = fall * flow_m3s;
    return (slope + std::sqrt(slope * slope + 4 * at_zero_m * std::max(head_m, 0.0))) / (2 * at_zero_m);
}

}  // namespace freshet::core
