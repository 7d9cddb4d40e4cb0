// Starting and stopping on the line while transfers are impossible; see the header.
#include "controller/core/staging_no_transfer.hpp"

#include <algorithm>

#include "controller/core/need.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/shedding.hpp"
#include "controller/core/transfer_impossible.hpp"

namespace freshet::core {

namespace {

std::uint8_t line_pump_to_stop(const Situation& at) noexcept {
    return next_to_stop(at.may_stop(), at.state, at.settings, at.picture.time_ms);
}

/// The longest time until another hand-over and the start after it are done, s.
double another_attempt_s(const Situation& at) noexcept {
    const std::int64_t pause_ms = at.state.transfer_retry_after_ms - at.picture.time_ms;
    return seconds_of(std::max<std::int64_t>(pause_ms, 0) + at.settings.step.synchronise_ms +
                      bring_up_ms(at.settings, at.inputs.demand_hz, at.inputs.lowest_hz));
}

}  // namespace

bool starts_in_addition(const Situation& at) noexcept {
    if (hand_over_is_impossible(at.state, at.settings, at.picture.time_ms)) return true;
    if (!hand_over_is_doubtful(at.state)) return false;
    const StagingInputs& in = at.inputs;
    if (in.need_m >= in.marks.high_m || in.permit.water_in_danger) return true;
    if (!in.water.inflow_known) return false;
    const double surplus_m3s =
        in.water.inflow_m3s - at.flow_m3s(at.picture.on_line, in.highest_hz, in.need_m);
    const double store_m3 = at.volume_at(in.marks.high_m) - in.water.volume_m3;
    return store_m3 < surplus_m3s * another_attempt_s(at);
}

Decision start_in_addition(StagingState& staging, const Situation& at, const Decision& up) noexcept {
    const Choice next = next_to_start(at.may_start(true), at.state, at.settings, at.picture.time_ms);
    if (next.pump == no_pump) return up.now ? at.refused(true) : Decision{};
    if (up.now) staging.last_float_step_ms = at.picture.time_ms;
    Decision start{Intention::line_start, next.pump, up.why, up.values, up.now, up.countdown_ms};
    start.chosen = next;
    return start;
}

Decision stop_line_pump_instead(const Situation& at, const Decision& down) noexcept {
    const StagingInputs& in = at.inputs;
    const double others_m3s = at.flow_m3s(at.picture.on_line - 1U, in.highest_hz, in.need_m);
    if (in.water.inflow_known && in.water.at_most_m3s() > others_m3s) return down;
    const std::uint8_t pump = line_pump_to_stop(at);
    if (pump == no_pump) return {};
    return {Intention::stop_from_line, pump, down.why, down.values, down.now, down.countdown_ms};
}

Decision stop_without_take_back(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    staging.take_back_wanted = false;
    const Decision early = stop_before_empty(staging, at);
    if (early.intention != Intention::none) return early;
    const bool last = at.line_pumps() <= 1;
    const bool falls = last || !at.surely_rises();
    const auto highest = static_cast<std::size_t>(last ? 0 : at.line_pumps() - 1);
    const double stop_m = at.fixed_speed_m(highest).stop_m;
    const std::int64_t less_ms = at.held_ms(staging.since, &StagingTimers::bottom_ms,
                                            falls && in.need_m <= need_of(at.settings, stop_m));
    const std::uint8_t pump = line_pump_to_stop(at);
    if (less_ms < 0 || pump == no_pump) return {};
    const std::int64_t left_ms = last ? 0 : at.settings.staging.down_delay_ms - less_ms;
    return {Intention::stop_from_line,  pump,         Reason::value_past_stop,
            {in.value_m, stop_m, 0, 0}, left_ms <= 0, left_ms > 0 ? left_ms : 0};
}

}  // namespace freshet::core
