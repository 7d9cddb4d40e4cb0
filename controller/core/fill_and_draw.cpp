// Fill and draw; see the header.
#include "controller/core/fill_and_draw.hpp"

#include <algorithm>

#include "controller/core/numbers.hpp"
#include "controller/core/store.hpp"
#include "controller/core/times.hpp"

namespace freshet::core {

namespace {

constexpr double s_per_hour = 3600;

/// Pumps that take turns on the drive.
int pumps_in_turn(const DutyView& view) noexcept {
    int pumps = 0;
    for (std::size_t pump = 0; pump < view.settings.pump_count; ++pump) {
        const PumpState state = view.sequencer.pumps[pump].state;
        const bool on_line = state == PumpState::on_line || state == PumpState::to_line;
        if (!on_line && state != PumpState::locked_out && state != PumpState::unavailable) ++pumps;
    }
    return std::max(pumps, 1);
}

/// The least time of a draw, s. `filling_s` is the time in which the store fills.
double least_draw_s(const DutyView& view, double filling_s) noexcept {
    const Settings::Permissives& limits = view.settings.permissives;
    constexpr double margin = 1.05;  // a cycle at the very limit would be refused by a second
    const double cycle_s = margin * s_per_hour / (limits.starts_per_hour_max * pumps_in_turn(view));
    return std::max({cycle_s - filling_s, seconds_of(limits.run_min_ms), 1.0});
}

/// Water between the marks of the draw, m3.
double draw_volume_m3(const DutyView& view, std::size_t line_pumps) noexcept {
    const Settings& settings = view.settings;
    const Settings::Marks& marks = settings.marks;
    const double upper_m = line_pumps == 0 ? marks.start_m : marks.stage_up_m;
    const double lower_m = line_pumps == 0 ? marks.stop_m : marks.stage_down_m;
    return need_volume_m3(settings, upper_m) - need_volume_m3(settings, lower_m);
}

}  // namespace

DrawMarks draw_marks(const NeedMarks& marks, std::size_t line_pumps) noexcept {
    return line_pumps == 0 ? DrawMarks{marks.start_m, marks.stop_m}
                           : DrawMarks{marks.stage_up_m, marks.stage_down_m};
}

DutyAim judge_draw(double before_hz, const DutyView& view) noexcept {
    const Settings& settings = view.settings;
    const std::size_t others = view.line_pumps();
    const double best_hz = others < settings.draw.speed_hz.size() ? settings.draw.speed_hz[others] : 0;
    if (!view.sees_water()) return {false, 0, Reason::draw_not_possible, {}};
    const double inflow_m3s = view.balance.estimate.inflow_m3s();
    const double alone_m3s = view.flow_m3s(others, 0);
    const double drawn_m3s = best_hz > 0 ? view.flow_m3s(others, best_hz) : alone_m3s;
    // The inflow must be clearly inside, because each change of the mode is an event.
    constexpr double clearly = 0.9;
    const double share = before_hz > 0 ? 1 : clearly;
    const bool carries = inflow_m3s < alone_m3s + share * (drawn_m3s - alone_m3s);
    const bool too_many = others > 0 && inflow_m3s <= alone_m3s;  // the line pumps are too many
    if (!carries || too_many) return {false, 0, Reason::draw_too_small, {inflow_m3s, drawn_m3s, 0, 0}};

    const double volume_m3 = draw_volume_m3(view, others);
    constexpr double least_m3s = 1e-6;
    const double filling_s = volume_m3 / std::max(inflow_m3s - alone_m3s, least_m3s);
    const double most_m3s = inflow_m3s + volume_m3 / least_draw_s(view, filling_s);
    double speed_hz = best_hz;
    if (drawn_m3s > most_m3s) {
        const double lowest_hz =
            std::min(view.flows.minimum_flow_hz(others, settings.marks.setpoint_m), best_hz);
        speed_hz =
            view.flows.speed_for_hz(others, most_m3s / view.balance.flow_ratio, settings.marks.setpoint_m,
                                    before_hz > 0 ? before_hz : best_hz, lowest_hz, best_hz);
    }
    return {true, speed_hz, Reason::draw_saves_energy, {inflow_m3s, drawn_m3s, speed_hz, 0}};
}

}  // namespace freshet::core
