// Changing pumps over; see the header.
#include "controller/core/change_over.hpp"

#include <algorithm>
#include <limits>

#include "controller/core/next_on_drive.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/step_limits.hpp"
#include "controller/core/transfer_impossible.hpp"

namespace freshet::core {

namespace {

/// A change-over is over before the next begins, so that a change-over that fails does not repeat at once.
constexpr std::int64_t between_ms = 900'000;

/// True when the inflow is known, does not surely rise, and the running pumps carry it, and the value is in
/// its deadband or needs less pumping.
bool is_calm(const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    constexpr double edge = 1.25;  // the trim ends at the edge, and noise passes the edge
    const bool calm = in.service <= Service::one_transmitter && !in.float_calls && !in.permit.pressure_high &&
                      !in.permit.water_in_danger && in.need_m - in.marks.hold_m <= edge * in.marks.deadband_m;
    return calm && in.water.inflow_known && in.water.rise_m3s2 <= 0 &&
           in.water.at_most_m3s() < at.flow_m3s(at.picture.on_line, in.highest_hz, in.marks.stage_up_m);
}

/// The reason and the values of a change-over.
struct Ground {
    Reason why = Reason::none;
    std::array<double, 4> values{};
};

Ground relief_of(const Situation& at, std::uint8_t pump) noexcept {
    constexpr double ms_per_h = 3'600'000;
    const std::int64_t started_ms = at.state.pumps[pump].started_ms;
    const double run_h = started_ms == never_ms ? std::numeric_limits<double>::quiet_NaN()
                                                : as_double(at.picture.time_ms - started_ms) / ms_per_h;
    return {Reason::run_longest, {run_h, 0, 0, 0}};
}

PumpMask due_for_relief(const Situation& at, PumpMask among) noexcept {
    return relief_due(among, at.state, at.settings, at.picture.time_ms);
}

/// True when the store takes the inflow that the line pumps do not carry: up to the stage-up mark until
/// another pump moves water, and up to the high mark until the stopped pump may start again, in case no other
/// pump does.
bool store_takes_a_stop(const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const Settings::Permissives& rules = at.settings.permissives;
    const double minimum_hz = at.flows.minimum_flow_hz(at.picture.on_line, in.value_m);
    const std::int64_t change_ms = ramp_ms(in.demand_hz, at.settings.drive.ramp_down_hz_s) +
                                   2 * std::int64_t{at.settings.step.open_ms} +
                                   start_on_drive_ms(at.settings, minimum_hz);
    const std::int64_t again_ms = change_ms + std::max(rules.rest_min_ms, rules.residual_voltage_ms);
    const double surplus_m3s =
        std::max(in.water.at_most_m3s() - at.flow_m3s(at.picture.on_line, 0, in.marks.stage_up_m), 0.0);
    const double rate_m3s = at.settings.staging.forecast_margin * surplus_m3s;
    return in.water.volume_m3 + seconds_of(change_ms) * rate_m3s <= at.volume_at(in.marks.stage_up_m) &&
           in.water.volume_m3 + seconds_of(again_ms) * rate_m3s <= at.volume_at(in.marks.high_m);
}

/// The drive pump stops, and the other pump starts as soon as the drive is free.
Decision by_stop(StagingState& staging, const Situation& at, const Ground& ground) noexcept {
    std::int64_t wait_ms = 0;
    if (why_not_stop(at.state, at.calm_permit(), at.settings, at.state.drive_pump, at.picture.time_ms,
                     wait_ms) != Permissive::none)
        return {};
    const Decision stop{Intention::stop_on_drive, at.state.drive_pump, ground.why, ground.values, true, 0};
    want_start(staging, stop);
    return stop;
}

/// True when no hand-over failed of late and one more transfer leaves enough in hand for more pumps.
bool hand_over_is_likely(const Situation& at) noexcept {
    return !has(cannot_be_handed_over(at.state), at.state.drive_pump) && at.state.transfer_attempts == 0 &&
           at.transfer_in_hand();
}

/// True when the store above the stop mark lasts while one more pump runs than the inflow needs.
bool store_takes_one_more(const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const std::size_t more = at.picture.on_line + 1U;
    const double minimum_hz = at.flows.minimum_flow_hz(more, in.value_m);
    const double surplus_m3s =
        std::max(at.flow_m3s(more, minimum_hz, in.need_m) - in.water.at_least_m3s(), 0.0);
    const double time_s =
        at.settings.staging.forecast_margin * seconds_of(bring_up_ms(at.settings, in.demand_hz, minimum_hz));
    return in.water.volume_m3 - time_s * surplus_m3s >= at.volume_at(in.marks.stop_m);
}

/// The drive pump is handed over, and the other pump starts on the drive. The flow is not interrupted.
Decision by_hand_over(StagingState& staging, const Situation& at, const Ground& ground) noexcept {
    if (!hand_over_is_likely(at) || !store_takes_one_more(at)) return {};
    Decision over{Intention::hand_over, at.state.drive_pump, ground.why, ground.values, true, 0};
    at.postpone_transfer(over);
    if (!over.now) return {};
    want_start(staging, over);
    return over;
}

}  // namespace

Decision change_over(StagingState& staging, const Situation& at) noexcept {
    const std::int64_t now_ms = at.picture.time_ms;
    const PumpMask idle = pumps_in(at.state, PumpState::off, at.settings);
    // A draw stops the drive pump, and the pump that is due then starts first.
    const bool draws = at.inputs.draws;
    const PumpMask idle_long = draws ? PumpMask{0} : exercise_due(idle, at.state, at.settings, now_ms);
    const PumpMask on_line = pumps_in(at.state, PumpState::on_line, at.settings);
    const bool drive_pump_due = !draws && due_for_relief(at, bit_of(at.state.drive_pump)) != 0;
    const PumpMask line_due = due_for_relief(at, on_line);
    const bool recent = staging.change_over_ms != never_ms && now_ms - staging.change_over_ms < between_ms;
    if (recent || (idle_long == 0 && !drive_pump_due && line_due == 0) || !is_calm(at)) return {};
    const std::uint8_t next = next_on_drive(at).pump;
    if (next == no_pump) return {};

    Ground ground;
    bool by_stop_first = true;
    if (has(idle_long, next)) {
        constexpr double ms_per_h = 3'600'000;
        const double idle_h = as_double(now_ms - at.state.pumps[next].released_ms) / ms_per_h;
        ground = {Reason::exercise_due, {idle_h, 0, 0, 0}};
    } else if (drive_pump_due) {
        ground = relief_of(at, at.state.drive_pump);
    } else if (line_due != 0) {
        ground = relief_of(at, next_to_stop(line_due, at.state, at.settings, now_ms));
        by_stop_first = false;
    } else {
        return {};
    }
    const Decision change = by_stop_first && store_takes_a_stop(at) ? by_stop(staging, at, ground)
                                                                    : by_hand_over(staging, at, ground);
    if (change.now) staging.change_over_ms = now_ms;
    return change;
}

Decision relieve_line_pump(const Situation& at) noexcept {
    const PumpMask due = due_for_relief(at, at.may_stop());
    if (due == 0 || at.picture.on_line == 0 || !is_calm(at)) return {};
    const StagingInputs& in = at.inputs;
    const double others_m3s = at.flow_m3s(at.picture.on_line - 1U, in.highest_hz, in.marks.stage_up_m);
    if (in.water.at_most_m3s() >= others_m3s) return {};
    const std::uint8_t pump = next_to_stop(due, at.state, at.settings, at.picture.time_ms);
    const Ground ground = relief_of(at, pump);
    return {Intention::stop_from_line, pump, ground.why, ground.values, true, 0};
}

Decision relieve_instead_of_stop(const Situation& at, const Decision& down) noexcept {
    const PumpMask due = due_for_relief(at, at.may_stop());
    if (!down.now || due == 0 || !hand_over_is_likely(at)) return {};
    const std::uint8_t pump = next_to_stop(due, at.state, at.settings, at.picture.time_ms);
    const Ground ground = relief_of(at, pump);
    return {Intention::stop_from_line, pump, ground.why, ground.values, true, 0};
}

}  // namespace freshet::core
