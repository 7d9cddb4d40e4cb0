// The measured value and the marks in one sense: metres of "more pumping is wanted" above the setpoint.
// One reason to change: how a value is turned into a need.
#pragma once

#include "controller/core/settings.hpp"

namespace freshet::core {

/// The duty's marks as needs. Rising order for either action: cutoff < stop < stage_down < 0 < stage_up, and
/// start above stop.
struct NeedMarks {
    double cutoff_m = 0, stop_m = 0, stage_down_m = 0, start_m = 0, stage_up_m = 0, high_m = 0,
           deadband_m = 0;
};

/// A well that rises above its setpoint needs more pumping. A tank or a pressure that falls below it does.
constexpr double need_of(const Settings& settings, double value_m) noexcept {
    return settings.action == Action::direct ? value_m - settings.marks.setpoint_m
                                             : settings.marks.setpoint_m - value_m;
}

constexpr NeedMarks need_marks(const Settings& settings) noexcept {
    const Settings::Marks& marks = settings.marks;
    return {need_of(settings, marks.low_cutoff_m),
            need_of(settings, marks.stop_m),
            need_of(settings, marks.stage_down_m),
            need_of(settings, marks.start_m),
            need_of(settings, marks.stage_up_m),
            need_of(settings, marks.high_alarm_m),
            marks.deadband_m};
}

}  // namespace freshet::core
