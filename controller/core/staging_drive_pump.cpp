// The staging while a pump runs on the drive: start another pump, stop the drive pump, or exchange the drive
// pump.
// One reason to change: when the drive pump is handed over, stopped or exchanged.
#include <algorithm>

#include "controller/core/next_on_drive.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/shedding.hpp"
#include "controller/core/staging_rules.hpp"
#include "controller/core/transfer_impossible.hpp"

namespace freshet::core {

namespace {

/// A pump has been idle for too long. While the need is zero or less, the drive pump stops. The idle pump
/// then starts first.
Decision exchange(const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    if (in.need_m > 0 || in.service > Service::one_transmitter) return {};
    const PumpMask idle_long = exercise_due(pumps_in(at.state, PumpState::off, at.settings), at.state,
                                            at.settings, at.picture.time_ms);
    if (idle_long == 0) return {};
    std::int64_t wait_ms = 0;
    if (why_not_stop(at.state, at.settings, at.state.drive_pump, at.picture.time_ms, wait_ms) !=
        Permissive::none)
        return {};
    const std::uint8_t idle = next_on_drive(at);
    if (idle == no_pump || !has(idle_long, idle)) return {};
    constexpr double ms_per_hour = 3'600'000;
    const double idle_h = as_double(at.picture.time_ms - at.state.pumps[idle].released_ms) / ms_per_hour;
    return {Intention::stop_on_drive, at.state.drive_pump, Reason::exercise_due, {idle_h, 0, 0, 0}, true, 0};
}

/// The time to start as many pumps as the observed inflow needs, s. Pumps start one after another. When the
/// next pump cannot carry the inflow even at full speed, the time for one more pump is added.
double time_needed_s(const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    constexpr double seconds_per_ms = 1e-3;
    double needed_s = 0;
    double drive_hz = in.demand_hz;
    for (std::size_t beside = at.picture.on_line + 1U; beside < at.settings.pump_count; ++beside) {
        const double minimum_hz = at.flows.minimum_flow_hz(beside, in.value_m);
        needed_s += seconds_per_ms * as_double(bring_up_ms(at.settings, drive_hz, minimum_hz));
        if (in.inflow_m3s <= at.flows.total_m3s(beside, in.highest_hz, in.value_m)) break;
        drive_hz = minimum_hz;
    }
    return needed_s;
}

/// Decides whether another pump must start, because the demand has been at its top for the delay, or because
/// the forecast is short of time.
Decision up_from_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const Settings::Staging& rules = at.settings.staging;
    constexpr double at_limit_hz = 0.05;
    const bool by_float = in.service == Service::floats;
    const bool at_top =
        by_float ? in.float_calls
                 : in.demand_hz >= in.highest_hz - at_limit_hz && in.need_m >= at.inputs.marks.stage_up_m;
    const std::int64_t top_ms = at.held_ms(staging.since, &StagingTimers::top_ms, at_top);
    Decision up{Intention::hand_over, at.state.drive_pump, Reason::none, {}, false, -1};
    if (by_float) {
        const std::int64_t since_ms = staging.last_float_step_ms == never_ms
                                          ? at.settings.floats.run_on_ms
                                          : at.picture.time_ms - staging.last_float_step_ms;
        const std::int64_t left_ms = at.settings.floats.run_on_ms - since_ms;
        if (top_ms < 0) return {};
        up.why = float_reason(at);
        up.now = left_ms <= 0;
        up.countdown_ms = left_ms > 0 ? left_ms : 0;
        return up;
    }

    if (rules.forecast && in.inflow_known && in.need_m > -at.inputs.marks.deadband_m) {
        const double most_m3s = at.flows.total_m3s(at.picture.on_line, in.highest_hz, in.value_m);
        const double reach_s =
            time_to_mark_s(in.need_m, at.inputs.marks.stage_up_m, in.inflow_m3s - most_m3s, in.area_m2);
        const double needed_s = reach_s < never_s ? rules.forecast_margin * time_needed_s(at) : 0;
        const std::int64_t short_ms =
            at.held_ms(staging.since, &StagingTimers::forecast_ms, reach_s < needed_s);
        if (short_ms >= 0) {
            up.why = Reason::forecast_short;
            up.values = {in.inflow_m3s, most_m3s, reach_s, needed_s};
            up.now = short_ms >= forecast_hold_ms;
            up.countdown_ms = up.now ? 0 : forecast_hold_ms - short_ms;
            if (up.now) return up;
        }
    }
    if (top_ms < 0) return up.why == Reason::none ? Decision{} : up;
    up.why = Reason::demand_at_top;
    up.values = {in.demand_hz, in.value_m, at.settings.marks.stage_up_m, as_double(top_ms)};
    up.now = top_ms >= rules.up_delay_ms;
    up.countdown_ms = up.now ? 0 : rules.up_delay_ms - top_ms;
    return up;
}

/// Decides whether the drive pump must stop, because demand and need have been at their bottom for the delay,
/// or because the last pump has reached the stop mark.
Decision down_from_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    constexpr double at_limit_hz = 0.05;
    const bool last = at.picture.on_line == 0;
    const double mark_m = last ? at.inputs.marks.stop_m : at.inputs.marks.stage_down_m;
    const bool at_bottom = in.demand_hz <= in.lowest_hz + at_limit_hz && in.need_m <= mark_m;
    const std::int64_t bottom_ms = at.held_ms(staging.since, &StagingTimers::bottom_ms, at_bottom);
    if (bottom_ms < 0) return {};
    std::int64_t wait_ms = 0;
    const Permissive kept =
        why_not_stop(at.state, at.settings, at.state.drive_pump, at.picture.time_ms, wait_ms);
    const std::int64_t delay_left_ms = last ? 0 : at.settings.staging.down_delay_ms - bottom_ms;
    const std::int64_t left_ms =
        kept != Permissive::none && wait_ms > delay_left_ms ? wait_ms : delay_left_ms;
    Decision down{Intention::stop_on_drive,
                  at.state.drive_pump,
                  Reason::demand_at_bottom,
                  {in.demand_hz, in.value_m, at.settings.marks.stage_down_m, as_double(bottom_ms)},
                  left_ms <= 0,
                  left_ms > 0 ? left_ms : 0};
    if (last) {
        down.why = Reason::value_past_stop;
        down.values = {in.value_m, at.settings.marks.stop_m, 0, 0};
    }
    return down;
}

/// A pump starts, on the same grounds, as soon as the drive is free.
void want_start(StagingState& staging, const Decision& up) noexcept {
    staging.start_wanted = true;
    staging.drive_free_since_ms = never_ms;
    staging.wanted_why = up.why;
    staging.wanted_values = up.values;
}

/// The drive pump cannot be handed over, so it stops after its minimum run. A pump that can be handed over
/// then starts on the drive.
Decision change_drive_pump(StagingState& staging, const Situation& at, const Decision& up) noexcept {
    std::int64_t wait_ms = 0;
    const bool kept = why_not_stop(at.state, at.settings, at.state.drive_pump, at.picture.time_ms, wait_ms) !=
                      Permissive::none;
    const Decision change{
        Intention::stop_on_drive,          at.state.drive_pump, up.why, up.values, up.now && !kept,
        std::max(wait_ms, up.countdown_ms)};
    if (change.now) want_start(staging, up);
    return change;
}

}  // namespace

Decision with_drive_pump(StagingState& staging, const Situation& at) noexcept {
    staging.start_wanted = false;
    staging.take_back_wanted = false;
    const StagingInputs& in = at.inputs;
    if (in.service == Service::hold) return {};
    Decision up;
    if (in.permit.pressure_high) {
        const Decision less = shed_for_pressure(staging, at);
        staging.take_back_wanted = less.now;
        if (less.intention != Intention::none) return less;
    } else {
        up = up_from_drive(staging, at);
    }
    if (up.why != Reason::none) {
        // Without a next pump to start, a hand-over would leave the drive empty, and no speed could follow
        // the need.
        if (at.may_start(false) == 0) return {};
        // While a pump that cannot be handed over keeps the drive, no other pump can start.
        const PumpMask stuck = cannot_be_handed_over(at.state);
        if (has(stuck, at.state.drive_pump) && (at.may_start(false) & ~stuck) != 0)
            return change_drive_pump(staging, at, up);
        at.postpone_transfer(up);
        if (up.now) {
            want_start(staging, up);
            staging.last_float_step_ms = at.picture.time_ms;
        }
        return up;
    }
    if (in.service == Service::floats) return {};
    // Every decision judges both grounds, so that the delay of the one does not start again while the other
    // applies.
    const Decision early = stop_before_empty(staging, at);
    const Decision down = down_from_drive(staging, at);
    if (early.now || (early.intention != Intention::none && !down.now)) return early;
    if (down.now) staging.take_back_wanted = at.picture.on_line > 0;
    if (down.intention == Intention::none) return exchange(at);
    return down;
}

}  // namespace freshet::core
