// Pumps and main solved together; see the header.
// One reason to change: how pumps and main are solved together.
#include "controller/core/steady_flow.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include "controller/core/numbers.hpp"

namespace freshet::core {

namespace {

/// Where a falling function passes zero between `low`, where it is above zero, and `high`. Regula falsi with
/// the Illinois rule (M. Dowell and P. Jarratt, BIT 11 (1971) 168, from memory): where one end stays twice,
/// its value counts half. The function falls by about 1 or more for each unit, so that a value within the
/// tolerance is a root within about the tolerance.
template <class Falling>
double zero_of(double low, double high, Falling falling) noexcept {
    constexpr int steps_max = 60;  // about eight are needed; a curve with a level piece may take all
    constexpr double tolerance = 1e-10;
    double at_low = falling(low);
    double at_high = falling(high);
    if (!(at_low > 0)) return low;
    if (!(at_high < 0)) return high;
    const double near = tolerance * high;
    int stayed = 0;  // below zero: `low` has moved last, above: `high`
    double root = low;
    for (int i = 0; i < steps_max && high - low > near; ++i) {
        root = low + (high - low) * (at_low / (at_low - at_high));
        const double at_root = falling(root);
        if (magnitude(at_root) <= near) return root;
        if (at_root > 0) {
            low = root;
            at_low = at_root;
            if (stayed < 0) at_high *= 0.5;
            stayed = -1;
        } else {
            high = root;
            at_high = at_root;
            if (stayed > 0) at_low *= 0.5;
            stayed = 1;
        }
    }
    return root;
}

}  // namespace

StaticHead::StaticHead(const Settings& settings) noexcept {
    constexpr double any_m = std::numeric_limits<double>::lowest();
    const bool lowers = settings.action == Action::direct;
    const bool from_above = !lowers && settings.measured == Measured::level;
    sign_ = lowers ? -1 : 1;
    least_m_ = from_above ? settings.discharge_level_m : any_m;
    offset_m_ = lowers ? settings.discharge_level_m : -settings.suction_level_m;
}

double StaticHead::at_m(double measured_m) const noexcept {
    return offset_m_ + sign_ * std::max(least_m_, measured_m);
}

double DriveSpeed::ratio_of(double drive_hz) const noexcept {
    const double share = std::max(drive_hz, 0.0) / line_hz_;
    if (!(slip_ > 0)) return share;
    const double straight = 1 - slip_;
    return 2 * share / (straight + std::sqrt(straight * straight + 4 * slip_ * share));
}

double main_loss_m(const Settings& settings, double flow_m3s) noexcept {
    const std::size_t points = settings.main_points;
    if (points == 0 || settings.measured == Measured::header_pressure) return 0;
    const auto& main = settings.main;
    std::size_t i = 0;
    while (i < points && main[i].flow_m3s < flow_m3s) ++i;
    double loss_s2m5 = main[i == 0 ? 0 : i - 1].loss_s2m5;
    if (i > 0 && i < points) {
        const MainPoint &from = main[i - 1], &to = main[i];
        loss_s2m5 +=
            (to.loss_s2m5 - from.loss_s2m5) * ((flow_m3s - from.flow_m3s) / (to.flow_m3s - from.flow_m3s));
    }
    return loss_s2m5 * flow_m3s * flow_m3s;
}

Delivery SteadyFlow::at(std::uint8_t line_pumps, double drive_ratio, double static_m) const noexcept {
    const double pumps = line_pumps;
    const auto pumped = [&](double lift_m) {
        return pumps * pump_.at_line_m3s(lift_m) + pump_.flow_m3s(drive_ratio, lift_m);
    };
    // The pumps deliver most where the main loses nothing.
    const double most_m3s = pumped(static_m);
    const double total_m3s = zero_of(0, most_m3s, [&](double flow_m3s) {
        return pumped(static_m + main_loss_m(settings_, flow_m3s)) - flow_m3s;
    });
    const double lift_m = static_m + main_loss_m(settings_, total_m3s);
    return {total_m3s, pumps > 0 ? pump_.at_line_m3s(lift_m) : 0, pump_.flow_m3s(drive_ratio, lift_m),
            lift_m};
}

double SteadyFlow::minimum_flow_square(std::uint8_t line_pumps, double static_m) const noexcept {
    // At the ratio n the pump delivers n times its minimum flow, and its head is n^2 times that at line frequency.
    const double at_line_m = pump_.head_at_line_m(settings_.minimum_flow_m3s);
    if (!(at_line_m > 0)) return fastest_square;
    const double pumps = line_pumps;
    return zero_of(0, fastest_square, [&](double square) {
        const double flow_m3s =
            pumps * pump_.at_line_m3s(square * at_line_m) + std::sqrt(square) * settings_.minimum_flow_m3s;
        return (static_m + main_loss_m(settings_, flow_m3s)) / at_line_m - square;
    });
}

double flow_after(const MovingColumn& now, double elapsed_s, const PumpFlow& pump,
                  const Settings& settings) noexcept {
    const double per_head = elapsed_s / settings.main_inertia_s2m2;
    const auto pumped = [&](double lift_m) {
        return static_cast<double>(now.line_pumps) * pump.at_line_m3s(lift_m) +
               pump.flow_m3s(now.drive_ratio, lift_m);
    };
    // A column that moves faster than the running pumps can deliver draws water through the pumps at rest.
    const double drawn_m3s = now.flow_m3s - per_head * (now.static_m + main_loss_m(settings, now.flow_m3s));
    if (drawn_m3s > pumped(0)) return drawn_m3s;
    // No pump delivers against more than its own shut-off head.
    const double fastest = std::max(now.drive_ratio, now.line_pumps > 0 ? 1.0 : 0.0);
    const double lift_m = zero_of(0, fastest * fastest * pump.head_at_line_m(0), [&](double head_m) {
        const double flow_m3s = pumped(head_m);
        const double driving_m = head_m - now.static_m - main_loss_m(settings, flow_m3s);
        return (flow_m3s - now.flow_m3s) / per_head - driving_m;
    });
    return pumped(lift_m);
}

Delivery solve_combination(const Settings& settings, const Combination& combination) noexcept {
    return SteadyFlow(settings).at(combination.line_pumps,
                                   DriveSpeed(settings).ratio_of(combination.drive_hz),
                                   StaticHead(settings).at_m(combination.measured_m));
}

double minimum_flow_speed_hz(const Settings& settings, std::uint8_t line_pumps, double measured_m) noexcept {
    const double static_m = StaticHead(settings).at_m(measured_m);
    return DriveSpeed(settings).hz_of(
        std::sqrt(SteadyFlow(settings).minimum_flow_square(line_pumps, static_m)));
}

}  // namespace freshet::core
