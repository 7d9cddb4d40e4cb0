// The measured value and the marks as a need: metres from the setpoint, positive when more pumping is needed.
// One reason to change: how a value becomes a need.
#pragma once

#include "controller/core/settings.hpp"

namespace freshet::core {

/// The marks of the duty as needs. For either action they rise in this order:
///
///     cutoff < stop < stage_down < 0 < stage_up
///
/// and start lies above stop.
struct NeedMarks {
    double cutoff_m = 0, stop_m = 0, stage_down_m = 0, start_m = 0, stage_up_m = 0, high_m = 0,
           deadband_m = 0;
    double hold_m = 0;  ///< the need that is held; zero: the setpoint of the settings
};

/// The need of a measured value, m. A well needs more pumping when its level rises above the setpoint. A tank
/// or a pressure needs more pumping when its value falls below the setpoint.
constexpr double need_of(const Settings& settings, double value_m) noexcept {
    return settings.action == Action::direct ? value_m - settings.marks.setpoint_m
                                             : settings.marks.setpoint_m - value_m;
}

/// The measured value of a need, m.
constexpr double value_of(const Settings& settings, double need_m) noexcept {
    return settings.marks.setpoint_m + (settings.action == Action::direct ? need_m : -need_m);
}

/// The value of a mark in force, m. `given_m` is the mark of the settings, and gives the value to the last
/// bit while the mark in force is that mark.
constexpr double mark_value_m(const Settings& settings, double given_m, double in_force_m) noexcept {
    return need_of(settings, given_m) == in_force_m ? given_m : value_of(settings, in_force_m);
}

/// The marks of the settings as needs.
constexpr NeedMarks need_marks(const Settings& settings) noexcept {
    const Settings::Marks& marks = settings.marks;
    return {need_of(settings, marks.low_cutoff_m),
            need_of(settings, marks.stop_m),
            need_of(settings, marks.stage_down_m),
            need_of(settings, marks.start_m),
            need_of(settings, marks.stage_up_m),
            need_of(settings, marks.high_alarm_m),
            marks.deadband_m,
            0};
}

/// The start mark and the stop mark, in the measured value's unit (m), of the pump that starts as number
/// `pump` without the drive, counted from zero. Where the settings give no marks of lag pumps, every lag pump
/// has the stage-up and the stage-down mark.
constexpr LagMarks fixed_speed_marks(const Settings& settings, std::size_t pump) noexcept {
    const Settings::Marks& marks = settings.marks;
    if (pump == 0) return {marks.start_m, marks.stop_m};
    if (settings.staging.lag_count == 0) return {marks.stage_up_m, marks.stage_down_m};
    const std::size_t lag = pump < pumps_max ? pump - 1 : pumps_max - 2;
    return settings.staging.lag[lag];
}

}  // namespace freshet::core
