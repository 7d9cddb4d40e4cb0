// Moving setpoints; see the header.
#include "controller/core/moving_setpoint.hpp"

#include <algorithm>

#include "controller/core/times.hpp"

namespace freshet::core {

namespace {

constexpr int hours_of_day = 24;
/// The time left of the cheap hours, s; zero in a dear hour.
double cheap_left_s(const DayTime& now, std::uint32_t cheap_hours) noexcept {
    constexpr double hour_s = 3600;
    int hours = 0;
    while (hours < hours_of_day &&
           ((cheap_hours >> static_cast<unsigned>((now.hour() + hours) % hours_of_day)) & 1U) != 0)
        ++hours;
    if (hours == 0) return 0;
    return hours * hour_s - (seconds_of(now.since_ms) - now.hour() * hour_s);
}

/// The loss of the main at the smoothed demand, m.
double flow_rise_m(MovingSetpoint& setpoint, const DutyView& view) noexcept {
    const Settings::FlowSetpoint& wanted = view.settings.flow_setpoint;
    if (!(wanted.loss_s2m5 > 0) || !(wanted.rise_max_m > 0)) return 0;
    if (view.balance.estimate.known()) {
        const double demand_m3s = std::max(view.balance.estimate.inflow_m3s(), 0.0);
        constexpr double smoothing = 1.0 / 60;  // a minute, one step a second
        setpoint.flow_m3s += (setpoint.flow_known ? smoothing : 1) * (demand_m3s - setpoint.flow_m3s);
        setpoint.flow_known = true;
    }
    return std::min(wanted.loss_s2m5 * setpoint.flow_m3s * setpoint.flow_m3s, wanted.rise_max_m);
}

/// The rise of the cheap hours, m.
double cheap_rise_m(MovingSetpoint& setpoint, const DutyView& view) noexcept {
    const Settings::CheapHours& wanted = view.settings.cheap;
    if (!(wanted.rise_m > 0)) return 0;
    const double left_s = cheap_left_s(day_time(view.sight.picture.time_ms, view.settings), wanted.hours);
    setpoint.is_cheap = left_s > 0;
    if (!setpoint.is_cheap) {
        setpoint.filled_m = 0;
        return 0;
    }
    // Evenly to the full rise half an hour before the end, and never faster than the full rise in half an
    // hour.
    constexpr double early_s = 1800, least_s = 1;
    const double even_m = (wanted.rise_m - setpoint.filled_m) / std::max(left_s - early_s, least_s);
    setpoint.filled_m += std::min(even_m, wanted.rise_m / early_s);
    return setpoint.filled_m;
}

}  // namespace

void renew_setpoint(MovingSetpoint& setpoint, const DutyView& view) noexcept {
    setpoint.rise_m = flow_rise_m(setpoint, view) + cheap_rise_m(setpoint, view);
}

NeedMarks moved_marks(const MovingSetpoint& setpoint, const Settings& settings) noexcept {
    NeedMarks marks = need_marks(settings);
    if (!(setpoint.rise_m > 0)) return marks;
    // A fuller store and a higher pressure are a smaller need.
    for (double NeedMarks::*mark : {&NeedMarks::stop_m, &NeedMarks::stage_down_m, &NeedMarks::start_m,
                                    &NeedMarks::stage_up_m, &NeedMarks::hold_m})
        marks.*mark -= setpoint.rise_m;
    return marks;
}

}  // namespace freshet::core
