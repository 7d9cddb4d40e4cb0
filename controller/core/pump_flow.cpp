// What one pump delivers; see the header for the equations.
// One reason to change: how a pump's curve is read at any speed.
#include "controller/core/pump_flow.hpp"

#include <algorithm>

namespace freshet::core {

namespace {

/// The last point before `end` that `before` holds for, where it holds for all points up to some point; at
/// least 0. Each step is a choice of two numbers, because a processor cannot guess the way of a search.
template <class Before>
std::size_t last_where(std::size_t end, Before before) noexcept {
    std::size_t low = 0, count = end;
    while (count > 1) {
        const std::size_t step = count / 2;
        low = before(low + step) ? low + step : low;
        count -= step;
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
    for (std::size_t i = 0; i < last_; ++i)
        m3s_per_m_[i] =
            (points_[i + 1].flow_m3s - points_[i].flow_m3s) / (points_[i].head_m - points_[i + 1].head_m);
}

double PumpFlow::at_line_m3s(double head_m) const noexcept {
    if (!(head_m < points_[0].head_m)) return 0;
    if (head_m <= points_[last_].head_m) return points_[last_].flow_m3s;
    const std::size_t i = piece_at(head_m);
    return points_[i].flow_m3s + (points_[i].head_m - head_m) * m3s_per_m_[i];
}

/// The point before the piece of the curve that holds a head between the ends of the curve.
std::size_t PumpFlow::piece_at(double head_m) const noexcept {
    return last_where(last_, [&](std::size_t point) { return points_[point].head_m > head_m; });
}

FallingFlow PumpFlow::falling_at(double ratio, double head_m) const noexcept {
    if (!(ratio > 0)) return {};
    const double at_line_m = head_m / (ratio * ratio);
    if (!(at_line_m < points_[0].head_m)) return {};
    if (at_line_m <= points_[last_].head_m) return {ratio * points_[last_].flow_m3s, 0};
    const std::size_t i = piece_at(at_line_m);
    return {ratio * (points_[i].flow_m3s + (points_[i].head_m - at_line_m) * m3s_per_m_[i]),
            m3s_per_m_[i] / ratio};
}

double PumpFlow::flow_m3s(double ratio, double head_m) const noexcept {
    return ratio > 0 ? ratio * at_line_m3s(head_m / (ratio * ratio)) : 0;
}

double PumpFlow::head_at_line_m(double flow_m3s) const noexcept {
    if (!(flow_m3s < points_[last_].flow_m3s)) return 0;
    const std::size_t i =
        last_where(last_, [&](std::size_t point) { return points_[point].flow_m3s <= flow_m3s; });
    const CurvePoint &from = points_[i], &to = points_[i + 1];
    return from.head_m -
           (from.head_m - to.head_m) * ((flow_m3s - from.flow_m3s) / (to.flow_m3s - from.flow_m3s));
}

double PumpFlow::cut_in_square(double head_m) const noexcept {
    return std::max(head_m, 0.0) / points_[0].head_m;
}

}  // namespace freshet::core
