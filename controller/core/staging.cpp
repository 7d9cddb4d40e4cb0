// Deciding how many pumps; see the header.
#include "controller/core/staging.hpp"

#include <algorithm>

#include "controller/core/alarms.hpp"
#include "controller/core/rotation.hpp"
#include "controller/core/step_limits.hpp"

namespace freshet::core {

namespace {

using Values = std::array<double, 4>;

/// The forecast must say the same for so long: one odd reading is not water.
constexpr std::int64_t forecast_hold_ms = 3000;
/// A start that was decided and finds no pump for so long is no longer what the water asks for.
constexpr std::int64_t wanted_max_ms = 300'000;

double as_double(std::int64_t value) noexcept {
    return static_cast<double>(value);
}

PumpMask pumps_in(const SequencerState& state, PumpState wanted, const Settings& settings) noexcept {
    PumpMask mask = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        if (state.pumps[pump].state == wanted) mask = static_cast<PumpMask>(mask | bit_of(pump));
    return mask;
}

/// Line pumps that have run long enough to be stopped or taken back.
PumpMask releasable(const SequencerState& state, const Settings& settings, std::int64_t now_ms) noexcept {
    PumpMask mask = 0;
    std::int64_t wait_ms = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        if (state.pumps[pump].state == PumpState::on_line &&
            why_not_stop(state, settings, pump, now_ms, wait_ms) == Permissive::none)
            mask = static_cast<PumpMask>(mask | bit_of(pump));
    return mask;
}

/// Idle pumps that may start now.
PumpMask startable(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                   const Settings& settings, bool by_line) noexcept {
    PumpMask mask = 0;
    std::int64_t wait_ms = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        if (state.pumps[pump].state == PumpState::off &&
            why_not_start(state, picture, permit, settings, pump, by_line, wait_ms) == Permissive::none)
            mask = static_cast<PumpMask>(mask | bit_of(pump));
    return mask;
}

struct Situation {
    const SequencerState& state;
    const Picture& picture;
    const StagingInputs& inputs;
    const FlowTable& flows;
    const Settings& settings;
    const StagingTimers& before;  ///< as they stood when the decision began
    /// The drive may be used, and no contactor of its bus is closed.
    bool drive_usable() const noexcept {
        return why_no_drive(state, picture) == Permissive::none && drive_is_free(picture, settings);
    }
    /// ... and it stands, so that it can take a motor now.
    bool drive_free() const noexcept { return drive_usable() && drive_can_take(picture, settings); }
    /// Seen on the line, whoever put them there, and not being stopped.
    int line_pumps() const noexcept {
        int pumps = picture.on_line;
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
            if (state.line_stop[pump].step != Step::idle && has(picture.line_side_closed, pump)) --pumps;
        return pumps;
    }
    PumpMask may_start(bool by_line) const noexcept {
        return startable(state, picture, inputs.permit, settings, by_line);
    }
    /// For how long `condition` has held, ms; negative: it does not. `since` are the timers of this decision.
    std::int64_t held_ms(StagingTimers& since, std::int64_t StagingTimers::*timer,
                         bool condition) const noexcept {
        if (!condition) return -1;
        since.*timer = before.*timer == never_ms ? picture.time_ms : before.*timer;
        return picture.time_ms - since.*timer;
    }
    /// Puts off a transfer that is not permitted now, and says for how long.
    void put_off_transfer(Decision& decision) const noexcept {
        std::int64_t wait_ms = 0;
        if (why_no_transfer(state, picture, inputs.permit, settings, wait_ms) == Permissive::none) return;
        decision.now = false;
        decision.countdown_ms = wait_ms > 0 ? wait_ms : -1;
    }
};
/// The float that calls for pumps, by the duty's sense.
Reason float_reason(const Situation& at) noexcept {
    return at.settings.action == Action::direct ? Reason::high_float : Reason::low_float;
}

/// The discharge pressure stands at its limit. Which running pump goes when it has done so for the delay: the
/// drive pump where others carry on, else one from the line. The last one stays.
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

/// More pumps run than the supply may carry, as when a generator has taken over: one goes at once, from the
/// line before the one on the drive, whatever its minimum run.
Decision shed_for_supply(const Situation& at) noexcept {
    const int running = at.line_pumps() + (at.state.drive_pump != no_pump ? 1 : 0);
    if (running <= pumps_most(at.settings, at.picture)) return {};
    const PumpMask ours = pumps_in(at.state, PumpState::on_line, at.settings);
    const std::uint8_t pump = next_to_stop(ours, at.state, at.settings);
    if (pump != no_pump) return {Intention::stop_from_line, pump, Reason::pumps_max_reached, {}, true, 0};
    if (at.state.drive_pump == no_pump) return {};
    return {Intention::stop_on_drive, at.state.drive_pump, Reason::pumps_max_reached, {}, true, 0};
}

/// Pumps whose hand-overs have failed time after time, or whose line side did not close and has not been seen
/// to close since.
PumpMask cannot_be_handed_over(const Situation& at) noexcept {
    constexpr unsigned grounds =
        alarm_bit(PumpAlarm::hand_over_failed) | alarm_bit(PumpAlarm::line_side_does_not_close);
    PumpMask pumps = 0;
    for (std::size_t pump = 0; pump < at.settings.pump_count; ++pump)
        if ((at.state.latched_pump[pump] & grounds) != 0) pumps = static_cast<PumpMask>(pumps | bit_of(pump));
    return pumps;
}

/// Who takes the drive next: a pump that has stood idle for too long, then one that can be handed over, then
/// any that may start.
std::uint8_t next_on_drive(const Situation& at) noexcept {
    const PumpMask all = at.may_start(false);
    const PumpMask due = exercise_due(all, at.state, at.settings, at.picture.time_ms);
    const auto sound = static_cast<PumpMask>(all & ~cannot_be_handed_over(at));
    const PumpMask first = due != 0 ? due : sound != 0 ? sound : all;
    return next_to_start(first, at.state, at.settings, at.picture.time_ms);
}

/// A pump has stood idle for too long: the one on the drive makes room while the store is on its easy side,
/// and the idle one, which then goes first, takes the next start.
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
    constexpr double hours_per_ms = 1.0 / 3'600'000;
    const double idle_h = hours_per_ms * as_double(at.picture.time_ms - at.state.pumps[idle].released_ms);
    return {Intention::stop_on_drive, at.state.drive_pump, Reason::exercise_due, {idle_h, 0, 0, 0}, true, 0};
}

Decision start_on_drive(const Situation& at, Reason why, const Values& values) noexcept {
    if (!at.drive_free()) return {};
    const std::uint8_t pump = next_on_drive(at);
    if (pump == no_pump) return {};
    return {Intention::start_on_drive, pump, why, values, true, 0};
}

/// Time to bring on as many pumps as the observed inflow calls for, s. One comes on after another, so when
/// the next cannot carry the inflow even at full speed, there must be time for the one after it as well.
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

/// Why to stage up from a pump on the drive: the demand at its top for the delay, or the forecast.
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
        const std::int64_t since_ms = staging.float_step_ms == never_ms
                                          ? at.settings.floats.run_on_ms
                                          : at.picture.time_ms - staging.float_step_ms;
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

/// The store would be empty before the drive pump could be let go and a line pump taken back: then one pump
/// is stopped from the line instead, which takes no time, and the rest stay.
Decision stop_before_empty(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const bool on_drive = at.state.drive_pump != no_pump;
    const int running = at.line_pumps() + (on_drive ? 1 : 0);
    const bool looks = at.settings.staging.forecast && in.inflow_known && running > 1 &&
                       in.need_m <= at.inputs.marks.stage_down_m;
    if (!looks) return {};
    const double least_m3s = at.flows.total_m3s(at.picture.on_line, on_drive ? in.lowest_hz : 0, in.value_m);
    const double reach_s =
        time_to_mark_s(-in.need_m, -at.inputs.marks.stop_m, least_m3s - in.inflow_m3s, in.area_m2);
    constexpr double seconds_per_ms = 1e-3;
    const double needed_s = at.settings.staging.forecast_margin * seconds_per_ms *
                            as_double(let_go_ms(at.settings, on_drive ? in.lowest_hz : 0));
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

/// Why to let the drive pump go: the demand at its bottom and the level down for the delay, or past the stop
/// mark.
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

/// It makes room on the drive for one that may be handed over, once its minimum run allows.
Decision change_drive_pump(StagingState& staging, const Situation& at, const Decision& up) noexcept {
    std::int64_t wait_ms = 0;
    const bool kept = why_not_stop(at.state, at.settings, at.state.drive_pump, at.picture.time_ms, wait_ms) !=
                      Permissive::none;
    const Decision change{
        Intention::stop_on_drive,          at.state.drive_pump, up.why, up.values, up.now && !kept,
        std::max(wait_ms, up.countdown_ms)};
    if (change.now) {
        staging.start_wanted = true;
        staging.wanted_ms = never_ms;
        staging.wanted_why = up.why;
        staging.wanted_values = up.values;
    }
    return change;
}

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
        // Handing over without a pump to start next would leave the drive empty and nothing to vary.
        if (at.may_start(false) == 0) return {};
        // While one that cannot be handed over keeps the drive, no other pump can come on.
        const PumpMask stuck = cannot_be_handed_over(at);
        if (has(stuck, at.state.drive_pump) && (at.may_start(false) & ~stuck) != 0)
            return change_drive_pump(staging, at, up);
        at.put_off_transfer(up);
        if (up.now) {
            staging.start_wanted = true;
            staging.wanted_ms = never_ms;
            staging.wanted_why = up.why;
            staging.wanted_values = up.values;
            staging.float_step_ms = at.picture.time_ms;
        }
        return up;
    }
    if (in.service == Service::floats) return {};
    // Both are looked at in every decision, so that neither's delay begins anew whenever the other speaks.
    const Decision early = stop_before_empty(staging, at);
    const Decision down = down_from_drive(staging, at);
    if (early.now || (early.intention != Intention::none && !down.now)) return early;
    if (down.now) staging.take_back_wanted = at.picture.on_line > 0;
    if (down.intention == Intention::none) return exchange(at);
    return down;
}

/// The drive is empty and may be used: start the next pump on it, or take one back.
Decision with_free_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    if (staging.wanted_ms == never_ms) staging.wanted_ms = at.picture.time_ms;
    if (at.picture.time_ms - staging.wanted_ms > wanted_max_ms) staging.start_wanted = false;
    if (in.service == Service::hold) return {};
    if (in.permit.pressure_high) {
        const Decision less = shed_for_pressure(staging, at);
        if (less.now) staging.take_back_wanted = true;  // on the drive the next one's speed may fall
        if (less.intention != Intention::none) return less;
    }
    if (in.service == Service::floats) {
        const bool due = staging.float_step_ms == never_ms ||
                         at.picture.time_ms - staging.float_step_ms >= at.settings.floats.run_on_ms ||
                         staging.start_wanted;
        if (!in.float_calls || !due) return {};
        const Decision start = start_on_drive(at, float_reason(at), {});
        if (start.now) {
            staging.float_step_ms = at.picture.time_ms;
            staging.start_wanted = false;
        }
        return start;
    }
    if (in.need_m <= at.inputs.marks.stage_down_m) staging.start_wanted = false;
    if (staging.start_wanted) {
        const Decision start = start_on_drive(at, staging.wanted_why, staging.wanted_values);
        if (start.now) {
            staging.start_wanted = false;
            return start;
        }
    }
    if (at.picture.on_line == 0) {
        staging.take_back_wanted = false;
        if (in.need_m < at.inputs.marks.start_m) return {};
        return start_on_drive(at, Reason::value_past_start, {in.value_m, at.settings.marks.start_m, 0, 0});
    }
    // At the limit of the pressure nothing starts, however high the need is.
    if (in.need_m >= at.inputs.marks.stage_up_m && !in.permit.pressure_high) {
        staging.take_back_wanted = false;
        const Decision start =
            start_on_drive(at, Reason::value_past_start, {in.value_m, at.settings.marks.stage_up_m, 0, 0});
        if (start.now) return start;
    }
    if (staging.take_back_wanted || in.need_m <= at.inputs.marks.stage_down_m) {
        const Decision early = stop_before_empty(staging, at);
        if (early.intention != Intention::none) return early;
        const std::uint8_t pump =
            next_to_stop(releasable(at.state, at.settings, at.picture.time_ms), at.state, at.settings);
        if (pump == no_pump || !at.drive_free()) return {};
        Decision back{Intention::take_back,
                      pump,
                      Reason::band_ridden,
                      {in.value_m, at.settings.marks.stage_down_m, 0, 0},
                      true,
                      0};
        at.put_off_transfer(back);
        if (back.now) staging.take_back_wanted = false;
        return back;
    }
    return {};
}

/// No drive, and a value or a float to go by: steps of whole pumps on the line, where the station allows line
/// starts.
Decision without_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    staging.start_wanted = staging.take_back_wanted = false;
    if (in.permit.pressure_high) {
        const Decision less = shed_for_pressure(staging, at);
        if (less.intention != Intention::none) return less;
    }
    const int line_pumps = at.line_pumps();
    const bool by_float = in.service == Service::floats;
    const double start_mark_m = line_pumps == 0 ? at.inputs.marks.start_m : at.inputs.marks.stage_up_m;
    const bool want_more = by_float ? in.float_calls : in.need_m >= start_mark_m;
    const std::int64_t more_ms = at.held_ms(staging.since, &StagingTimers::top_ms, want_more);
    const std::int64_t up_delay_ms =
        line_pumps == 0 ? 0 : (by_float ? at.settings.floats.run_on_ms : at.settings.staging.up_delay_ms);
    if (more_ms >= 0) {
        const std::uint8_t pump =
            next_to_start(at.may_start(true), at.state, at.settings, at.picture.time_ms);
        if (pump == no_pump) return {};
        return {
            Intention::line_start,
            pump,
            by_float ? float_reason(at) : Reason::value_past_start,
            {in.value_m, line_pumps == 0 ? at.settings.marks.start_m : at.settings.marks.stage_up_m, 0, 0},
            more_ms >= up_delay_ms,
            up_delay_ms - more_ms};
    }
    if (by_float) return {};
    const PumpMask ours = pumps_in(at.state, PumpState::on_line, at.settings);
    const double stop_mark_m = line_pumps <= 1 ? at.inputs.marks.stop_m : at.inputs.marks.stage_down_m;
    const std::int64_t less_ms =
        at.held_ms(staging.since, &StagingTimers::bottom_ms, in.need_m <= stop_mark_m && ours != 0);
    if (less_ms < 0) return {};
    const std::int64_t down_delay_ms = line_pumps <= 1 ? 0 : at.settings.staging.down_delay_ms;
    const std::uint8_t pump =
        next_to_stop(releasable(at.state, at.settings, at.picture.time_ms), at.state, at.settings);
    if (pump == no_pump) return {};
    return {Intention::stop_from_line,
            pump,
            Reason::value_past_stop,
            {in.value_m, line_pumps <= 1 ? at.settings.marks.stop_m : at.settings.marks.stage_down_m, 0, 0},
            less_ms >= down_delay_ms,
            down_delay_ms - less_ms};
}

/// Synchronising, and the contactors of a transfer: one closes on the second source, the output and the other
/// side open, then one side and the output close for the next motor.
std::int64_t transfer_ms(const Settings& settings) noexcept {
    constexpr std::int64_t contactor_moves = 5;
    return settings.step.synchronise_expected_ms +
           contactor_moves * (std::int64_t{settings.sync.line_side_closing_ms} + settings.scan_ms);
}

}  // namespace

std::int64_t bring_up_ms(const Settings& settings, double drive_hz, double next_minimum_hz) noexcept {
    const Settings::Drive& drive = settings.drive;
    const double rise_hz = drive.line_frequency_hz > drive_hz ? drive.line_frequency_hz - drive_hz : 0;
    return ramp_ms(rise_hz + next_minimum_hz, drive.ramp_up_hz_s) + transfer_ms(settings);
}

std::int64_t let_go_ms(const Settings& settings, double drive_hz) noexcept {
    const Settings::Drive& drive = settings.drive;
    return ramp_ms(drive_hz, drive.ramp_down_hz_s) + ramp_ms(drive.line_frequency_hz, drive.ramp_up_hz_s) +
           transfer_ms(settings);
}

namespace {

Decision decision_at(StagingState& staging, const Situation& at) noexcept {
    if (const Decision less = shed_for_supply(at); less.now) return less;
    if (at.state.drive_pump != no_pump) return with_drive_pump(staging, at);
    const Service service = at.inputs.service;
    if (service == Service::fixed_speed || (service == Service::floats && !at.drive_usable()))
        return without_drive(staging, at);
    return with_free_drive(staging, at);
}

}  // namespace

Decision decide(StagingState& staging, const SequencerState& state, const Picture& picture,
                const StagingInputs& inputs, const FlowTable& flows, const Settings& settings) noexcept {
    const StagingTimers before = staging.since;
    staging.since = {};
    const Decision decision = decision_at(staging, {state, picture, inputs, flows, settings, before});
    if (decision.now) staging.since = {};
    return decision;
}

}  // namespace freshet::core
