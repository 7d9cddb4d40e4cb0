// Tasks at stated times against the marks, the store, the pumps and one another.
// One reason to change: a contradiction between such a task and the station.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive.hpp"
#include "config/engineering/proposal.hpp"
#include "config/hydraulics/pipe.hpp"
#include "controller/core/flow_table.hpp"

namespace freshet::config {
namespace {

/// True when a time of day comes while a task of the same week may still be under way.
bool comes_within(const core::Settings::Timed& task, const core::Settings::Timed& other) {
    constexpr int days = 7;
    constexpr std::int64_t day_ms = 86'400'000, week_ms = days * day_ms;
    for (int day = 0; day < days; ++day)
        for (int other_day = 0; other_day < days; ++other_day) {
            if (((task.days >> day) & 1) == 0 || ((other.days >> other_day) & 1) == 0) continue;
            const std::int64_t begins_ms = day * day_ms + task.at_ms;
            const std::int64_t after_ms = other_day * day_ms + other.at_ms - begins_ms;
            if ((after_ms + week_ms) % week_ms < task.within_ms) return true;
        }
    return false;
}

/// A task does not begin while another task is under way.
void check_overlap(Findings& findings, const core::Settings& settings) {
    const core::Settings::Timed &draw_down = settings.draw_down.time, &scour = settings.scour.time;
    const bool scour_first = comes_within(scour, draw_down);
    if (!scour_first && !comes_within(draw_down, scour)) return;
    refuse(
        findings, scour_first ? "control.draw_down.at" : "control.scour.at",
        fmt::format("the {} would be left out, because the {} of the same day may still be under way then; "
                    "expected a time outside of its {:g} min",
                    scour_first ? "draw-down" : "scour", scour_first ? "scour" : "draw-down",
                    (scour_first ? scour : draw_down).within_ms / ms_per_min));
}

}  // namespace

/// The low float stops every pump, and so does the low cut-off.
void check_timed_duties(Findings& findings, const Station& station, const core::Settings& settings) {
    if (settings.scour.time.days != 0 && station.duty == Duty::hold_pressure)
        refuse(findings, "control.scour",
               "the duty \"hold_pressure\" has no store for a scour; expected no [control.scour] table, or "
               "days of []");
    check_overlap(findings, settings);
    if (settings.draw_down.time.days == 0) return;
    const core::Settings::Marks& marks = settings.marks;
    if (station.duty != Duty::empty_well) {
        refuse(findings, "control.draw_down",
               "only the duty \"empty_well\" draws a well down; expected no [control.draw_down] table, or "
               "days of []");
        return;
    }
    const Instruments& instruments = station.instruments;
    const double float_m = instruments.floats_fitted
                               ? instruments.low_float_m + instruments.float_differential_m
                               : marks.low_cutoff_m;
    const double least_m = std::max(marks.low_cutoff_m, float_m);
    const double level_m = settings.draw_down.level_m;
    if (level_m > least_m && level_m <= marks.stop_m) return;
    constexpr double half = 0.5;
    refuse(findings, "control.draw_down.level",
           fmt::format("level is {:g} m, but the cut-off and the low float stop every pump at {:g} m, and "
                       "the pumps stop at {:g} m without a draw-down; expected a level between the two, such "
                       "as {:.2f} m",
                       level_m, least_m, marks.stop_m, half * (least_m + marks.stop_m)));
}

/// One pump must be able to draw the well down in time, if not in a storm.
void check_draw_down(Findings& findings, const Station& station, const core::Settings& settings,
                     const core::FlowTable& flows) {
    if (settings.draw_down.time.days == 0) return;
    const core::Settings::Marks& marks = settings.marks;
    const double level_m = settings.draw_down.level_m;
    const double volume_m3 = volume_between_m3(station, level_m, marks.start_m);
    const double least_s = volume_m3 / flows.total_m3s(0, settings.drive.speed_max_hz, marks.setpoint_m);
    const double within_s = settings.draw_down.time.within_ms / ms_per_s;
    if (within_s >= least_s) return;
    refuse(findings, "control.draw_down.within",
           fmt::format(
               "within is {:g} min, but one pump at full speed draws the {:.3g} m3 from start to level in "
               "{:.1f} min without any inflow; expected at least {:.0f} min",
               within_s / s_per_min, volume_m3, least_s / s_per_min, rounded_up(least_s / s_per_min, 1)));
}

void check_scour(Findings& findings, const Station& station, const core::Settings& settings,
                 const core::FlowTable& flows) {
    if (settings.scour.time.days == 0) return;
    const core::Settings::Scour& wanted = settings.scour;
    const double area = area_m2(widest_diameter_m(station.main));
    const double setpoint_m = settings.marks.setpoint_m;
    const double most_m3s = flows.total_m3s(0, settings.drive.speed_max_hz, setpoint_m);
    const double least_m3s = flows.total_m3s(0, flows.minimum_flow_hz(0, setpoint_m), setpoint_m);
    if (wanted.flow_m3s > most_m3s || wanted.flow_m3s < least_m3s) {
        refuse(findings, "control.scour.velocity",
               fmt::format(
                   "a velocity of {:.2f} m/s in the widest reach of the main needs {:.3g} m3/s, but one pump "
                   "delivers {:.3g} to {:.3g} m3/s; expected {:.2f} to {:.2f} m/s",
                   wanted.flow_m3s / area, wanted.flow_m3s, least_m3s, most_m3s,
                   rounded_up(least_m3s / area, 100), rounded_down(most_m3s / area, 100)));
        return;
    }
    if (wanted.lasts_ms > wanted.time.within_ms) {
        refuse(findings, "control.scour.within",
               fmt::format("within is {:g} min, but the scour lasts {:g} min; expected at least {:g} min",
                           wanted.time.within_ms / ms_per_min, wanted.lasts_ms / ms_per_min,
                           wanted.lasts_ms / ms_per_min));
        return;
    }
    // An inflow of half of the flow leaves half of the flow to the store.
    constexpr double from_store = 0.5;
    const double volume_m3 = volume_between_m3(station, settings.marks.stop_m, settings.marks.start_m);
    const double longest_s = volume_m3 / (from_store * wanted.flow_m3s);
    const double lasts_s = wanted.lasts_ms / ms_per_s;
    if (lasts_s <= longest_s) return;
    refuse(findings, "control.scour.lasts",
           fmt::format("lasts is {:g} min, but the {:.3g} m3 from start to stop last for {:.1f} min even at "
                       "an inflow of half the flow; expected at most {}",
                       lasts_s / s_per_min, volume_m3, longest_s / s_per_min, time_down(longest_s)));
}

}  // namespace freshet::config
