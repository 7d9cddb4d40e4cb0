// Building and reading a pump's curves; see the header for the equations and their sources.
//
// One reason to change: how a catalogue curve is read between, beyond and away from its points.
#include "config/hydraulics/pump_curve.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>

#include "config/hydraulics/gravity.hpp"

namespace freshet::config {
namespace {

constexpr double stopped_head_ratio = 0.6;

void refuse_unusable(const PumpType& type) {
    const auto& curve = type.curve;
    if (curve.size() < 3) throw std::invalid_argument("a pump curve needs three points or more");
    if (curve.front().flow_m3s != 0) throw std::invalid_argument("a pump curve begins at zero flow");
    for (std::size_t i = 1; i < curve.size(); ++i) {
        if (!(curve[i].flow_m3s > curve[i - 1].flow_m3s)) {
            throw std::invalid_argument("flow must rise from point to point of a pump curve");
        }
        if (!(curve[i].head_m < curve[i - 1].head_m)) {
            throw std::invalid_argument("head must fall from point to point of a pump curve");
        }
        if (!(curve[i].efficiency > 0 && curve[i].efficiency < 1)) {
            throw std::invalid_argument("efficiency of a flowing pump lies between 0 and 1");
        }
    }
    if (!(type.rated_speed_rpm > 0)) throw std::invalid_argument("rated speed must be above zero");
}

}  // namespace

PumpCurve::PumpCurve(const PumpType& type, const Fluid& fluid)
    : rated_speed_rad_s_(type.rated_speed_rpm * std::numbers::pi / 30),
      specific_weight_nm3_(fluid.density_kgm3 * gravity_ms2) {
    refuse_unusable(type);
    const auto& curve = type.curve;
    const std::size_t points = curve.size();
    std::vector<double> flow(points);
    std::vector<double> head(points);
    std::vector<double> torque(points);
    std::vector<double> npshr(points);
    std::size_t best = 1;
    for (std::size_t i = 0; i < points; ++i) {
        flow[i] = curve[i].flow_m3s;
        head[i] = curve[i].head_m;
        npshr[i] = curve[i].npshr_m;
        if (i > 0) {
            torque[i] = specific_weight_nm3_ * flow[i] * head[i] / curve[i].efficiency / rated_speed_rad_s_;
            if (curve[i].efficiency > curve[best].efficiency) best = i;
        }
    }
    const double drawn_on = torque[1] - (torque[2] - torque[1]) / (flow[2] - flow[1]) * flow[1];
    // A point of zero head would make the bounds zero or negative; the best point always has power.
    const double bound = std::max(torque[1], 0.1 * torque[best]);
    torque[0] = std::clamp(drawn_on, 0.25 * bound, 2 * bound);
    best_flow_m3s_ = flow[best];
    stopped_loss_s2m5_ = stopped_head_ratio * std::max(head[best], 0.1 * head[0]) / (flow[best] * flow[best]);

    const std::vector<double> head_slope = monotone_slopes(flow, head);
    const std::vector<double> torque_slope = monotone_slopes(flow, torque);
    const std::vector<double> npshr_slope = monotone_slopes(flow, npshr);
    for (std::size_t i = 0; i + 1 < points; ++i) {
        const double width = flow[i + 1] - flow[i];
        pieces_.push_back({flow[i], flow[i + 1],
                           hermite(width, head[i], head[i + 1], head_slope[i], head_slope[i + 1]),
                           hermite(width, torque[i], torque[i + 1], torque_slope[i], torque_slope[i + 1]),
                           hermite(width, npshr[i], npshr[i + 1], npshr_slope[i], npshr_slope[i + 1])});
    }
    pieces_.push_back({flow.back(),
                       std::numeric_limits<double>::infinity(),
                       {head.back(), head_slope.back(), -stopped_loss_s2m5_, 0},
                       {torque.back(), 0, 0, 0},
                       {npshr.back(), std::max(0.0, npshr_slope.back()), 0, 0}});
}

double PumpCurve::head_m(double flow_m3s) const {
    const CurvePiece* at = piece(flow_m3s, first_piece());
    return value_at(at->head, flow_m3s - at->from_m3s);
}

double PumpCurve::torque_nm(double flow_m3s) const {
    const CurvePiece* at = piece(flow_m3s, first_piece());
    return value_at(at->torque, flow_m3s - at->from_m3s);
}

double PumpCurve::npshr_m(double flow_m3s) const {
    const CurvePiece* at = piece(flow_m3s, first_piece());
    return value_at(at->npshr, flow_m3s - at->from_m3s);
}

double PumpCurve::efficiency(double flow_m3s) const {
    return specific_weight_nm3_ * flow_m3s * head_m(flow_m3s) / (torque_nm(flow_m3s) * rated_speed_rad_s_);
}

double PumpCurve::flow_m3s(double head_m, double head_factor, double loss_s2m5) const {
    const CurvePiece* at = pieces_.data();
    const CurvePiece* last = &pieces_.back();
    while (at != last && head_factor * at[1].head[0] - loss_s2m5 * at->to_m3s * at->to_m3s >= head_m) {
        ++at;
    }
    double low = at->from_m3s;
    double high = at->to_m3s;
    if (at == last) {
        // The continuation is a parabola, so the root is bounded by doubling.
        high = std::max(2 * low, largest_flow_m3s());
        while (head_factor * value_at(at->head, high - low) - loss_s2m5 * high * high > head_m) high *= 2;
    }
    // The chord of the piece is a close start.
    const double at_low = head_factor * value_at(at->head, low - at->from_m3s) - loss_s2m5 * low * low;
    const double at_high = head_factor * value_at(at->head, high - at->from_m3s) - loss_s2m5 * high * high;
    double flow = std::clamp(low + (high - low) * (at_low - head_m) / (at_low - at_high), low, high);
    constexpr int iterations_max = 80;  // bisection alone would need about 55
    for (int i = 0; i < iterations_max; ++i) {
        const double t = flow - at->from_m3s;
        const double excess = head_factor * value_at(at->head, t) - loss_s2m5 * flow * flow - head_m;
        (excess > 0 ? low : high) = flow;
        const double slope = head_factor * slope_at(at->head, t) - 2 * loss_s2m5 * flow;
        double next = slope < 0 ? flow - excess / slope : low;
        // Newton doubles the right digits: a change this small leaves only rounding.
        if (slope < 0 && std::abs(next - flow) <= 1e-10 * high) return next;
        if (!(next > low && next < high)) next = 0.5 * (low + high);
        flow = next;
    }
    return flow;
}

}  // namespace freshet::config
