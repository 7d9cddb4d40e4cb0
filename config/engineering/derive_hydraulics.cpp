// Samples curves for the settings; see the header.
// One reason to change: how the settings describe pumps and main.
#include "config/engineering/derive_hydraulics.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <vector>

#include "config/engineering/derive.hpp"
#include "config/hydraulics/pipe.hpp"
#include "config/hydraulics/pump_curve.hpp"

namespace freshet::config {
namespace {

/// Flows at which the curve is sampled: the catalogue's, the flow at which the branch takes all of the head,
/// and middles of the pieces that are farthest from the curve.
std::vector<double> sampled_flows(const PumpType& pump, const PumpCurve& curve) {
    const auto lift_m = [&](double flow_m3s) {
        return curve.head_m(flow_m3s) - pump.branch_loss_s2m5 * flow_m3s * flow_m3s;
    };
    const double end_m3s = curve.flow_m3s(0, 1, pump.branch_loss_s2m5);
    std::vector<double> flows;
    for (const PumpPoint& point : pump.curve)
        if (point.flow_m3s < end_m3s) flows.push_back(point.flow_m3s);
    flows.push_back(end_m3s);
    // How far the straight piece before flow `i` is from the curve, as a share of the flow. No pump is meant to
    // run below its minimum flow, so that pieces down there count less.
    const auto distance = [&](std::size_t i) {
        const double from_m3s = flows[i - 1], to_m3s = flows[i];
        const double from_m = lift_m(from_m3s), to_m = lift_m(to_m3s);
        const double apart_m = std::abs(lift_m(0.5 * (from_m3s + to_m3s)) - 0.5 * (from_m + to_m));
        constexpr double below_minimum = 0.1;
        return apart_m * (to_m3s - from_m3s) / (from_m - to_m) / std::max(to_m3s, pump.minimum_flow_m3s) *
               (to_m3s > pump.minimum_flow_m3s ? 1 : below_minimum);
    };
    while (flows.size() < core::curve_points_max) {
        std::size_t worst = 1;
        for (std::size_t i = 2; i < flows.size(); ++i)
            if (distance(i) > distance(worst)) worst = i;
        flows.insert(std::next(flows.begin(), static_cast<std::ptrdiff_t>(worst)),
                     0.5 * (flows[worst - 1] + flows[worst]));
    }
    return flows;
}

}  // namespace

void derive_hydraulics(core::Settings& settings, const Station& station) {
    // The motor's speed on the line at rated load differs a little from the pump's rated speed. The affinity
    // laws scale the curve to the motor's speed.
    const double ratio = line_speed_ratio(station);
    const PumpCurve curve(station.pump, station.fluid);
    const std::vector<double> flows = sampled_flows(station.pump, curve);
    settings.curve_points = static_cast<std::uint8_t>(flows.size());
    for (std::size_t i = 0; i < flows.size(); ++i)
        settings.curve[i] = {flows[i] * ratio, curve.head_m(flows[i]) * ratio * ratio};
    settings.minimum_flow_m3s = station.pump.minimum_flow_m3s * ratio;
    settings.branch_loss_s2m5 = station.pump.branch_loss_s2m5;

    const double fastest = std::max(1.0, settings.drive.speed_max_hz / station.supply.frequency_hz);
    const double most_m3s = station.pump_count * fastest * flows.back() * ratio;
    settings.main_points = core::main_points_max;
    for (std::size_t i = 0; i < settings.main.size(); ++i) {
        const double share = static_cast<double>(i + 1) / core::main_points_max;
        const double flow_m3s = most_m3s * share * std::sqrt(share);
        settings.main[i] = {flow_m3s,
                            main_loss_m(station.main, station.fluid, flow_m3s) / (flow_m3s * flow_m3s)};
    }
    settings.discharge_level_m = station.main.discharge_level_m;
    // A header's pressure counts from the centre line of the pumps.
    settings.suction_level_m = station.duty == Duty::hold_pressure
                                   ? station.suction_head_m - station.well.suction_level_m
                                   : station.suction_head_m;
}

}  // namespace freshet::config
