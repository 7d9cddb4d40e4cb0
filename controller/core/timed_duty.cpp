// Tasks at stated times; see the header.
#include "controller/core/timed_duty.hpp"

#include <algorithm>

#include "controller/core/store.hpp"
#include "controller/core/times.hpp"

namespace freshet::core {

namespace {

bool is_due(const Settings::Timed& wanted, const DayTime& now, std::int64_t last_day) noexcept {
    constexpr std::int32_t late_ms = 60'000;  // a controller that starts later leaves the task out
    const bool day = ((wanted.days >> static_cast<unsigned>(now.weekday())) & 1U) != 0;
    return day && last_day != now.day && now.since_ms >= wanted.at_ms &&
           now.since_ms < wanted.at_ms + late_ms;
}

/// Water between the measured value and a mark, m3; negative past the mark.
double volume_to_m3(const DutyView& view, double mark_m) noexcept {
    return need_volume_m3(view.settings, view.sight.measured().value_m) -
           need_volume_m3(view.settings, mark_m);
}

/// Speed at which one pump delivers a flow at the present value, Hz.
double speed_for_hz(const DutyView& view, double flow_m3s) noexcept {
    const double value_m = view.sight.measured().value_m;
    const double highest_hz = view.settings.drive.speed_max_hz;
    const double lowest_hz = std::min(view.flows.minimum_flow_hz(0, value_m), highest_hz);
    return view.flows.speed_for_hz(0, flow_m3s / view.balance.flow_ratio, value_m,
                                   0.5 * (lowest_hz + highest_hz), lowest_hz, highest_hz);
}

/// Why a task may not begin or continue; Reason::none when the task may.
DutyAim why_not(const DutyView& view) noexcept {
    if (!view.sees_water()) return {false, 0, Reason::draw_not_possible, {}};
    constexpr double with_reserve = 0.9;
    const double carried_m3s = with_reserve * view.flow_m3s(0, view.settings.drive.speed_max_hz);
    const double inflow_m3s = view.balance.estimate.inflow_m3s();
    const bool calls = view.sight.floats.calls || view.line_pumps() > 0 ||
                       view.sight.need_m >= need_marks(view.settings).high_m;
    if (calls || inflow_m3s > carried_m3s)
        return {false, 0, Reason::pumps_needed, {inflow_m3s, carried_m3s, 0, 0}};
    return {};
}

void begin_task(TimedDuty& duty, WaterMode mode, const DutyView& view) noexcept {
    duty.mode = mode;
    duty.since_ms = view.sight.picture.time_ms;
    duty.scour_ms = never_ms;
}

/// The water of a scour, m3: what the pump takes beyond the inflow.
double scour_needs_m3(const DutyView& view) noexcept {
    const Settings::Scour& wanted = view.settings.scour;
    return std::max(wanted.flow_m3s - view.balance.estimate.inflow_m3s(), 0.0) * seconds_of(wanted.lasts_ms);
}

DutyAim end_task(TimedDuty& duty, const DutyAim& why) noexcept {
    duty.mode = WaterMode::hold;
    return why;
}

DutyAim draw_on_down(TimedDuty& duty, const DutyView& view, double passed_s) noexcept {
    const Settings::DrawDown& wanted = view.settings.draw_down;
    const double value_m = view.sight.measured().value_m;
    const double left_m3 = volume_to_m3(view, wanted.level_m);
    if (left_m3 <= 0)
        return end_task(duty, {false, 0, Reason::well_drawn_down, {value_m, wanted.level_m, 0, 0}});
    constexpr double part = 0.5, least_s = 60;
    const double time_s = std::max(part * seconds_of(wanted.time.within_ms) - passed_s, least_s);
    const double flow_m3s = view.balance.estimate.inflow_m3s() + left_m3 / time_s;
    return {true, speed_for_hz(view, flow_m3s), Reason::time_of_day, {}};
}

DutyAim wait_for_water(TimedDuty& duty, const DutyView& view) noexcept {
    const Settings& settings = view.settings;
    const double value_m = view.sight.measured().value_m;
    const double needed_m3 = scour_needs_m3(view);
    if (volume_to_m3(view, settings.marks.stop_m) >= needed_m3) {
        duty.mode = WaterMode::scour;
        return {true,
                0,
                Reason::water_there,
                {value_m, settings.scour.flow_m3s, seconds_of(settings.scour.lasts_ms), 0}};
    }
    const double full_m3 =
        need_volume_m3(settings, settings.marks.start_m) - need_volume_m3(settings, settings.marks.stop_m);
    if (full_m3 < needed_m3)
        return end_task(duty, {false, 0, Reason::water_too_little, {needed_m3, full_m3, 0, 0}});
    return {true, 0, Reason::water_awaited, {value_m, settings.marks.start_m, 0, 0}};
}

DutyAim scour(TimedDuty& duty, const DutyView& view) noexcept {
    const Settings::Scour& wanted = view.settings.scour;
    const std::int64_t now_ms = view.sight.picture.time_ms;
    const bool runs = view.sequencer.drive_pump != no_pump && view.sequencer.main.step == Step::idle;
    if (duty.scour_ms == never_ms && runs) duty.scour_ms = now_ms;
    const bool done = duty.scour_ms != never_ms && now_ms - duty.scour_ms >= wanted.lasts_ms;
    const double lasted_s = duty.scour_ms == never_ms ? 0 : seconds_of(now_ms - duty.scour_ms);
    const bool stopped = duty.scour_ms != never_ms && view.sequencer.drive_pump == no_pump;
    if (done) return end_task(duty, {false, 0, Reason::main_scoured, {wanted.flow_m3s, lasted_s, 0, 0}});
    if (stopped)
        return end_task(duty,
                        {false, 0, Reason::scour_cut_short, {lasted_s, seconds_of(wanted.lasts_ms), 0, 0}});
    return {true,
            speed_for_hz(view, wanted.flow_m3s),
            Reason::water_there,
            {view.sight.measured().value_m, wanted.flow_m3s, seconds_of(wanted.lasts_ms), 0}};
}

}  // namespace

DutyAim renew_timed_duty(TimedDuty& duty, const DutyView& view) noexcept {
    const Settings& settings = view.settings;
    const std::int64_t now_ms = view.sight.picture.time_ms;
    if (!duty.under_way()) {
        const DayTime now = day_time(now_ms, settings);
        const bool draws_down = is_due(settings.draw_down.time, now, duty.draw_down_day);
        const bool scours = !draws_down && is_due(settings.scour.time, now, duty.scour_day);
        if (!draws_down && !scours) return {};
        (draws_down ? duty.draw_down_day : duty.scour_day) = now.day;
        if (const DutyAim against = why_not(view); against.why != Reason::none) return against;
        begin_task(duty, draws_down ? WaterMode::draw_down : WaterMode::scour_wait, view);
    }
    if (const DutyAim against = why_not(view); against.why != Reason::none) return end_task(duty, against);
    const Settings::Timed& time =
        duty.mode == WaterMode::draw_down ? settings.draw_down.time : settings.scour.time;
    const double passed_s = seconds_of(now_ms - duty.since_ms);
    if (now_ms - duty.since_ms >= time.within_ms)
        return end_task(duty, {false, 0, Reason::time_over, {seconds_of(time.within_ms), 0, 0, 0}});
    switch (duty.mode) {
        case WaterMode::draw_down:
            return draw_on_down(duty, view, passed_s);
        case WaterMode::scour_wait:
            return wait_for_water(duty, view);
        default:
            return scour(duty, view);
    }
}

NeedMarks marks_of_task(const TimedDuty& duty, NeedMarks marks, const Settings& settings) noexcept {
    if (duty.mode == WaterMode::draw_down) {
        // The pump starts above the level of the draw-down, and stops there.
        marks.stop_m = need_of(settings, settings.draw_down.level_m);
        marks.start_m = std::min(marks.start_m, marks.stop_m + marks.deadband_m);
    } else if (duty.mode == WaterMode::scour_wait) {
        // A pump that runs stops soon, and the store fills.
        constexpr double nearly = 0.1;
        marks.stop_m = marks.start_m - nearly * (marks.start_m - marks.stop_m);
        marks.hold_m = marks.start_m;
    } else if (duty.mode == WaterMode::scour) {
        marks.start_m = std::min(marks.start_m, marks.stop_m + marks.deadband_m);
    }
    return marks;
}

}  // namespace freshet::core
