// The current of a pump's motor; see the header.
#include "controller/core/pump_current.hpp"

#include <algorithm>
#include <cmath>

namespace freshet::core {

namespace {

/// Current at the speed on the line, straight between the points of the curve and constant beyond them.
double current_on_line_a(const Settings& settings, double flow_m3s) noexcept {
    const std::size_t last = std::min<std::size_t>(settings.curve_points, curve_points_max) - 1U;
    std::size_t i = 1;
    while (i < last && settings.curve[i].flow_m3s < flow_m3s) ++i;
    const double from_m3s = settings.curve[i - 1].flow_m3s, to_m3s = settings.curve[i].flow_m3s;
    const double share = std::clamp((flow_m3s - from_m3s) / (to_m3s - from_m3s), 0.0, 1.0);
    return settings.curve_current_a[i - 1] +
           share * (settings.curve_current_a[i] - settings.curve_current_a[i - 1]);
}

}  // namespace

bool current_is_given(const Settings& settings) noexcept {
    return settings.curve_current_a[0] > 0;
}

double motor_current_a(const Settings& settings, double flow_m3s, double speed_ratio) noexcept {
    if (!current_is_given(settings) || !(speed_ratio > 0)) return 0;
    const double on_line_a = current_on_line_a(settings, flow_m3s / speed_ratio);
    const double idle_a = settings.no_load_current_a;
    const double square = speed_ratio * speed_ratio;
    const double load_a2 = std::max(on_line_a * on_line_a - idle_a * idle_a, 0.0);
    return std::sqrt(idle_a * idle_a + load_a2 * square * square);
}

}  // namespace freshet::core
