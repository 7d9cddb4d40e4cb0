// Flow by combination; see the header.
// One reason to change: how flows are kept so that a scan can read them without solving.
#include "controller/core/flow_table.hpp"

#include <algorithm>
#include <cmath>

#include "controller/core/numbers.hpp"

namespace freshet::core {

namespace {

constexpr double steepest_m3s_per_hz = 1e15;

}  // namespace

FlowTable::FlowTable(const Settings& settings) noexcept
    : pump_(settings),
      static_head_(settings),
      first_m_(std::min(settings.marks.low_cutoff_m, settings.marks.high_alarm_m)),
      last_m_(std::max(settings.marks.low_cutoff_m, settings.marks.high_alarm_m)),
      minimum_flow_m3s_(settings.minimum_flow_m3s),
      minimum_flow_head_m_(pump_.head_at_line_m(settings.minimum_flow_m3s)),
      drive_speed_(settings),
      speed_min_hz_(settings.drive.speed_min_hz),
      speed_max_hz_(settings.drive.speed_max_hz),
      highest_ratio_(drive_speed_.ratio_of(speed_max_hz_)),
      main_counts_(settings.measured == Measured::level) {
    const double one_m = static_m(first_m_);
    const double other_m = static_m(last_m_);
    low_m_ = std::min(one_m, other_m);
    const double step_m = (std::max(one_m, other_m) - low_m_) / static_cast<double>(heads - 1);
    per_step_ = step_m > 0 ? 1 / step_m : 0;

    const SteadyFlow flow(settings);
    for (std::uint8_t k = 0; main_counts_ && k <= settings.pump_count; ++k)
        for (std::size_t h = 0; h < heads; ++h)
            table_[k][h] = cell_of(flow, k, low_m_ + step_m * static_cast<double>(h));

    const double setpoint_m = settings.marks.setpoint_m;
    for (std::uint8_t k = 0; k <= settings.pump_count; ++k) {
        const double lowest_hz = minimum_flow_hz(k, setpoint_m);
        const double width_hz = speed_max_hz_ - lowest_hz;
        if (width_hz > 0)
            flow_per_hz_[k] =
                (total_m3s(k, speed_max_hz_, setpoint_m) - total_m3s(k, lowest_hz, setpoint_m)) / width_hz;
    }
}

FlowTable::Cell FlowTable::cell_of(const SteadyFlow& flow, std::uint8_t line_pumps,
                                   double static_head_m) const noexcept {
    const auto square = [](double ratio) { return ratio * ratio; };
    const double highest = square(highest_ratio_);
    const Delivery alone = flow.at(line_pumps, 0, static_head_m);
    Cell cell;
    cell.cut_in = pump_.cut_in_square(alone.lift_m);
    cell.minimum_flow = flow.minimum_flow_square(line_pumps, static_head_m);
    cell.lift_m[0] = alone.lift_m;
    for (std::size_t i = 1; i < speeds; ++i) {
        const double place = static_cast<double>(i) / static_cast<double>(speeds - 1);
        const double ratio = std::sqrt(cell.cut_in + (highest - cell.cut_in) * square(place));
        cell.lift_m[i] =
            highest > cell.cut_in ? flow.at(line_pumps, ratio, static_head_m).lift_m : alone.lift_m;
    }
    return cell;
}

double FlowTable::static_m(double measured_m) const noexcept {
    return static_head_.at_m(bounded(measured_m, first_m_, last_m_));
}

FlowTable::Pair FlowTable::pair_at(std::size_t line_pumps, double measured_m) const noexcept {
    constexpr auto last = static_cast<double>(heads - 1);
    const double within = bounded((static_m(measured_m) - low_m_) * per_step_, 0, last);
    const std::size_t low = std::min(static_cast<std::size_t>(within), heads - 2);
    const auto& at = table_[line_pumps];
    return {at[low], at[low + 1], within - static_cast<double>(low)};
}

double FlowTable::lift_m(std::size_t line_pumps, double drive_ratio, double measured_m) const noexcept {
    if (!main_counts_) return static_m(measured_m);
    const Pair at = pair_at(line_pumps, measured_m);
    const double cut_in = at.between(at.low.cut_in, at.high.cut_in);
    const double highest = highest_ratio_ * highest_ratio_;
    const double past = drive_ratio * drive_ratio - cut_in;
    if (!(past > 0)) return at.between(at.low.lift_m[0], at.high.lift_m[0]);
    constexpr auto last = static_cast<double>(speeds - 1);
    const double within = bounded(last * std::sqrt(past / (highest - cut_in)), 0, last);
    // A parabola through three neighbours, the middle one odd, so that parabolas meet at the even ones.
    const std::size_t i = std::min(static_cast<std::size_t>(within) / 2 * 2, speeds - 3) + 1;
    const double off = within - static_cast<double>(i);
    const auto lift = [i, off](const Cell& cell) {
        const double before = cell.lift_m[i] - cell.lift_m[i - 1],
                     after = cell.lift_m[i + 1] - cell.lift_m[i];
        return cell.lift_m[i] + 0.5 * off * (before + after + off * (after - before));
    };
    return at.between(lift(at.low), lift(at.high));
}

double FlowTable::total_m3s(std::size_t line_pumps, double drive_hz, double measured_m) const noexcept {
    const double ratio = drive_speed_.ratio_of(bounded(drive_hz, 0, speed_max_hz_));
    const double lift = lift_m(line_pumps, ratio, measured_m);
    const double by_line_m3s =
        line_pumps == 0 ? 0 : static_cast<double>(line_pumps) * pump_.at_line_m3s(lift);
    return by_line_m3s + pump_.flow_m3s(ratio, lift);
}

Delivery FlowTable::delivery(std::size_t line_pumps, double drive_hz, double measured_m) const noexcept {
    const double ratio = drive_speed_.ratio_of(bounded(drive_hz, 0, speed_max_hz_));
    Delivery of;
    of.lift_m = lift_m(line_pumps, ratio, measured_m);
    of.line_pump_m3s = line_pumps == 0 ? 0 : pump_.at_line_m3s(of.lift_m);
    of.drive_pump_m3s = pump_.flow_m3s(ratio, of.lift_m);
    of.total_m3s = static_cast<double>(line_pumps) * of.line_pump_m3s + of.drive_pump_m3s;
    return of;
}

double FlowTable::minimum_flow_hz(std::size_t line_pumps, double measured_m) const noexcept {
    const auto speed_ratio = [&]() noexcept {
        if (!main_counts_) return std::sqrt(std::max(static_m(measured_m), 0.0) / minimum_flow_head_m_);
        const Pair at = pair_at(line_pumps, measured_m);
        return std::sqrt(at.between(at.low.minimum_flow, at.high.minimum_flow));
    };
    return bounded(drive_speed_.hz_of(speed_ratio()), speed_min_hz_, speed_max_hz_);
}

double FlowTable::least_m3s(std::size_t line_pumps, double minimum_hz, double measured_m) const noexcept {
    const bool at_minimum_flow = main_counts_ && minimum_hz > speed_min_hz_ && minimum_hz < speed_max_hz_;
    if (!at_minimum_flow) return total_m3s(line_pumps, minimum_hz, measured_m);
    const double ratio = drive_speed_.ratio_of(minimum_hz);
    const double drive_pump_m3s = ratio * minimum_flow_m3s_;
    if (line_pumps == 0) return drive_pump_m3s;
    const double lift = ratio * ratio * minimum_flow_head_m_;
    return static_cast<double>(line_pumps) * pump_.at_line_m3s(lift) + drive_pump_m3s;
}

FlowTable::MovingFlow FlowTable::moving(std::size_t line_pumps, double drive_hz, double measured_m,
                                        double before_m3s, double elapsed_s,
                                        const Settings& settings) const noexcept {
    const double steady_m3s = total_m3s(line_pumps, drive_hz, measured_m);
    constexpr double settled = 1e-3;
    if (magnitude(steady_m3s - before_m3s) <= settled * steady_m3s || !moves(settings))
        return {steady_m3s, true};
    return {after_m3s(line_pumps, drive_hz, measured_m, before_m3s, elapsed_s, settings), false};
}

/// True when the water in the main moves as a column, so that the flow follows the pumps with a delay.
bool FlowTable::moves(const Settings& settings) const noexcept {
    return main_counts_ && settings.main_inertia_s2m2 > 0;
}

double FlowTable::after_m3s(std::size_t line_pumps, double drive_hz, double measured_m, double before_m3s,
                            double elapsed_s, const Settings& settings) const noexcept {
    const double ratio = drive_speed_.ratio_of(bounded(drive_hz, 0, speed_max_hz_));
    return flow_after({line_pumps, ratio, static_m(measured_m), before_m3s}, elapsed_s, pump_, settings);
}

double FlowTable::coasting_m3(std::size_t line_pumps, double drive_hz, double measured_m, double from_m3s,
                              const Settings& settings) const noexcept {
    constexpr double step_s = 5, near_enough = 0.01, longest_s = 600;
    if (!moves(settings)) return 0;
    const double steady_m3s = total_m3s(line_pumps, drive_hz, measured_m);
    const double apart_m3s = from_m3s - steady_m3s;
    if (magnitude(apart_m3s) <= near_enough * steady_m3s) return 0;
    // An implicit step of a first-order delay T leaves 1 / (1 + step / T) of the distance, which gives T. The
    // volume of the whole approach is T times the distance at its begin.
    const double then_m3s = after_m3s(line_pumps, drive_hz, measured_m, from_m3s, step_s, settings);
    const double moved = (from_m3s - then_m3s) / apart_m3s;
    const double delay_s = moved > 0 ? bounded(step_s * (1 - moved) / moved, 0, longest_s) : longest_s;
    return apart_m3s * delay_s;
}

double FlowTable::speed_for_hz(std::size_t line_pumps, double flow_m3s, double measured_m, double near_hz,
                               double lowest_hz, double highest_hz) const noexcept {
    constexpr int steps = 10;
    constexpr double near_enough_hz = 0.03;
    double slope = flow_per_hz_[line_pumps];
    double speed_hz = bounded(near_hz, lowest_hz, highest_hz);
    if (!(slope > 0)) return speed_hz;
    const double near_enough_m3s = near_enough_hz * slope;
    // The ends of the bracket count as tried once the flow there is known to lie on their side.
    double low_hz = lowest_hz, high_hz = highest_hz;
    bool low_tried = false, high_tried = false;
    double last_hz = speed_hz, last_missing_m3s = 0;
    for (int i = 0; i < steps; ++i) {
        const double missing_m3s = flow_m3s - total_m3s(line_pumps, speed_hz, measured_m);
        // A search between the limits comes near a limit, but does not reach the limit.
        const bool more = missing_m3s > 0;
        const double limit_hz = more ? highest_hz : lowest_hz;
        if (speed_hz == limit_hz) return limit_hz;
        const bool found = magnitude(missing_m3s) < near_enough_m3s;
        if (found && magnitude(limit_hz - speed_hz) > 1) break;
        if (found || i == 1) {
            const double at_limit_m3s = total_m3s(line_pumps, limit_hz, measured_m);
            if (more ? flow_m3s >= at_limit_m3s : !(flow_m3s > at_limit_m3s)) return limit_hz;
        }
        if (found) break;
        (more ? low_hz : high_hz) = speed_hz;
        (more ? low_tried : high_tried) = true;
        // The slope between the last two speeds, because near the minimum flow a flat curve is far steeper.
        if (i > 0 && speed_hz != last_hz)
            slope = bounded((last_missing_m3s - missing_m3s) / (speed_hz - last_hz), near_enough_m3s,
                            steepest_m3s_per_hz);
        last_hz = speed_hz;
        last_missing_m3s = missing_m3s;
        const double next_hz = bounded(speed_hz + missing_m3s / slope, low_hz, high_hz);
        const bool tried = (low_tried && next_hz <= low_hz) || (high_tried && next_hz >= high_hz);
        speed_hz = tried ? 0.5 * (low_hz + high_hz) : next_hz;
    }
    return speed_hz;
}

}  // namespace freshet::core
