// The sleep of a booster: its marks, and the vessel that the sleep needs.
// One reason to change: a limit of the sleep.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive.hpp"
#include "config/engineering/proposal.hpp"
#include "config/engineering/vessel.hpp"
#include "controller/core/steady_flow.hpp"

namespace freshet::config {

void check_sleep_marks(Findings& findings, const Station& station, const core::Settings& settings) {
    if (!settings.sleep.wanted) return;
    const core::Settings::Marks& marks = settings.marks;
    const double wake_m = settings.sleep.wake_m, boost_m = settings.sleep.boost_m;
    constexpr double half = 0.5;
    if (station.duty != Duty::hold_pressure) {
        refuse(findings, "control.sleep",
               "only the duty \"hold_pressure\" can sleep, because the sleep needs a vessel; expected no "
               "[control.sleep] table");
        return;
    }
    if (!(wake_m <= marks.start_m && wake_m > marks.high_alarm_m))
        refuse(findings, "control.sleep.wake",
               fmt::format(
                   "wake is {:g} m, but the pump starts at {:g} m and the low alarm is at {:g} m; expected "
                   "a value between the two, such as {:.2f} m",
                   wake_m, marks.start_m, marks.high_alarm_m,
                   half * (marks.start_m + std::max(marks.high_alarm_m, marks.start_m - 4))));
    if (!(boost_m > marks.stop_m && boost_m < marks.low_cutoff_m))
        refuse(findings, "control.sleep.boost",
               fmt::format("boost is {:g} m, but the pump stops at {:g} m and the high cut-off is at {:g} m; "
                           "expected a value between the two, such as {:.2f} m",
                           boost_m, marks.stop_m, marks.low_cutoff_m,
                           half * (marks.stop_m + marks.low_cutoff_m)));
}

/// The pump must reach the boost mark, run for its minimum run before the mark, and start within its limit.
void check_sleep(Findings& findings, const Station& station, const core::Settings& settings) {
    if (!settings.sleep.wanted) return;
    const double boost_m = settings.sleep.boost_m;
    const double needed_hz = core::minimum_flow_speed_hz(settings, 0, boost_m);
    if (needed_hz > settings.drive.speed_max_hz) {
        double reached_m = boost_m;
        constexpr double step_m = 0.1;
        while (reached_m > settings.marks.stop_m &&
               core::minimum_flow_speed_hz(settings, 0, reached_m) > settings.drive.speed_max_hz)
            reached_m -= step_m;
        refuse(findings, "control.sleep.boost",
               fmt::format("boost is {:g} m, but one pump delivers its minimum flow up to {:.1f} m only; "
                           "expected at most {:.1f} m",
                           boost_m, reached_m, rounded_down(reached_m, 10)));
        return;
    }
    const SleepCycle cycle = sleep_cycle(station, settings);
    const double run_s = settings.permissives.run_min_ms / ms_per_s;
    if (cycle.shortest_charge_s < run_s)
        refuse(
            findings, "control.permissives.run_min",
            fmt::format("run_min is {:g} s, but a pump at its minimum flow charges the vessel from wake to "
                        "boost in {:.0f} s; expected at most {}, or a vessel of {:.1f} m3",
                        run_s, cycle.shortest_charge_s, time_down(cycle.shortest_charge_s),
                        rounded_up(station.air_vessel.air_volume_m3 * run_s / cycle.shortest_charge_s, 10)));
    const int limit = settings.permissives.starts_per_hour_max;
    if (cycle.starts_per_hour_each > limit)
        refuse(findings, "air_vessel.air_volume",
               fmt::format(
                   "asleep, each pump would start up to {:.1f} times an hour, but starts_per_hour_max is "
                   "{}; expected a vessel of {:.1f} m3, or a limit of {:.0f}",
                   cycle.starts_per_hour_each, limit, rounded_up(cycle.vessel_m3(limit), 10),
                   std::ceil(cycle.starts_per_hour_each)));
}

}  // namespace freshet::config
