// The staging while a pump runs on the drive: start another pump, stop the drive pump, or change pumps over.
// One reason to change: when the drive pump is handed over or stopped.
#include <algorithm>

#include "controller/core/change_over.hpp"
#include "controller/core/floats_alone.hpp"
#include "controller/core/next_on_drive.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/shedding.hpp"
#include "controller/core/staging_no_transfer.hpp"
#include "controller/core/staging_rules.hpp"
#include "controller/core/transfer_impossible.hpp"

namespace freshet::core {

namespace {

/// A float calls for pumps while no measured value is known. One more pump starts, and another after each
/// run-on time.
Decision up_by_float(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const bool calls = in.float_calls && !at.falls_from_float();
    if (at.held_ms(staging.since, &StagingTimers::float_ms, calls) < 0) return {};
    const std::int64_t pause_ms = at.settings.floats.run_on_ms;
    const std::int64_t since_ms =
        staging.last_float_step_ms == never_ms ? pause_ms : at.picture.time_ms - staging.last_float_step_ms;
    const std::int64_t left_ms = in.float_urges || last_inflow_is_more(at) ? 0 : pause_ms - since_ms;
    return {Intention::hand_over, at.state.drive_pump,
            float_reason(at),     {},
            left_ms <= 0,         std::max(left_ms, std::int64_t{0})};
}

/// The inflow is surely more than the running pumps can carry at the stage-up mark, and the store would pass
/// that mark before enough pumps run. The next pump must come on now.
Decision up_by_forecast(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const WaterView& water = in.water;
    const double most_m3s = full_flow_m3s(staging, at, in.highest_hz);
    constexpr double near_the_most = 0.95;
    if (!at.settings.staging.forecast || !water.inflow_known || water.inflow_m3s <= near_the_most * most_m3s)
        return {};
    // While the inflow rises, it counts as it will be when the next pump runs.
    const double step_s = seconds_of(bring_up_ms(at.settings, in.demand_hz, in.lowest_hz));
    if (water.at_least_m3s() + step_s * water.rise_m3s2 <= most_m3s) return {};
    const Climb climb = at.climb();
    // A rise that is only foreseen is no ground above the stage-up mark, unless the high mark is near.
    const bool is_short_now = water.at_least_m3s() > most_m3s || in.need_m < in.marks.stage_up_m;
    const double mark_m3 = at.volume_at(is_short_now ? in.marks.stage_up_m : in.marks.high_m);
    const std::int64_t short_ms =
        at.held_ms(staging.since, &StagingTimers::forecast_ms, climb.peak_m3 >= mark_m3);
    if (short_ms < 0) return {};
    const double surplus_m3s = water.inflow_m3s + step_s * water.rise_m3s2 - most_m3s;
    const double reach_s = std::max(mark_m3 - water.volume_m3, 0.0) / surplus_m3s;
    const double needed_s = (climb.peak_m3 - water.volume_m3) / surplus_m3s;
    // In danger the doubt of the inflow is proof enough.
    const std::int64_t left_ms = in.permit.water_in_danger ? 0 : forecast_hold_ms - short_ms;
    return {Intention::hand_over,   at.state.drive_pump,
            Reason::forecast_short, {water.inflow_m3s, most_m3s, reach_s, needed_s},
            left_ms <= 0,           std::max(left_ms, std::int64_t{0})};
}

/// The drive pump has been at full speed and the value past the stage-up mark for the delay, and the value does
/// not return.
Decision up_by_mark(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    constexpr double at_limit_hz = 0.05;
    const bool at_top = in.demand_hz >= in.highest_hz - at_limit_hz && in.need_m >= in.marks.stage_up_m;
    const std::int64_t top_ms = at.held_ms(staging.since, &StagingTimers::top_ms, at_top && !at.falls());
    if (top_ms < 0) return {};
    const std::int64_t left_ms = at.settings.staging.up_delay_ms - top_ms;
    return {Intention::hand_over,  at.state.drive_pump,
            Reason::demand_at_top, {in.demand_hz, in.value_m, at.stage_up_m(), as_double(top_ms)},
            left_ms <= 0,          std::max(left_ms, std::int64_t{0})};
}

/// Decides whether another pump must come on. Both grounds are judged every time, so that each keeps its
/// time.
Decision up_from_drive(StagingState& staging, const Situation& at) noexcept {
    // A float that calls counts whatever the transmitters say.
    const Decision by_float = up_by_float(staging, at);
    if (last_inflow_needs_more(at) && !by_float.now)
        return {
            Intention::hand_over, at.state.drive_pump, Reason::last_inflow, last_inflow_values(at), true, 0};
    if (at.inputs.service == Service::floats || by_float.now) return by_float;
    const Decision forecast = up_by_forecast(staging, at);
    const Decision mark = up_by_mark(staging, at);
    if (forecast.why == Reason::none && mark.why == Reason::none) return by_float;
    const bool mark_first = mark.why != Reason::none && !forecast.now;
    return mark_first || forecast.why == Reason::none ? mark : forecast;
}

/// The reason of a stop at the lower mark, by what the duty asks of the water.
void name_the_mark(Decision& down, const Situation& at, bool last) noexcept {
    const StagingInputs& in = at.inputs;
    const double mark_m = last ? at.stop_m() : at.stage_down_m();
    down.values = {in.value_m, mark_m, 0, 0};
    down.why = Reason::value_past_stop;
    if (in.mode == WaterMode::sleep) down.why = Reason::vessel_charged;
    if (in.mode == WaterMode::draw_down) down.why = Reason::well_drawn_down;
    if (in.mode == WaterMode::fill_and_draw) {
        down.why = Reason::drawn_down;
        down.values[2] = in.demand_hz;
    }
}

/// Decides whether the drive pump must stop, because demand and need have been at their bottom for the delay,
/// or because the last pump has reached the stop mark.
Decision down_from_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    constexpr double at_limit_hz = 0.05;
    const bool last = at.picture.on_line == 0;
    const double mark_m = last ? at.inputs.marks.stop_m : at.inputs.marks.stage_down_m;
    const bool slow = in.demand_hz <= in.lowest_hz + at_limit_hz;
    const bool at_bottom = in.need_m <= mark_m && (in.draws || (slow && (last || !at.surely_rises())));
    const std::int64_t bottom_ms = at.held_ms(staging.since, &StagingTimers::bottom_ms, at_bottom);
    if (bottom_ms < 0) return {};
    std::int64_t wait_ms = 0;
    const Permissive kept = why_not_stop(at.state, at.calm_permit(), at.settings, at.state.drive_pump,
                                         at.picture.time_ms, wait_ms);
    const std::int64_t delay_left_ms = last ? 0 : at.settings.staging.down_delay_ms - bottom_ms;
    const std::int64_t left_ms =
        kept != Permissive::none && wait_ms > delay_left_ms ? wait_ms : delay_left_ms;
    Decision down{Intention::stop_on_drive,
                  at.state.drive_pump,
                  Reason::demand_at_bottom,
                  {in.demand_hz, in.value_m, at.stage_down_m(), as_double(bottom_ms)},
                  left_ms <= 0,
                  left_ms > 0 ? left_ms : 0};
    if (last || in.draws) name_the_mark(down, at, last);
    return down;
}

/// True when an idle pump may start on the drive now, or when its wait is over before the hand-over is.
bool next_pump_is_ready(const Situation& at) noexcept {
    if (at.may_start(false) != 0) return true;
    const Refusal refusal = at.refused(false).refusal;
    return refusal.wait_ms > 0 && refusal.wait_ms <= bring_up_ms(at.settings, at.inputs.demand_hz, 0);
}

/// The drive pump cannot be handed over, so it stops after its minimum run. A pump that can be handed over
/// then starts on the drive.
Decision change_drive_pump(StagingState& staging, const Situation& at, const Decision& up) noexcept {
    std::int64_t wait_ms = 0;
    const bool kept = why_not_stop(at.state, at.inputs.permit, at.settings, at.state.drive_pump,
                                   at.picture.time_ms, wait_ms) != Permissive::none;
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
    staging.drive_free_since_ms = never_ms;
    const StagingInputs& in = at.inputs;
    if (at.state.drive_pump == no_pump || in.service == Service::hold) return {};
    Decision up;
    if (in.permit.pressure_high) {
        const Decision less = shed_for_pressure(staging, at);
        staging.take_back_wanted = less.now;
        if (less.intention != Intention::none) return less;
    } else {
        up = up_from_drive(staging, at);
    }
    if (up.why != Reason::none) {
        const bool by_line = station_allows_line_starts(at.settings);
        if (by_line && starts_in_addition(at)) return start_in_addition(staging, at, up);
        // Without a next pump to start, a hand-over would leave the drive empty, and no speed could follow
        // the need.
        if (!next_pump_is_ready(at)) return up.now ? at.refused(false) : Decision{};
        // While a pump that cannot be handed over keeps the drive, no other pump can start, unless on the line.
        // Above the high mark the change would cost the flow of the drive pump when the station needs it most.
        const PumpMask stuck = cannot_be_handed_over(at.state);
        const bool other = (at.may_start(false) & ~stuck) != 0;
        if (has(stuck, at.state.drive_pump) && other && !by_line && in.need_m < in.marks.high_m)
            return change_drive_pump(staging, at, up);
        at.postpone_transfer(up);
        if (up.now) {
            want_start(staging, up);
            staging.last_float_step_ms = at.picture.time_ms;
        }
        return up;
    }
    if (in.float_calls) return {};
    if (in.service == Service::floats) return fewer_by_last_inflow(at);
    if (const Decision relief = relieve_line_pump(at); relief.now) return relief;
    // Every decision judges both grounds, so that the delay of the one does not start again while the other
    // applies.
    const Decision early = stop_before_empty(staging, at);
    const Decision down = down_from_drive(staging, at);
    if (early.now || (early.intention != Intention::none && !down.now)) return early;
    const bool line_pumps = at.picture.on_line > 0;
    if (line_pumps && down.intention != Intention::none &&
        transfers_are_impossible(at.state, at.settings, at.picture.time_ms))
        return stop_line_pump_instead(at, down);
    if (down.intention == Intention::none) return change_over(staging, at);
    if (const Decision relief = relieve_instead_of_stop(at, down); relief.now) return relief;
    return down;
}

}  // namespace freshet::core
