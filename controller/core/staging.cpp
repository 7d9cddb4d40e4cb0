// Deciding how many pumps; see the header.
#include "controller/core/staging.hpp"

#include "controller/core/rotation.hpp"

namespace freshet::core {

namespace {

using Values = std::array<double, 4>;

std::int64_t held_ms(std::int64_t& since_ms, bool condition, std::int64_t now_ms) noexcept {
    if (!condition) {
        since_ms = never_ms;
        return -1;
    }
    if (since_ms == never_ms) since_ms = now_ms;
    return now_ms - since_ms;
}

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
    NeedMarks marks;
    std::int64_t now_ms;
    std::uint8_t on_line;  ///< seen on the line, whoever put them there

    /// The drive may be used, and no contactor of its bus is closed.
    bool drive_usable() const noexcept {
        return why_no_drive(state, picture) == Permissive::none && drive_is_free(picture, settings);
    }
    /// ... and it stands, so that it can take a motor now.
    bool drive_free() const noexcept { return drive_usable() && drive_can_take(picture, settings); }
    PumpMask may_start(bool by_line) const noexcept {
        return startable(state, picture, inputs.permit, settings, by_line);
    }
    /// Puts off a transfer that is not permitted now, and says for how long.
    void put_off_transfer(Decision& decision) const noexcept {
        std::int64_t wait_ms = 0;
        if (why_no_transfer(state, picture, inputs.permit, settings, wait_ms) == Permissive::none) return;
        decision.now = false;
        decision.countdown_ms = wait_ms > 0 ? wait_ms : -1;
    }
};
Decision start_on_drive(const Situation& at, Reason why, const Values& values) noexcept {
    if (!at.drive_free()) return {};
    const std::uint8_t pump = next_to_start(at.may_start(false), at.state, at.settings);
    if (pump == no_pump) return {};
    return {Intention::start_on_drive, pump, why, values, true, 0};
}

/// Why to stage up from a pump on the drive: the demand at its top for the delay, or the forecast.
Decision up_from_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const Settings::Staging& rules = at.settings.staging;
    constexpr double at_limit_hz = 0.05;
    const bool by_float = in.service == Service::floats;
    const bool at_top = by_float
                            ? in.high_float
                            : in.demand_hz >= in.highest_hz - at_limit_hz && in.need_m >= at.marks.stage_up_m;
    const std::int64_t top_ms = held_ms(staging.top_since_ms, at_top, at.now_ms);
    Decision up{Intention::hand_over, at.state.drive_pump, Reason::none, {}, false, -1};
    if (by_float) {
        const std::int64_t since_ms = staging.float_step_ms == never_ms ? at.settings.floats.run_on_ms
                                                                        : at.now_ms - staging.float_step_ms;
        const std::int64_t left_ms = at.settings.floats.run_on_ms - since_ms;
        if (top_ms < 0) return {};
        up.why = Reason::high_float;
        up.now = left_ms <= 0;
        up.countdown_ms = left_ms > 0 ? left_ms : 0;
        return up;
    }

    if (rules.forecast && in.inflow_known && in.need_m > -at.marks.deadband_m) {
        const double most_m3s = at.flows.total_m3s(at.on_line, in.highest_hz, in.value_m);
        const double reach_s =
            time_to_mark_s(in.need_m, at.marks.stage_up_m, in.inflow_m3s - most_m3s, in.area_m2);
        const std::size_t next_line = at.on_line + 1U < pumps_max ? at.on_line + 1U : pumps_max;
        constexpr double seconds_per_ms = 1e-3;
        const double needed_s = rules.forecast_margin * seconds_per_ms *
                                as_double(bring_up_ms(at.settings, in.demand_hz,
                                                      at.flows.minimum_flow_hz(next_line, in.value_m)));
        constexpr std::int64_t forecast_hold_ms = 3000;
        const std::int64_t short_ms = held_ms(staging.forecast_since_ms, reach_s < needed_s, at.now_ms);
        if (short_ms >= 0) {
            up.why = Reason::forecast_short;
            up.values = {in.inflow_m3s, most_m3s, reach_s, needed_s};
            up.now = short_ms >= forecast_hold_ms;
            up.countdown_ms = up.now ? 0 : forecast_hold_ms - short_ms;
            if (up.now) return up;
        }
    } else {
        staging.forecast_since_ms = never_ms;
    }
    if (top_ms < 0) return up.why == Reason::none ? Decision{} : up;
    up.why = Reason::demand_at_top;
    up.values = {in.demand_hz, in.value_m, at.settings.marks.stage_up_m, as_double(top_ms)};
    up.now = top_ms >= rules.up_delay_ms;
    up.countdown_ms = up.now ? 0 : rules.up_delay_ms - top_ms;
    return up;
}

/// Why to let the drive pump go: the demand at its bottom and the level down for the delay, or past the stop
/// mark.
Decision down_from_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    constexpr double at_limit_hz = 0.05;
    const bool last = at.on_line == 0;
    const double mark_m = last ? at.marks.stop_m : at.marks.stage_down_m;
    const bool at_bottom = in.demand_hz <= in.lowest_hz + at_limit_hz && in.need_m <= mark_m;
    const std::int64_t bottom_ms = held_ms(staging.bottom_since_ms, at_bottom, at.now_ms);
    if (bottom_ms < 0) return {};
    std::int64_t wait_ms = 0;
    const Permissive kept = why_not_stop(at.state, at.settings, at.state.drive_pump, at.now_ms, wait_ms);
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

Decision with_drive_pump(StagingState& staging, const Situation& at) noexcept {
    staging.start_wanted = false;
    staging.take_back_wanted = false;
    const StagingInputs& in = at.inputs;
    if (in.service == Service::hold) {
        staging.top_since_ms = staging.bottom_since_ms = staging.forecast_since_ms = never_ms;
        return {};
    }
    Decision up = up_from_drive(staging, at);
    if (up.why != Reason::none) {
        // Handing over without a pump to start next would leave the drive empty and nothing to vary.
        if (at.may_start(false) == 0) return {};
        at.put_off_transfer(up);
        if (up.now) {
            staging.start_wanted = true;
            staging.wanted_why = up.why;
            staging.wanted_values = up.values;
            staging.top_since_ms = staging.forecast_since_ms = never_ms;
            staging.float_step_ms = at.now_ms;
        }
        return up;
    }
    if (in.service == Service::floats) return {};
    const Decision down = down_from_drive(staging, at);
    if (down.now) {
        staging.take_back_wanted = at.on_line > 0;
        staging.bottom_since_ms = never_ms;
    }
    return down;
}

/// The drive is empty and may be used: start the next pump on it, or take one back.
Decision with_free_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    if (in.service == Service::hold) return {};
    if (in.service == Service::floats) {
        const bool due = staging.float_step_ms == never_ms ||
                         at.now_ms - staging.float_step_ms >= at.settings.floats.run_on_ms ||
                         staging.start_wanted;
        if (!in.high_float || !due) return {};
        const Decision start = start_on_drive(at, Reason::high_float, {});
        if (start.now) {
            staging.float_step_ms = at.now_ms;
            staging.start_wanted = false;
        }
        return start;
    }
    if (at.on_line == 0) {
        staging.take_back_wanted = false;
        staging.start_wanted = false;
        if (in.need_m < at.marks.start_m) return {};
        return start_on_drive(at, Reason::value_past_start, {in.value_m, at.settings.marks.start_m, 0, 0});
    }
    if (staging.start_wanted && in.need_m > at.marks.stage_down_m) {
        const Decision start = start_on_drive(at, staging.wanted_why, staging.wanted_values);
        if (start.now) {
            staging.start_wanted = false;
            return start;
        }
    }
    if (in.need_m >= at.marks.stage_up_m) {
        staging.take_back_wanted = false;
        const Decision start =
            start_on_drive(at, Reason::value_past_start, {in.value_m, at.settings.marks.stage_up_m, 0, 0});
        if (start.now) return start;
    }
    if (staging.take_back_wanted || in.need_m <= at.marks.stage_down_m) {
        staging.start_wanted = false;
        const std::uint8_t pump =
            next_to_stop(releasable(at.state, at.settings, at.now_ms), at.state, at.settings);
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

/// No drive: steps of whole pumps on the line, where the station allows line starts.
Decision without_drive(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    staging.start_wanted = staging.take_back_wanted = false;
    if (in.service == Service::hold) return {};
    const bool by_float = in.service == Service::floats;
    const double start_mark_m = at.on_line == 0 ? at.marks.start_m : at.marks.stage_up_m;
    const bool want_more = by_float ? in.high_float : in.need_m >= start_mark_m;
    const std::int64_t more_ms = held_ms(staging.top_since_ms, want_more, at.now_ms);
    const std::int64_t up_delay_ms =
        at.on_line == 0 ? 0 : (by_float ? at.settings.floats.run_on_ms : at.settings.staging.up_delay_ms);
    if (more_ms >= 0) {
        const std::uint8_t pump = next_to_start(at.may_start(true), at.state, at.settings);
        if (pump == no_pump) return {};
        Decision start{
            Intention::line_start,
            pump,
            by_float ? Reason::high_float : Reason::value_past_start,
            {in.value_m, at.on_line == 0 ? at.settings.marks.start_m : at.settings.marks.stage_up_m, 0, 0},
            more_ms >= up_delay_ms,
            up_delay_ms - more_ms};
        if (start.now) staging.top_since_ms = never_ms;
        return start;
    }
    if (by_float) return {};
    const PumpMask ours = pumps_in(at.state, PumpState::on_line, at.settings);
    const double stop_mark_m = at.on_line <= 1 ? at.marks.stop_m : at.marks.stage_down_m;
    const std::int64_t less_ms =
        held_ms(staging.bottom_since_ms, in.need_m <= stop_mark_m && ours != 0, at.now_ms);
    if (less_ms < 0) return {};
    const std::int64_t down_delay_ms = at.on_line <= 1 ? 0 : at.settings.staging.down_delay_ms;
    const std::uint8_t pump =
        next_to_stop(releasable(at.state, at.settings, at.now_ms), at.state, at.settings);
    if (pump == no_pump) return {};
    Decision less{
        Intention::stop_from_line,
        pump,
        Reason::value_past_stop,
        {in.value_m, at.on_line <= 1 ? at.settings.marks.stop_m : at.settings.marks.stage_down_m, 0, 0},
        less_ms >= down_delay_ms,
        down_delay_ms - less_ms};
    if (less.now) staging.bottom_since_ms = never_ms;
    return less;
}

}  // namespace

double need_of(const Settings& settings, double value_m) noexcept {
    return settings.action == Action::direct ? value_m - settings.marks.setpoint_m
                                             : settings.marks.setpoint_m - value_m;
}

NeedMarks need_marks(const Settings& settings) noexcept {
    const Settings::Marks& marks = settings.marks;
    return {need_of(settings, marks.low_cutoff_m),
            need_of(settings, marks.stop_m),
            need_of(settings, marks.stage_down_m),
            need_of(settings, marks.start_m),
            need_of(settings, marks.stage_up_m),
            need_of(settings, marks.high_alarm_m),
            marks.deadband_m};
}

std::int64_t bring_up_ms(const Settings& settings, double drive_hz, double next_minimum_hz) noexcept {
    const Settings::Drive& drive = settings.drive;
    constexpr double ms_per_s = 1000;
    const double rise_hz = drive.line_frequency_hz > drive_hz ? drive.line_frequency_hz - drive_hz : 0;
    const double ramps_s = drive.ramp_up_hz_s > 0 ? (rise_hz + next_minimum_hz) / drive.ramp_up_hz_s : 0;
    // Line side closes, output and drive side open, then drive side and output close for the next pump.
    constexpr std::int64_t contactor_moves = 5;
    const std::int64_t contactors_ms =
        contactor_moves * (std::int64_t{settings.sync.line_side_closing_ms} + settings.scan_ms);
    return static_cast<std::int64_t>(ramps_s * ms_per_s) + settings.step.synchronise_expected_ms +
           contactors_ms;
}

Decision decide(StagingState& staging, const SequencerState& state, const Picture& picture,
                const StagingInputs& inputs, const FlowTable& flows, const Settings& settings) noexcept {
    const Situation at{state,    picture,      inputs,          flows,
                       settings, inputs.marks, picture.time_ms, picture.on_line};
    if (state.drive_pump != no_pump) return with_drive_pump(staging, at);
    if (inputs.service == Service::fixed_speed) return without_drive(staging, at);
    if (inputs.service == Service::floats && !at.drive_usable()) return without_drive(staging, at);
    return with_free_drive(staging, at);
}

}  // namespace freshet::core
