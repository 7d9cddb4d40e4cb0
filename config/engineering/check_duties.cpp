// Moving setpoints and tasks at stated times against the marks, the store, the pumps and the tariff.
// One reason to change: a contradiction between such a duty and the station.
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

/// The room between the stop mark and the high cut-off, m, rounded down. A tenth of the room stays.
double room_m(const core::Settings::Marks& marks) {
    constexpr double share = 0.9;
    return rounded_down(share * std::abs(marks.low_cutoff_m - marks.stop_m), 100);
}

/// All staging marks move by the rise, and the stop mark must stay inside the high cut-off.
void check_rise(Findings& findings, const std::string& path, double rise_m, const core::Settings& settings) {
    if (rise_m <= room_m(settings.marks)) return;
    refuse(findings, path,
           fmt::format("a rise of {:g} m moves the stop mark from {:g} m past the high cut-off at {:g} m, or "
                       "too near to "
                       "the cut-off; expected at most {:.2f} m",
                       rise_m, settings.marks.stop_m, settings.marks.low_cutoff_m, room_m(settings.marks)));
}

bool has_two_prices(const Station& station) {
    const auto differs = [&](const TariffBand& band) {
        return band.price_per_kwh != station.tariff.front().price_per_kwh;
    };
    return std::ranges::any_of(station.tariff, differs);
}

}  // namespace

void check_moving_setpoint(Findings& findings, const Station& station, const core::Settings& settings) {
    if (settings.flow_setpoint.rise_max_m > 0) {
        if (station.duty != Duty::hold_pressure)
            refuse(findings, "control.setpoint_by_flow",
                   "only the duty \"hold_pressure\" has a setpoint that follows the flow; expected no "
                   "[control.setpoint_by_flow] table, or a rise_max of 0 m");
        else
            check_rise(findings, "control.setpoint_by_flow.rise_max", settings.flow_setpoint.rise_max_m,
                       settings);
    }
    if (!(settings.cheap.rise_m > 0)) return;
    if (station.duty != Duty::fill_tank)
        refuse(findings, "control.cheap_hours",
               "only the duty \"fill_tank\" fills ahead in cheap hours; expected no [control.cheap_hours] "
               "table, or a "
               "rise of 0 m");
    else if (!has_two_prices(station))
        refuse(findings, "control.cheap_hours",
               "the tariff has one price for the whole day, so that no hour is cheap; expected [[tariff]] "
               "tables with "
               "two prices, or a rise of 0 m");
    else
        check_rise(findings, "control.cheap_hours.rise", settings.cheap.rise_m, settings);
}

/// The low float stops every pump, and so does the low cut-off.
void check_timed_duties(Findings& findings, const Station& station, const core::Settings& settings) {
    if (settings.scour.time.days != 0 && station.duty == Duty::hold_pressure)
        refuse(findings, "control.scour",
               "the duty \"hold_pressure\" has no store for a scour; expected no [control.scour] table, or "
               "days of []");
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
                       "the pumps stop at "
                       "{:g} m without a draw-down; expected a level between the two, such as {:.2f} m",
                       level_m, least_m, marks.stop_m, half * (least_m + marks.stop_m)));
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
    // An inflow of half of the flow leaves half of the flow to the store.
    constexpr double from_store = 0.5;
    const double volume_m3 = volume_between_m3(station, settings.marks.stop_m, settings.marks.start_m);
    const double longest_s = volume_m3 / (from_store * wanted.flow_m3s);
    const double lasts_s = wanted.lasts_ms / ms_per_s;
    if (lasts_s <= longest_s) return;
    refuse(findings, "control.scour.lasts",
           fmt::format("lasts is {:g} min, but the {:.3g} m3 from start to stop last for {:.1f} min even at "
                       "an inflow of half "
                       "the flow; expected at most {}",
                       lasts_s / s_per_min, volume_m3, longest_s / s_per_min, time_down(longest_s)));
}

}  // namespace freshet::config
