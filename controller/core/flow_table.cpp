// Flow by combination; see the header.
#include "controller/core/flow_table.hpp"

#include <algorithm>
#include <cmath>

#include "controller/core/numbers.hpp"

namespace freshet::core {

namespace {

constexpr int halvings = 48;  // enough for a double's mantissa over any station's range

/// Flow of one pump at `ratio` of rated speed against header head `head_m`, behind a non-return valve: zero
/// when the pump cannot open it. The catalogue curve is taken linear between its points, so each piece is a
/// quadratic with its branch loss. Pieces are tried in the order of flow; a piece is come to only with head
/// to spare at its beginning, so its root is real and above zero.
double pump_flow_m3s(const Settings& settings, double ratio, double head_m) noexcept {
    if (!(ratio > 0)) return 0;
    const auto& curve = settings.curve;
    const double square = ratio * ratio;
    if (square * curve[0].head_m <= head_m) return 0;
    const double branch = settings.branch_loss_s2m5;
    for (std::size_t i = 0; i + 1 < settings.curve_points; ++i) {
        const double from_m3s = curve[i].flow_m3s;
        const double to_m3s = curve[i + 1].flow_m3s;
        const double fall = (curve[i].head_m - curve[i + 1].head_m) / (to_m3s - from_m3s);
        // ratio^2 (h0 + fall q0) - ratio fall Q - branch Q^2 = head
        const double at_zero_m = square * (curve[i].head_m + fall * from_m3s) - head_m;
        const double slope = ratio * fall;
        // The root in the form that holds without a branch loss, too.
        const double flow = 2 * at_zero_m / (slope + std::sqrt(slope * slope + 4 * branch * at_zero_m));
        if (flow <= ratio * to_m3s) return flow;
    }
    return ratio * curve[settings.curve_points - 1U].flow_m3s;
}

double static_head_m(const Settings& settings, double measured_m) noexcept {
    return settings.action == Action::direct ? settings.discharge_level_m - measured_m
                                             : measured_m - settings.discharge_level_m;
}

}  // namespace

Delivery solve_combination(const Settings& settings, const Combination& combination) noexcept {
    const double line_pumps = combination.line_pumps;
    const double ratio = combination.drive_hz / settings.drive.line_frequency_hz;
    const double static_m = static_head_m(settings, combination.measured_m);
    const bool header_is_measured = settings.measured == Measured::header_pressure;
    const double loss = header_is_measured ? 0 : settings.main_loss_s2m5;

    double low_m3s = 0;
    double high_m3s =
        (line_pumps + std::max(ratio, 1.0)) * settings.curve[settings.curve_points - 1U].flow_m3s;
    for (int i = 0; i < halvings; ++i) {
        const double flow = low_m3s + (high_m3s - low_m3s) / 2;
        const double head_m = static_m + loss * flow * flow;
        const double pumped =
            line_pumps * pump_flow_m3s(settings, 1, head_m) + pump_flow_m3s(settings, ratio, head_m);
        (pumped > flow ? low_m3s : high_m3s) = flow;
    }
    const double head_m = static_m + loss * low_m3s * low_m3s;
    return {low_m3s, pump_flow_m3s(settings, ratio, head_m)};
}

FlowTable::FlowTable(const Settings& settings) noexcept {
    const Settings::Marks& marks = settings.marks;
    low_m_ = std::min(marks.low_cutoff_m, marks.high_alarm_m);
    span_m_ = std::max(marks.low_cutoff_m, marks.high_alarm_m) - low_m_;
    if (!(span_m_ > 0)) span_m_ = 1;
    speed_max_hz_ = settings.drive.speed_max_hz;
    constexpr double lowest_ratio = 0.4;
    speed_low_hz_ = lowest_ratio * settings.drive.line_frequency_hz;
    speed_step_hz_ = (speed_max_hz_ - speed_low_hz_) / static_cast<double>(speeds - 1);

    for (std::uint8_t k = 0; k <= settings.pump_count; ++k) {
        for (std::size_t h = 0; h < heads; ++h) {
            const double measured_m =
                low_m_ + span_m_ * static_cast<double>(h) / static_cast<double>(heads - 1);
            PerHead& cell = table_[k][h];
            cell.line_only_m3s = solve_combination(settings, {k, 0, measured_m}).total_m3s;
            for (std::size_t i = 0; i < speeds; ++i)
                cell.with_drive_m3s[i] =
                    solve_combination(
                        settings, {k, speed_low_hz_ + speed_step_hz_ * static_cast<double>(i), measured_m})
                        .total_m3s;
            double low_hz = 0;
            double high_hz = speed_max_hz_;
            for (int i = 0; i < halvings; ++i) {
                const double speed_hz = low_hz + (high_hz - low_hz) / 2;
                const Delivery delivery = solve_combination(settings, {k, speed_hz, measured_m});
                (delivery.drive_pump_m3s < settings.minimum_flow_m3s ? low_hz : high_hz) = speed_hz;
            }
            cell.minimum_flow_hz = std::max(high_hz, settings.drive.speed_min_hz);
        }
        const double lowest_hz = minimum_flow_hz(k, marks.setpoint_m);
        const double width_hz = speed_max_hz_ - lowest_hz;
        if (width_hz > 0)
            flow_per_hz_[k] = (solve_combination(settings, {k, speed_max_hz_, marks.setpoint_m}).total_m3s -
                               solve_combination(settings, {k, lowest_hz, marks.setpoint_m}).total_m3s) /
                              width_hz;
    }
}

FlowTable::Place FlowTable::place(double measured_m) const noexcept {
    constexpr auto last = static_cast<double>(heads - 1);
    const double within = bounded(last * (measured_m - low_m_) / span_m_, 0, last);
    const std::size_t below = std::min(static_cast<std::size_t>(within), heads - 2);
    return {below, within - static_cast<double>(below)};
}

double FlowTable::total_m3s(std::size_t line_pumps, double drive_hz, double measured_m) const noexcept {
    const auto [low, x] = place(measured_m);
    const auto& at = table_[line_pumps];
    if (!(drive_hz > 0))
        return at[low].line_only_m3s + x * (at[low + 1].line_only_m3s - at[low].line_only_m3s);
    constexpr auto last = static_cast<double>(speeds - 1);
    const double within = bounded((drive_hz - speed_low_hz_) / speed_step_hz_, 0, last);
    const std::size_t cell = std::min(static_cast<std::size_t>(within), speeds - 2);
    const double y = within - static_cast<double>(cell);
    const auto& under = at[low].with_drive_m3s;
    const auto& over = at[low + 1].with_drive_m3s;
    const double below = under[cell] + y * (under[cell + 1] - under[cell]);
    const double above = over[cell] + y * (over[cell + 1] - over[cell]);
    return below + x * (above - below);
}

double FlowTable::minimum_flow_hz(std::size_t line_pumps, double measured_m) const noexcept {
    const auto& at = table_[line_pumps];
    const auto [low, x] = place(measured_m);
    return at[low].minimum_flow_hz + x * (at[low + 1].minimum_flow_hz - at[low].minimum_flow_hz);
}

double store_area_m2(const Settings& settings, double level_m) noexcept {
    std::size_t i = 0;
    while (i + 2 < settings.store_points && level_m >= settings.store[i + 1].level_m) ++i;
    return (settings.store[i + 1].volume_m3 - settings.store[i].volume_m3) /
           (settings.store[i + 1].level_m - settings.store[i].level_m);
}

}  // namespace freshet::core
