// How often the store makes pumps start and change over, against the limits for it.
// One reason to change: a limit of starts, transfers, rests or runs.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive.hpp"
#include "config/engineering/proposal.hpp"
#include "config/engineering/rules.hpp"
#include "controller/core/flow_table.hpp"

namespace freshet::config {
namespace {

/// The band between k pumps at full speed, and k at full speed with one more at its minimum flow.
struct Band {
    std::uint8_t line_pumps = 0;
    double lower_m3s = 0, upper_m3s = 0;
    double gap_m3s() const { return upper_m3s - lower_m3s; }
};

/// Starts an hour of each pump that takes turns on the drive, at the worst inflow in the band.
double starts_per_hour(const Band& band, double volume_m3, int pump_count) {
    return s_per_hour / worst_cycle_time_s(volume_m3, band.gap_m3s()) / (pump_count - band.line_pumps);
}

/// The band that makes a pump start most often; nothing when no combination leaves a band.
std::optional<Band> busiest_band(const core::Settings& settings, const core::FlowTable& flows,
                                 double volume_m3) {
    std::optional<Band> busiest;
    for (std::uint8_t k = 1; k < settings.pump_count; ++k) {
        const double setpoint_m = settings.marks.setpoint_m;
        const Band band{
            k, core::solve_combination(settings, {k, 0, setpoint_m}).total_m3s,
            core::solve_combination(settings, {k, flows.minimum_flow_hz(k, setpoint_m), setpoint_m})
                .total_m3s};
        const auto starts = [&](const Band& one) {
            return starts_per_hour(one, volume_m3, settings.pump_count);
        };
        if (band.gap_m3s() > 0 && (!busiest || starts(band) > starts(*busiest))) busiest = band;
    }
    return busiest;
}

/// Starts of each pump in an hour at an inflow of half one pump's minimum flow. One pump alone then starts
/// and stops; all pumps take turns.
double needed_starts_per_hour(const Station& station, const core::Settings& settings) {
    const double volume_m3 = volume_between_m3(station, settings.marks.stop_m, settings.marks.start_m);
    return s_per_hour / worst_cycle_time_s(volume_m3, settings.minimum_flow_m3s) / settings.pump_count;
}

}  // namespace

/// A rise of the inflow to all pumps takes a hand-over for each pump but the last, and the fall after the rise
/// takes as many take-backs. Both may come within an hour.
void check_transfers(Findings& findings, const Station& station, const core::Settings& settings) {
    if (station.duty == Duty::hold_pressure) return;  // delays, not volume, space a booster set's transfers
    constexpr int directions = 2;
    const int needed = directions * (station.pump_count - 1);
    const int limit = settings.permissives.transfers_per_hour_max;
    if (limit >= needed) return;
    refuse(findings, "control.permissives.transfers_per_hour_max",
           fmt::format(
               "transfers_per_hour_max is {}, but a rise of the inflow to all {} pumps and the fall after "
               "the rise take {} transfers; expected at least {}",
               limit, station.pump_count, needed, needed));
}

/// At a steady inflow inside the band the drive pump alone starts and stops: with it the store empties, and
/// without it the store fills. With x the distance of the inflow from the lower combination and dQ the width of
/// the band, a cycle takes
///     V/x + V/(dQ - x),
/// which is least at x = dQ/2: T = 4 V/dQ. This rule also sizes active wet-well volumes: V = t q / 4 (UFC
/// 3-240-04A, para 7). The pumps that do not run on the line take turns on the drive.
void check_band(Findings& findings, const Station& station, const core::Settings& settings,
                const core::FlowTable& flows) {
    if (station.duty == Duty::hold_pressure) return;
    const core::Settings::Marks& marks = settings.marks;
    const double volume_m3 = volume_between_m3(station, marks.stage_down_m, marks.stage_up_m);
    const std::optional<Band> band = busiest_band(settings, flows, volume_m3);
    const int limit = settings.permissives.starts_per_hour_max;
    if (!band || starts_per_hour(*band, volume_m3, station.pump_count) <= limit) return;
    const double cycle_s = worst_cycle_time_s(volume_m3, band->gap_m3s());
    const int pumps = station.pump_count - band->line_pumps;
    const double needed_m3 = active_volume_m3(s_per_hour / (pumps * limit), band->gap_m3s());
    const double area_m2 = volume_m3 / std::abs(marks.stage_up_m - marks.stage_down_m);
    refuse(findings, "control.marks.stage_up",
           fmt::format(
               "a pump needs more than {} starts an hour. No combination holds the {:.3g} m3/s between {} "
               "at full speed and one more at its minimum flow. At an inflow in between, the {:.3g} m3 "
               "from stage_down to stage_up give a cycle of {:.2g} min; expected {:.0f} m3 ({:.2f} m "
               "between the marks)",
               limit, band->gap_m3s(),
               band->line_pumps == 1 ? "one pump" : fmt::format("{} pumps", band->line_pumps), volume_m3,
               cycle_s / s_per_min, rounded_up(needed_m3, 1), rounded_up(needed_m3 / area_m2, 100)));
}

void check_starts(Findings& findings, const Station& station, const core::Settings& settings) {
    if (station.duty == Duty::hold_pressure) return;
    const double volume_m3 = volume_between_m3(station, settings.marks.stop_m, settings.marks.start_m);
    const double starts_per_hour = needed_starts_per_hour(station, settings);
    if (starts_per_hour <= settings.permissives.starts_per_hour_max) return;
    const double needed_m3 = settings.minimum_flow_m3s * s_per_hour /
                             (4.0 * settings.pump_count * settings.permissives.starts_per_hour_max);
    const double limit = std::ceil(starts_per_hour);
    const bool rested = limit * settings.permissives.rest_min_ms <= s_per_hour * ms_per_s;
    refuse(findings, "control.permissives.starts_per_hour_max",
           fmt::format(
               "each pump needs more than {} starts an hour. At an inflow of half the minimum flow, the "
               "{:.3g} m3 from stop to start make {:.3g} starts an hour for each of {} pumps; expected {:g} "
               "m3, or a limit of {:.0f}{}",
               settings.permissives.starts_per_hour_max, volume_m3, starts_per_hour, settings.pump_count,
               rounded_up(needed_m3, 100), limit,
               rested ? "" : fmt::format(" with a rest_min of at most {}", time_down(s_per_hour / limit))));
}

/// The rests of a pump must fit between its starts.
void check_rest(Findings& findings, const Station& station, const core::Settings& settings) {
    const core::Settings::Permissives& rules = settings.permissives;
    const double rest_s = rules.rest_min_ms / ms_per_s;
    if (rest_s * rules.starts_per_hour_max <= s_per_hour) return;
    const double starts = std::floor(s_per_hour / rest_s);
    const bool enough = starts >= 1 && (station.duty == Duty::hold_pressure ||
                                        needed_starts_per_hour(station, settings) <= starts);
    refuse(findings, "control.permissives.rest_min",
           fmt::format("rest_min is {:g} min and starts_per_hour_max is {}, but {} rests take longer than an "
                       "hour; expected a rest_min of at most {}{}",
                       rest_s / s_per_min, rules.starts_per_hour_max, rules.starts_per_hour_max,
                       time_down(s_per_hour / rules.starts_per_hour_max),
                       enough ? fmt::format(", or a starts_per_hour_max of {:.0f}", starts) : ""));
}

/// Without inflow, a pump at its minimum flow runs longest. At the cut-off the controller stops the pump,
/// whatever its minimum run.
void check_run(Findings& findings, const Station& station, const core::Settings& settings) {
    if (station.duty == Duty::hold_pressure) return;
    const core::Settings::Marks& marks = settings.marks;
    const double volume_m3 = volume_between_m3(station, marks.low_cutoff_m, marks.start_m);
    const double longest_s = volume_m3 / settings.minimum_flow_m3s;
    const double run_s = settings.permissives.run_min_ms / ms_per_s;
    if (run_s <= longest_s) return;
    const bool direct = settings.action == core::Action::direct;
    refuse(
        findings, "control.permissives.run_min",
        fmt::format("run_min is {:g} min, but without {} a pump at its minimum flow {} the {:.3g} m3 from "
                    "start to {} in {:.3g} min, and stops there; expected at most {}",
                    run_s / s_per_min, direct ? "inflow" : "demand", direct ? "empties" : "fills", volume_m3,
                    direct ? "low_cutoff" : "high_cutoff", longest_s / s_per_min, time_down(longest_s)));
}

}  // namespace freshet::config
