// Tasks at stated times: the draw-down that cleans the well, and the scour of the main.
// One reason to change: how such a task begins, works or ends.
//
//   draw-down   one pump draws the well down to a stated level above the cut-off, so that floating matter
//               leaves the well. The speed is such that the level is reached in about half of the time
//               allowed.
//   scour       one pump runs at a stated flow for a stated time, so that deposits leave the main. Before,
//               the store fills to the start mark when the water is not there.
//
// A task is given up when the inflow needs the pumps, when its time is over, when people or protection stop
// the pumps, or when the measured value is bad. Then the usual rules apply at once. A task that was given up
// comes again at its next time.
#pragma once

#include "controller/core/day_time.hpp"
#include "controller/core/duty_view.hpp"

namespace freshet::core {

struct TimedDuty {
    WaterMode mode = WaterMode::hold;  ///< draw_down, scour_wait or scour; hold: no task is under way
    std::int64_t since_ms = never_ms;  ///< begin of the task
    std::int64_t scour_ms = never_ms;  ///< begin of the scour itself
    std::int64_t draw_down_day = -1, scour_day = -1;  ///< local day on which the task was begun last
    bool under_way() const noexcept { return mode != WaterMode::hold; }
};

/// Renews the task, once a second. Returns what the task asks; `applies` is false when no task is under way.
/// A change of the mode has its reason in the answer.
DutyAim renew_timed_duty(TimedDuty& duty, const DutyView& view) noexcept;

/// The marks of a task, from the marks in force without the task.
NeedMarks marks_of_task(const TimedDuty& duty, NeedMarks marks, const Settings& settings) noexcept;

}  // namespace freshet::core
