// The staging while the drive is free: start the next pump on the drive, or take a pump back from the line.
// One reason to change: when the free drive takes a pump.
#include "controller/core/floats_alone.hpp"
#include "controller/core/next_on_drive.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/shedding.hpp"
#include "controller/core/staging_no_transfer.hpp"
#include "controller/core/staging_rules.hpp"
#include "controller/core/transfer_impossible.hpp"

namespace freshet::core {

namespace {

/// The staging drops a wanted start when no pump could start for this time, because the water has changed
/// meanwhile.
constexpr std::int64_t wanted_max_ms = 300'000;

/// True when the drive must take a pump in addition to the line pumps. The value is past the stage-up mark and
/// does not return, or the value would pass the mark before enough pumps run. An inflow that a pump at its minimum
/// flow surely does not bring back needs the pump at any level, and the store is left for a surge. In the band
/// between, the store rides, and the pump starts at the mark.
bool needs_drive_pump(const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    if (in.need_m >= in.marks.stage_up_m) return !at.falls();
    const double surplus_m3s =
        in.water.at_least_m3s() - at.flow_m3s(at.picture.on_line, 0, in.marks.stage_up_m);
    if (!at.settings.staging.forecast || !in.water.inflow_known || !(surplus_m3s > 0)) return false;
    if (in.water.at_most_m3s() < at.with_one_more_m3s(at.picture.on_line)) return false;
    if (at.is_above_band(at.picture.on_line) && in.mode == WaterMode::hold && in.need_m > in.marks.stop_m)
        return true;
    return at.climb().peak_m3 >= at.volume_at(in.marks.stage_up_m);
}

/// True when one pump could not carry the inflow by the time it runs, and the store would rise past the stage-up
/// mark if the first pump waited for its start mark.
bool first_pump_must_hurry(const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    if (!at.settings.staging.forecast || !in.water.inflow_known || in.need_m <= in.marks.stop_m) return false;
    const double most_m3s = at.flow_m3s(0, in.highest_hz, in.marks.stage_up_m);
    const double start_s = seconds_of(bring_up_ms(at.settings, 0, in.lowest_hz));
    const double soon_m3s = in.water.at_least_m3s() + start_s * in.water.rise_m3s2;
    return soon_m3s > most_m3s && at.climb().peak_m3 >= at.volume_at(in.marks.stage_up_m);
}

/// True when fewer pumps than those on the line carry the inflow, and the store would be at the stage-down
/// mark by the time a line pump runs on the drive. `free_ms` is the time since the drive pump stopped.
bool line_pumps_are_too_many(const Situation& at, std::int64_t free_ms) noexcept {
    const StagingInputs& in = at.inputs;
    if (!in.water.inflow_known) return in.need_m <= in.marks.stage_down_m;
    const double alone_m3s = at.flow_m3s(at.picture.on_line, 0, in.marks.stage_down_m);
    // The inflow was estimated with the flow of the drive pump, whose curve may be a few percent off. With the line
    // pumps alone the level shows within two minutes whether these pumps carry the inflow.
    constexpr double curve_error = 0.05;
    constexpr std::int64_t shows_ms = 120'000;
    const double surely_m3s = free_ms < shows_ms ? (1 - curve_error) * alone_m3s : alone_m3s;
    if (in.water.at_most_m3s() >= surely_m3s) return false;
    const double time_s = seconds_of(take_back_ms(at.settings, 0));
    return in.water.volume_m3 - time_s * (alone_m3s - in.water.inflow_m3s) <=
           at.volume_at(in.marks.stage_down_m);
}

/// Starts a pump on the drive at a need. Past `mark_m`, the mark is the reason. Before the mark, the forecast
/// is.
Decision start_at_mark(const Situation& at, double mark_m, double shown_m) noexcept {
    const StagingInputs& in = at.inputs;
    if (in.need_m >= mark_m) return start_on_drive(at, Reason::value_past_start, {in.value_m, shown_m, 0, 0});
    const double running_m3s = at.flow_m3s(at.picture.on_line, 0, in.marks.stage_up_m);
    const double surplus_m3s = in.water.inflow_m3s - running_m3s;
    const double store_m3 = at.volume_at(in.marks.stage_up_m) - in.water.volume_m3;
    const double rise_m3 = at.climb().peak_m3 - in.water.volume_m3;
    return start_on_drive(at, Reason::forecast_short,
                          {in.water.inflow_m3s, running_m3s, store_m3 / surplus_m3s, rise_m3 / surplus_m3s});
}

/// Starts the next pump on the free drive, where one is due.
Decision start_next(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    // In a change-over the line pumps may carry the inflow, and the start is wanted nevertheless.
    const bool changes =
        staging.wanted_why == Reason::run_longest || staging.wanted_why == Reason::exercise_due;
    const bool carried = in.water.inflow_known && !changes &&
                         in.water.at_most_m3s() < at.flow_m3s(at.picture.on_line, 0, in.marks.stage_up_m);
    // Below the stage-down mark an inflow that the line pumps do not carry still wants the pump.
    const bool is_wanted_still = at.picture.on_line > 0 && in.water.inflow_known && !carried && !changes;
    const bool is_low = in.need_m <= in.marks.stage_down_m && !is_wanted_still;
    if (is_low || (carried && in.need_m < in.marks.stage_up_m)) staging.start_wanted = false;
    if (staging.start_wanted) {
        const Decision start = start_on_drive(at, staging.wanted_why, staging.wanted_values);
        if (start.now) staging.start_wanted = false;
        if (start.now) return start;
    }
    if (at.picture.on_line == 0) {
        staging.take_back_wanted = false;
        if (in.need_m < in.marks.start_m && !first_pump_must_hurry(at)) return {};
        return start_at_mark(at, in.marks.start_m, at.start_m());
    }
    // At the limit of the discharge pressure no pump starts, however high the need is.
    if (in.permit.pressure_high || !needs_drive_pump(at)) return {};
    staging.take_back_wanted = false;
    return start_at_mark(at, in.marks.stage_up_m, at.stage_up_m());
}

/// Takes a line pump back, or stops a line pump at the stop mark.
Decision fewer_on_line(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    if (transfers_are_impossible(at.state, at.settings, at.picture.time_ms))
        return stop_without_take_back(staging, at);
    const Decision early = stop_before_empty(staging, at);
    if (early.intention != Intention::none) return early;
    const std::uint8_t pump = next_to_stop(at.may_stop(), at.state, at.settings, at.picture.time_ms);
    if (pump == no_pump) return {};
    if (in.need_m <= in.marks.stop_m && !at.surely_rises())
        return {Intention::stop_from_line,       pump, Reason::value_past_stop,
                {in.value_m, at.stop_m(), 0, 0}, true, 0};
    if (!at.drive_free() || !at.transfer_in_hand()) return {};
    const std::int64_t free_ms = at.picture.time_ms - staging.drive_free_since_ms;
    if (!staging.take_back_wanted && !line_pumps_are_too_many(at, free_ms)) return {};
    Decision back{
        Intention::take_back, pump, Reason::band_ridden, {in.value_m, at.stage_down_m(), 0, 0}, true, 0};
    at.postpone_transfer(back);
    if (back.now) staging.take_back_wanted = false;
    return back;
}

/// A float calls for pumps: one pump starts, and another after each run-on time, whatever the transmitters
/// say.
Decision start_by_float(StagingState& staging, const Situation& at) noexcept {
    const bool due = staging.last_float_step_ms == never_ms ||
                     at.picture.time_ms - staging.last_float_step_ms >= at.settings.floats.run_on_ms ||
                     staging.start_wanted || last_inflow_is_more(at);
    if (!due || at.falls_from_float()) return {};
    const Decision start = start_on_drive(at, float_reason(at), {});
    if (start.now) {
        staging.last_float_step_ms = at.picture.time_ms;
        staging.start_wanted = false;
    }
    return start;
}

}  // namespace

Decision keep_pump_that_ramps_down(const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const bool is_needed = in.water.inflow_known && !in.permit.pressure_high && in.need_m > in.marks.stop_m &&
                           at.is_above_band(at.picture.on_line) &&
                           at.climb().peak_m3 >= at.volume_at(in.marks.stage_up_m);
    if (!is_needed) return {};
    Decision keep = start_at_mark(at, in.marks.stage_up_m, at.stage_up_m());
    keep.intention = Intention::start_on_drive;
    keep.pump = at.state.main.pump;
    keep.now = true;
    return keep;
}

Decision with_free_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    if (staging.drive_free_since_ms == never_ms) staging.drive_free_since_ms = at.picture.time_ms;
    if (at.picture.time_ms - staging.drive_free_since_ms > wanted_max_ms) staging.start_wanted = false;
    if (in.service == Service::hold) return {};
    if (in.permit.pressure_high) {
        const Decision less = shed_for_pressure(staging, at);
        if (less.now) staging.take_back_wanted = true;  // the speed may fall on the drive
        if (less.intention != Intention::none) return less;
    }
    if (in.float_calls) {
        const Decision start = start_by_float(staging, at);
        if (start.now || in.service == Service::floats) return start;
    }
    if (last_inflow_needs_more(at)) return start_on_drive(at, Reason::last_inflow, last_inflow_values(at));
    if (in.service == Service::floats) return fewer_by_last_inflow(at);
    const Decision start = start_next(staging, at);
    const bool no_less = at.picture.on_line == 0 || in.float_calls;
    if (start.now || start.refusal.why != Permissive::none || no_less) return start;
    return fewer_on_line(staging, at);
}

}  // namespace freshet::core
