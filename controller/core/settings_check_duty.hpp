// The rules for the settings of the duty: draw, sleep, moving setpoints and tasks at stated times.
// One reason to change: a setting of the duty, or the range in which it makes sense.
#pragma once

#include "controller/core/settings_ranges.hpp"

namespace freshet::core::settings_ranges {

/// No speed, or a speed of the drive pump.
inline RuleResult draw_speeds(S s) noexcept {
    for (std::size_t pumps = 0; pumps < pumps_max; ++pumps) {
        const double speed_hz = s.draw.speed_hz[pumps];
        const bool of_drive =
            speed_hz > 0 && speed_hz >= s.drive.speed_min_hz && speed_hz <= s.drive.speed_max_hz;
        if (speed_hz != 0 && !of_drive) return {false, static_cast<std::uint8_t>(pumps), speed_hz};
    }
    return {};
}

inline constexpr double all_hours = (1U << 24U) - 1, whole_day_ms = 24.0 * 3600 * 1000;

/// The staging marks move as a whole, and the stop mark must stay inside the cut-off.
inline RuleResult rise(S s, double rise_m) noexcept {
    const double sign = s.action == Action::reverse ? 1 : -1;
    const bool inside = asks_for_more(s, s.marks.low_cutoff_m, s.marks.stop_m + sign * rise_m).holds;
    return {not_negative(rise_m).holds && (rise_m == 0 || inside), 0, rise_m};
}
inline RuleResult timed(const Settings::Timed& time) noexcept {
    constexpr unsigned every_day = 0x7F;
    const bool holds = time.days <= every_day && time.at_ms >= 0 && time.at_ms < whole_day_ms &&
                       time.within_ms >= 0 && time.within_ms < whole_day_ms;
    return {holds, 0, static_cast<double>(time.at_ms)};
}
/// Marks out of order have a rule of their own.
inline bool stop_in_order(S s) noexcept {
    return asks_for_more(s, s.marks.low_cutoff_m, s.marks.stop_m).holds;
}
/// The draw-down ends between the cut-off and the stop mark.
inline RuleResult draw_down_level(S s) noexcept {
    const double level_m = s.draw_down.level_m;
    const bool holds = asks_for_more(s, s.marks.low_cutoff_m, level_m).holds &&
                       !asks_for_more(s, s.marks.stop_m, level_m).holds && number(level_m).holds;
    return {s.draw_down.time.days == 0 || !stop_in_order(s) || holds, 0, level_m};
}

/// The marks of the sleep count only where the booster sleeps.
constexpr RuleResult with_sleep(S s, RuleResult result) noexcept {
    return s.sleep.wanted ? result : RuleResult{};
}
/// Asleep, the pressure falls at least to the usual start mark, and not to the alarm.
inline RuleResult wake_mark(S s) noexcept {
    const double wake_m = s.sleep.wake_m;
    const bool holds = !asks_for_more(s, wake_m, s.marks.start_m).holds &&
                       asks_for_more(s, wake_m, s.marks.high_alarm_m).holds;
    const bool in_order = asks_for_more(s, s.marks.stage_up_m, s.marks.high_alarm_m).holds;
    return {!in_order || holds, 0, wake_m};
}
/// The vessel is charged past the stop mark, and not to the cut-off.
inline RuleResult boost_mark(S s) noexcept {
    const double boost_m = s.sleep.boost_m;
    const bool holds = asks_for_more(s, boost_m, s.marks.stop_m).holds &&
                       asks_for_more(s, s.marks.low_cutoff_m, boost_m).holds;
    return {!stop_in_order(s) || holds, 0, boost_m};
}

}  // namespace freshet::core::settings_ranges
