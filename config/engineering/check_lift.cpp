// The pumps against main and static head.
// One reason to change: what a pump must be able to lift.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive.hpp"
#include "config/hydraulics/pipe.hpp"
#include "controller/core/flow_table.hpp"

namespace freshet::config {

/// Checks the pumps against main and static head by the controller's own figures.
bool check_lift(Findings& findings, const Station& station, const core::Settings& settings) {
    const double fastest = settings.drive.speed_max_hz / settings.drive.line_frequency_hz;
    const double at_line_m = settings.curve[0].head_m;
    const double shut_off_m = at_line_m * fastest * fastest;
    const core::StaticHead static_head(settings);
    const double static_m = static_head.at_m(settings.marks.stop_m);
    if (!(shut_off_m > static_m)) {
        refuse(findings, "pump.curve",
               fmt::format("at full speed and no flow the pump gives {:.4g} m, but the static head at the "
                           "stop level is {:.4g} m; expected a pump that overcomes the static head",
                           shut_off_m, static_m));
        return false;
    }
    if (station.duty == Duty::hold_pressure) return true;
    const PumpPoint& last = station.pump.curve.back();
    const double last_m3s = last.flow_m3s * line_speed_ratio(station);
    const double setpoint_m = static_head.at_m(settings.marks.setpoint_m);
    // At the lowest useful speed the pump's shut-off head equals the static head. At some speed from there to
    // full speed the pump's curve must cross the main's curve before it ends.
    constexpr int speeds = 50;
    const double lowest = std::sqrt(std::max(setpoint_m, 0.0) / at_line_m);
    const core::SteadyFlow flow(settings);
    for (int i = 1; i <= speeds; ++i) {
        const double speed = lowest + (fastest - lowest) * i / speeds;
        const double flow_m3s = flow.at(0, speed, setpoint_m).drive_pump_m3s;
        if (flow_m3s > 0 && flow_m3s <= last_m3s * speed) return true;
    }
    refuse(findings, "pump.curve",
           fmt::format("the pump's curve ends at {:.4g} m3/s and {:.4g} m, but the main takes only {:.4g} m "
                       "at that flow; expected a curve long enough to meet the main's curve at some speed",
                       last.flow_m3s, last.head_m,
                       setpoint_m + main_loss_m(station.main, station.fluid, last.flow_m3s)));
    return false;
}

void check_minimum_flow(Findings& findings, const core::Settings& settings, const core::FlowTable& flows) {
    constexpr double slack_hz = 0.01;
    for (std::uint8_t k = 0; k < settings.pump_count; ++k) {
        if (flows.minimum_flow_hz(k, settings.marks.setpoint_m) < settings.drive.speed_max_hz - slack_hz)
            continue;
        return refuse(
            findings, "pump.minimum_flow",
            fmt::format("with {} on the line, the next pump moves less than its minimum flow of {:.4g} m3/s "
                        "even at {:g} Hz; expected pumps and a main that let it reach its minimum flow",
                        k == 0   ? "no pump"
                        : k == 1 ? "one pump"
                                 : fmt::format("{} pumps", k),
                        settings.minimum_flow_m3s, settings.drive.speed_max_hz));
    }
}

}  // namespace freshet::config
