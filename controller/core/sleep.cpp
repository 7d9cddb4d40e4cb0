// Sleep; see the header.
#include "controller/core/sleep.hpp"

#include <algorithm>

namespace freshet::core {

DutyAim judge_sleep(bool asleep, const DutyView& view) noexcept {
    if (!view.sees_water()) return {false, 0, Reason::draw_not_possible, {}};
    const double setpoint_m = view.settings.marks.setpoint_m;
    const double least_m3s = view.flow_m3s(0, view.flows.minimum_flow_hz(0, setpoint_m));
    const double demand_m3s = view.balance.estimate.inflow_m3s();
    // The demand must be clearly and surely below, because each change of the mode is an event.
    constexpr double clearly = 0.9, sure_deviations = 1.5;
    const double doubt_m3s = sure_deviations * view.balance.estimate.doubt_m3s();
    const bool small =
        asleep ? demand_m3s - doubt_m3s < least_m3s : demand_m3s + doubt_m3s < clearly * least_m3s;
    const bool applies = small && view.line_pumps() == 0;
    return {applies,
            0,
            applies ? Reason::demand_below_minimum : Reason::demand_above_minimum,
            {demand_m3s, least_m3s, 0, 0}};
}

void apply_sleep(NeedMarks& marks, bool asleep, const DutyView& view) noexcept {
    const Settings& settings = view.settings;
    const double boost_m = need_of(settings, settings.sleep.boost_m);
    const bool charged = view.sequencer.drive_pump != no_pump && view.sight.need_m <= marks.stop_m;
    if (asleep || charged) marks.stop_m = boost_m;
    if (!asleep) return;
    marks.start_m = need_of(settings, settings.sleep.wake_m);
    // Past the stage-up mark the pump would run faster than at its minimum flow, and the cycle would be
    // shorter. While a pump starts, the need grows past the wake mark.
    constexpr double half = 0.5;
    const double beyond_m = std::min(marks.start_m + marks.deadband_m, half * (marks.start_m + marks.high_m));
    marks.stage_up_m = std::max(marks.stage_up_m, beyond_m);
}

}  // namespace freshet::core
