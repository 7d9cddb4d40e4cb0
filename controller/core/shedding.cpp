// Stopping a pump; see the header.
#include "controller/core/shedding.hpp"

#include "controller/core/rotation.hpp"

namespace freshet::core {

Decision shed_for_pressure(StagingState& staging, const Situation& at) noexcept {
    const std::int64_t high_ms = at.held_ms(staging.since, &StagingTimers::pressure_ms, true);
    const bool on_drive = at.state.drive_pump != no_pump;
    if (at.line_pumps() + (on_drive ? 1 : 0) < 2) return {};
    std::int64_t wait_ms = 0;
    const std::uint8_t pump =
        on_drive ? at.state.drive_pump
                 : next_to_stop(releasable(at.state, at.settings, at.picture.time_ms), at.state, at.settings);
    if (pump == no_pump ||
        why_not_stop(at.state, at.settings, pump, at.picture.time_ms, wait_ms) != Permissive::none)
        return {};
    const std::int64_t left_ms = at.settings.staging.down_delay_ms - high_ms;
    return {on_drive ? Intention::stop_on_drive : Intention::stop_from_line,
            pump,
            Reason::pressure_high,
            {at.inputs.pressure_m, at.settings.permissives.discharge_pressure_max_m, 0, 0},
            left_ms <= 0,
            left_ms > 0 ? left_ms : 0};
}

Decision shed_for_supply(const Situation& at) noexcept {
    const int running = at.line_pumps() + (at.state.drive_pump != no_pump ? 1 : 0);
    if (running <= pumps_most(at.settings, at.picture)) return {};
    const PumpMask advised_on_line = pumps_in(at.state, PumpState::on_line, at.settings);
    const std::uint8_t pump = next_to_stop(advised_on_line, at.state, at.settings);
    if (pump != no_pump) return {Intention::stop_from_line, pump, Reason::pumps_max_reached, {}, true, 0};
    if (at.state.drive_pump == no_pump) return {};
    return {Intention::stop_on_drive, at.state.drive_pump, Reason::pumps_max_reached, {}, true, 0};
}

Decision stop_before_empty(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const bool on_drive = at.state.drive_pump != no_pump;
    const int running = at.line_pumps() + (on_drive ? 1 : 0);
    const bool applies = at.settings.staging.forecast && in.inflow_known && running > 1 &&
                         in.need_m <= at.inputs.marks.stage_down_m;
    if (!applies) return {};
    const double least_m3s = at.flows.total_m3s(at.picture.on_line, on_drive ? in.lowest_hz : 0, in.value_m);
    const double reach_s =
        time_to_mark_s(-in.need_m, -at.inputs.marks.stop_m, least_m3s - in.inflow_m3s, in.area_m2);
    constexpr double seconds_per_ms = 1e-3;
    const double needed_s = at.settings.staging.forecast_margin * seconds_per_ms *
                            as_double(take_back_ms(at.settings, on_drive ? in.lowest_hz : 0));
    const std::int64_t short_ms = at.held_ms(staging.since, &StagingTimers::emptying_ms, reach_s < needed_s);
    if (short_ms < 0) return {};
    const std::uint8_t pump =
        next_to_stop(releasable(at.state, at.settings, at.picture.time_ms), at.state, at.settings);
    if (pump == no_pump) return {};
    const Decision stop{Intention::stop_from_line,    pump,
                        Reason::forecast_empty,       {in.inflow_m3s, least_m3s, reach_s, needed_s},
                        short_ms >= forecast_hold_ms, forecast_hold_ms - short_ms};
    return stop;
}

}  // namespace freshet::core
