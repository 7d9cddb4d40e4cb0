// The rules of the duty in their order; see the header.
#include "controller/core/water_duty.hpp"

#include "controller/core/fill_and_draw.hpp"
#include "controller/core/sleep.hpp"

namespace freshet::core {

namespace {

/// What one second asks.
struct Asked {
    WaterMode mode = WaterMode::hold;
    DutyAim aim;
};

bool any_wanted(const Settings& settings) noexcept {
    return settings.draw.wanted || settings.sleep.wanted || settings.flow_setpoint.rise_max_m > 0 ||
           settings.cheap.rise_m > 0 || settings.draw_down.time.days != 0 || settings.scour.time.days != 0;
}

/// The mode that no rule but the tariff gives.
Asked usual(const WaterDuty& duty, const Settings& settings) noexcept {
    const bool was_cheap = duty.mode == WaterMode::cheap_fill;
    if (duty.setpoint.is_cheap)
        return {WaterMode::cheap_fill,
                {false, 0, Reason::cheap_hours_begun, {settings.cheap.rise_m, 0, 0, 0}}};
    if (was_cheap)
        return {WaterMode::hold, {false, 0, Reason::cheap_hours_over, {settings.cheap.rise_m, 0, 0, 0}}};
    return {};
}

/// True while a mode is on. A mode begins when its rule has applied for a minute, so that sleep and a draw do not
/// begin on the first estimate of the inflow. A mode that does not end at once ends when its rule has not applied
/// for a minute, because the estimate errs after each start of a pump.
bool is_on(WaterDuty& duty, WaterMode mode, bool applies, bool ends_at_once, std::int64_t now_ms) noexcept {
    constexpr std::int64_t hold_ms = 60'000;
    const bool was_on = duty.mode == mode;
    if (applies == was_on || (was_on && ends_at_once)) {
        duty.differs_since_ms = never_ms;
        return applies;
    }
    if (duty.differs_since_ms == never_ms) duty.differs_since_ms = now_ms;
    if (now_ms - duty.differs_since_ms < hold_ms) return was_on;
    duty.differs_since_ms = never_ms;
    return applies;
}

/// The rules after the timed tasks.
Asked judge(WaterDuty& duty, const DutyView& view) noexcept {
    const Settings& settings = view.settings;
    const std::int64_t now_ms = view.sight.picture.time_ms;
    Asked asked = usual(duty, settings);
    if (settings.sleep.wanted) {
        DutyAim sleep = judge_sleep(duty.mode == WaterMode::sleep, view);
        sleep.applies = is_on(duty, WaterMode::sleep, sleep.applies, true, now_ms);
        apply_sleep(duty.marks, sleep.applies, view);
        if (sleep.applies || duty.mode == WaterMode::sleep) asked.aim = sleep;
        if (sleep.applies) return {WaterMode::sleep, sleep};
    }
    if (settings.draw.wanted) {
        DutyAim draw = judge_draw(duty.draw_hz, view);
        const bool at_once = draw.why == Reason::draw_not_possible;
        const bool draws_on = is_on(duty, WaterMode::fill_and_draw, draw.applies, at_once, now_ms);
        if (draws_on && !draw.applies) draw.speed_hz = duty.draw_hz;
        draw.applies = draws_on;
        if (draw.applies || duty.mode == WaterMode::fill_and_draw) asked.aim = draw;
        if (draw.applies) return {WaterMode::fill_and_draw, draw};
    }
    return asked;
}

}  // namespace

void renew_water_duty(WaterDuty& duty, const DutyView& view, Advice& advice, Journal& journal) noexcept {
    const Settings& settings = view.settings;
    if (!any_wanted(settings)) return;
    renew_setpoint(duty.setpoint, view);
    duty.marks = moved_marks(duty.setpoint, settings);
    advice.setpoint_m = mark_value_m(settings, settings.marks.setpoint_m, duty.marks.hold_m);

    const DutyAim task = renew_timed_duty(duty.timed, view);
    Asked asked{duty.timed.mode, task};
    if (duty.timed.under_way())
        duty.marks = marks_of_task(duty.timed, duty.marks, settings);
    else
        asked = judge(duty, view);
    // The end of a task, and a task that could not begin, have the reason of the task.
    const bool refused = !duty.timed.under_way() && task.why != Reason::none;
    if (refused) {
        asked.aim.why = task.why;
        asked.aim.values = task.values;
    }
    duty.draw_hz = asked.aim.applies ? asked.aim.speed_hz : 0;
    if (asked.mode == duty.mode && !refused) return;
    duty.mode = asked.mode;
    journal.note(EventKind::water_mode, static_cast<std::uint8_t>(asked.mode), no_pump, asked.aim.why,
                 asked.aim.values);
}

}  // namespace freshet::core
