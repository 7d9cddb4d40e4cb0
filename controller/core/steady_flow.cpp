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

/// The head lost in the main, and how much the loss grows for each m3/s.
struct RisingLoss {
    double loss_m = 0;
    double rise_s_m2 = 0;
};

RisingLoss main_loss(const Settings& settings, double flow_m3s) noexcept {
    const std::size_t points = settings.main_points;
    if (points == 0 || settings.measured == Measured::header_pressure) return {};
    const auto& main = settings.main;
    std::size_t i = 0;
    while (i < points && main[i].flow_m3s < flow_m3s) ++i;
    double loss_s2m5 = main[i == 0 ? 0 : i - 1].loss_s2m5;
    double rise_s3m8 = 0;
    if (i > 0 && i < points) {
        const MainPoint &from = main[i - 1], &to = main[i];
        const double width_m3s = to.flow_m3s - from.flow_m3s;
        loss_s2m5 += (to.loss_s2m5 - from.loss_s2m5) * ((flow_m3s - from.flow_m3s) / width_m3s);
        rise_s3m8 = (to.loss_s2m5 - from.loss_s2m5) / width_m3s;
    }
    return {loss_s2m5 * flow_m3s * flow_m3s, (2 * loss_s2m5 + rise_s3m8 * flow_m3s) * flow_m3s};
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
    const double share = std::max(drive_hz, 0.0) * per_line_hz_;
    if (!(slip_ > 0)) return share;
    const double straight = 1 - slip_;
    return 2 * share / (straight + std::sqrt(straight * straight + 4 * slip_ * share));
}

double main_loss_m(const Settings& settings, double flow_m3s) noexcept {
    return main_loss(settings, flow_m3s).loss_m;
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
        const FallingFlow by_line = now.line_pumps > 0 ? pump.falling_at(1, lift_m) : FallingFlow{};
        const FallingFlow by_drive = pump.falling_at(now.drive_ratio, lift_m);
        const auto pumps = static_cast<double>(now.line_pumps);
        return FallingFlow{pumps * by_line.flow_m3s + by_drive.flow_m3s,
                           pumps * by_line.fall_m2_s + by_drive.fall_m2_s};
    };
    // A column that moves faster than the running pumps can deliver draws water through the pumps at rest.
    const double loss_now_m = main_loss_m(settings, now.flow_m3s);
    const double drawn_m3s = now.flow_m3s - per_head * (now.static_m + loss_now_m);
    if (drawn_m3s > pumped(0).flow_m3s) return drawn_m3s;
    // No pump delivers against more than its own shut-off head.
    const double fastest = std::max(now.drive_ratio, now.line_pumps > 0 ? 1.0 : 0.0);
    double low_m = 0, high_m = fastest * fastest * pump.head_at_line_m(0);
    if (high_m + now.flow_m3s / per_head <= now.static_m) return 0;

    // The head that remains to drive the column falls as the header head rises. Newton's steps find its zero,
    // within the heads between which the zero lies.
    constexpr int steps_max = 60;  // about three are needed
    constexpr double tolerance = 1e-6;
    const double near_m = tolerance * high_m;
    double head_m = bounded(now.static_m + loss_now_m, low_m, high_m);
    FallingFlow at = pumped(head_m);
    for (int i = 0; i < steps_max; ++i) {
        const RisingLoss loss = main_loss(settings, at.flow_m3s);
        const double missing_m =
            (at.flow_m3s - now.flow_m3s) / per_head + now.static_m + loss.loss_m - head_m;
        (missing_m > 0 ? low_m : high_m) = head_m;
        const double step_m = missing_m / (1 + at.fall_m2_s * (1 / per_head + loss.rise_s_m2));
        // The last step is so short that the flow falls evenly over the step.
        if (magnitude(step_m) <= near_m) return at.flow_m3s - at.fall_m2_s * step_m;
        const double next_m = head_m + step_m;
        head_m = next_m > low_m && next_m < high_m ? next_m : 0.5 * (low_m + high_m);
        at = pumped(head_m);
    }
    return at.flow_m3s;
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
