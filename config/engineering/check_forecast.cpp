// The look-ahead against the time that the store lasts.
// One reason to change: what the forecast needs to be of use.
#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive.hpp"
#include "config/engineering/proposal.hpp"
#include "controller/core/climb.hpp"
#include "controller/core/flow_table.hpp"

namespace freshet::config {
namespace {

/// The slowest ramp with which the look-ahead ends before the store is full, Hz/s. Nothing when no ramp is
/// fast enough, because the transfer takes its time with any ramp.
std::optional<double> ramp_for(core::Settings settings, double lowest_hz, double next_hz, double fill_s) {
    constexpr int per_hz_s = 10, fastest_hz_s = 30;
    for (int tenths = 1; tenths <= fastest_hz_s * per_hz_s; ++tenths) {
        settings.drive.ramp_up_hz_s = static_cast<double>(tenths) / per_hz_s;
        const double bring_up_s =
            static_cast<double>(core::bring_up_ms(settings, lowest_hz, next_hz)) / ms_per_s;
        if (settings.staging.forecast_margin * bring_up_s < fill_s) return settings.drive.ramp_up_hz_s;
    }
    return std::nullopt;
}

/// A look-ahead shorter than the time in which a pump comes on is too late.
constexpr double margin_least = 1, margin_usual = 1.2;

void refuse_margin(Findings& findings, double margin, std::optional<double> suggested) {
    refuse(findings, "control.staging.forecast_margin",
           fmt::format("forecast_margin is {:g}, so the look-ahead is shorter than the time in which a pump "
                       "comes on; expected at least {:g}{}",
                       margin, margin_least, suggested ? fmt::format(", such as {:g}", *suggested) : ""));
}

/// The remedies for a look-ahead that is too long. Each remedy suffices alone.
std::string shorter_look_ahead(const core::Settings& settings, double lowest_hz, double next_hz,
                               double fill_s, double margin_most) {
    if (margin_most > margin_least) return fmt::format("a margin below {:g}", margin_most);
    const auto ramp_hz_s = ramp_for(settings, lowest_hz, next_hz, fill_s);
    return ramp_hz_s ? fmt::format("a drive with a ramp_up of {:g} Hz/s, no forecast", *ramp_hz_s)
                     : "no forecast";
}

}  // namespace

/// The forecast helps only if the store lasts longer than the time in which a pump comes on.
void check_forecast(Findings& findings, const Station& station, core::Settings settings,
                    const core::FlowTable& flows) {
    const double margin_given = settings.staging.forecast_margin;
    const bool too_small = margin_given < margin_least;
    if (!settings.staging.forecast || station.duty == Duty::hold_pressure) {
        if (too_small) refuse_margin(findings, margin_given, margin_usual);
        return;
    }
    const double margin = std::max(margin_given, margin_least);
    settings.staging.forecast_margin = margin;
    const core::Settings::Marks& marks = settings.marks;
    const double lowest_hz = flows.minimum_flow_hz(0, marks.setpoint_m),
                 next_hz = flows.minimum_flow_hz(1, marks.setpoint_m);
    const double bring_up_s = static_cast<double>(core::bring_up_ms(settings, lowest_hz, next_hz)) / ms_per_s;
    const double one_m3s = core::solve_combination(settings, {1, 0, marks.setpoint_m}).total_m3s;
    const double volume_m3 = volume_between_m3(station, marks.stage_down_m, marks.high_alarm_m);
    const double fill_s = volume_m3 / one_m3s;
    const double margin_most = rounded_down(fill_s / bring_up_s, 100);
    const double look_ahead_s = margin * bring_up_s;
    if (too_small)
        refuse_margin(findings, margin_given,
                      margin_most > margin_usual   ? std::optional(margin_usual)
                      : margin_most > margin_least ? std::optional(margin_least)
                                                   : std::nullopt);
    if (look_ahead_s < fill_s) return;
    refuse(findings, "control.staging.forecast_margin",
           fmt::format(
               "the look-ahead is {:.3g} times {:.0f} s, but a surplus of one pump's flow {} the {:.3g} m3 "
               "from stage_down to the alarm in {:.0f} s; expected {}, or {:.0f} m3 between these marks",
               margin, bring_up_s, settings.action == core::Action::direct ? "fills" : "empties", volume_m3,
               fill_s, shorter_look_ahead(settings, lowest_hz, next_hz, fill_s, margin_most),
               rounded_up(look_ahead_s * one_m3s, 1)));
}

}  // namespace freshet::config
