// Setpoints that move against the marks, the pumps and the tariff.
// One reason to change: a contradiction between a moving setpoint and the station.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "config/engineering/checks.hpp"
#include "config/engineering/proposal.hpp"
#include "controller/core/steady_flow.hpp"

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
                       "too near to the cut-off; expected at most {:.2f} m",
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
               "table, or a rise of 0 m");
    else if (!has_two_prices(station))
        refuse(findings, "control.cheap_hours",
               "the tariff has one price for the whole day, so that no hour is cheap; expected [[tariff]] "
               "tables with two prices, or a rise of 0 m");
    else
        check_rise(findings, "control.cheap_hours.rise", settings.cheap.rise_m, settings);
}

/// One pump must reach the highest setpoint with its minimum flow.
void check_raised_setpoint(Findings& findings, const core::Settings& settings) {
    const double rise_m = settings.flow_setpoint.rise_max_m;
    if (!(rise_m > 0)) return;
    const auto reaches = [&](double rise) {
        return core::minimum_flow_speed_hz(settings, 0, settings.marks.setpoint_m + rise) <=
               settings.drive.speed_max_hz;
    };
    if (reaches(rise_m)) return;
    double reached_m = rise_m;
    constexpr double step_m = 0.1;
    while (reached_m > 0 && !reaches(reached_m)) reached_m -= step_m;
    refuse(findings, "control.setpoint_by_flow.rise_max",
           fmt::format("a rise of {:g} m needs {:g} m, but one pump delivers its minimum flow up to {:.1f} m "
                       "only; expected at most {:.1f} m",
                       rise_m, settings.marks.setpoint_m + rise_m, settings.marks.setpoint_m + reached_m,
                       std::max(rounded_down(reached_m, 10), 0.0)));
}

}  // namespace freshet::config
