// The situation that every rule of the staging judges: the pumps, the drive, the water, and how long each
// ground has held.
// One reason to change: a value that a rule of the staging needs.
#pragma once

#include <cstddef>
#include <cstdint>

#include "controller/core/climb.hpp"
#include "controller/core/delivery.hpp"
#include "controller/core/permissives.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/staging.hpp"
#include "controller/core/store.hpp"
#include "controller/core/times.hpp"

namespace freshet::core {

/// A forecast must hold for this time, because one odd reading proves nothing.
inline constexpr std::int64_t forecast_hold_ms = 3000;

/// The pumps in state `wanted`.
inline PumpMask pumps_in(const SequencerState& state, PumpState wanted, const Settings& settings) noexcept {
    PumpMask mask = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        if (state.pumps[pump].state == wanted) mask = static_cast<PumpMask>(mask | bit_of(pump));
    return mask;
}

/// Idle pumps that may start now.
inline PumpMask startable(const SequencerState& state, const Picture& picture, const StationPermit& permit,
                          const Settings& settings, bool by_line) noexcept {
    PumpMask mask = 0;
    std::int64_t wait_ms = 0;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        if (state.pumps[pump].state == PumpState::off &&
            why_not_start(state, picture, permit, settings, pump, by_line, wait_ms) == Permissive::none)
            mask = static_cast<PumpMask>(mask | bit_of(pump));
    return mask;
}

/// The situation of one decision.
struct Situation {
    const SequencerState& state;
    const Picture& picture;
    const StagingInputs& inputs;
    const FlowTable& flows;
    const Settings& settings;
    const StagingTimers& before;  ///< the timers after the last decision
    /// True when the drive may be used and every contactor of its bus is read open.
    bool drive_usable() const noexcept {
        return why_no_drive(state, picture) == Permissive::none && drive_is_free(picture, settings);
    }
    /// True when the drive is usable and stopped, so that it can take a motor now.
    bool drive_free() const noexcept { return drive_usable() && drive_can_take(picture, settings); }
    /// How many pumps run on the line, without those that are being stopped. Pumps that people started count,
    /// too.
    int line_pumps() const noexcept {
        int pumps = picture.on_line;
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
            if (state.line_run[pump].step != Step::idle && state.pumps[pump].state == PumpState::stopping &&
                has(fed_by_line(picture), pump))
                --pumps;
        return pumps;
    }
    /// Flow of `line_pumps` on the line and one pump on the drive at `drive_hz` (zero: none), at a need, m3/s.
    double flow_m3s(std::size_t line_pumps, double drive_hz, double need_m) const noexcept {
        return inputs.water.flow_ratio * flows.total_m3s(line_pumps, drive_hz, value_at(need_m));
    }
    /// The need at which a flow is judged, for a decision at `mark_m`. A level changes the flow little, and the
    /// present level decides whether the store fills. A header pressure settles where the pumps carry the
    /// demand, so that only the flow at the mark says whether the pumps hold the mark.
    double judged_at_m(double mark_m) const noexcept {
        return settings.measured == Measured::header_pressure ? mark_m : inputs.need_m;
    }
    /// True when the running pumps at full speed carry the inflow, so that the need falls.
    bool falls() const noexcept {
        const double drive_hz = state.drive_pump == no_pump ? 0 : inputs.highest_hz;
        return inputs.water.inflow_known &&
               inputs.water.inflow_m3s <
                   flow_m3s(picture.on_line, drive_hz, judged_at_m(inputs.marks.stage_up_m));
    }
    /// True when the measured value shows the water of the float that calls, and the value falls. The running pumps
    /// are then enough.
    bool falls_from_float() const noexcept {
        return inputs.service != Service::floats && !inputs.float_against_level &&
               inputs.need_m >= inputs.marks.stage_up_m && falls();
    }
    /// True when the inflow is surely more than the running pumps carry, with the drive pump at its minimum
    /// flow.
    bool surely_rises() const noexcept {
        const double need_m = judged_at_m(inputs.marks.stage_down_m);
        const double drive_hz =
            state.drive_pump == no_pump ? 0 : flows.minimum_flow_hz(picture.on_line, value_at(need_m));
        return inputs.water.inflow_known &&
               inputs.water.at_least_m3s() > flow_m3s(picture.on_line, drive_hz, need_m);
    }
    /// What `line_pumps` and one more pump at its minimum flow carry at the stage-up mark, m3/s. No combination
    /// holds an inflow between that flow and the flow of the line pumps alone.
    double with_one_more_m3s(std::size_t line_pumps) const noexcept {
        const double minimum_hz = flows.minimum_flow_hz(line_pumps, stage_up_m());
        return flow_m3s(line_pumps, minimum_hz, inputs.marks.stage_up_m);
    }
    /// True when the inflow is surely above that band.
    bool is_above_band(std::size_t line_pumps) const noexcept {
        constexpr double surely = 1.05;  // the curves are up to 3 % off
        return inputs.water.at_least_m3s() > surely * with_one_more_m3s(line_pumps);
    }
    /// The measured value of a need, m.
    double value_at(double need_m) const noexcept { return value_of(settings, need_m); }
    /// The value of a mark in force, m; `given_m` is the mark of the settings.
    double mark_m(double given_m, double in_force_m) const noexcept {
        return mark_value_m(settings, given_m, in_force_m);
    }
    /// The values of the marks in force, m.
    double start_m() const noexcept { return mark_m(settings.marks.start_m, inputs.marks.start_m); }
    double stop_m() const noexcept { return mark_m(settings.marks.stop_m, inputs.marks.stop_m); }
    double stage_up_m() const noexcept { return mark_m(settings.marks.stage_up_m, inputs.marks.stage_up_m); }
    double stage_down_m() const noexcept {
        return mark_m(settings.marks.stage_down_m, inputs.marks.stage_down_m);
    }
    /// The start mark and the stop mark in force of the pump that starts as number `pump` without the drive,
    /// m. The marks of lag pumps move with the setpoint.
    LagMarks fixed_speed_m(std::size_t pump) const noexcept {
        if (pump == 0) return {start_m(), stop_m()};
        if (settings.staging.lag_count == 0) return {stage_up_m(), stage_down_m()};
        const LagMarks given = fixed_speed_marks(settings, pump);
        const double moved_m = value_at(inputs.marks.hold_m) - settings.marks.setpoint_m;
        return {given.start_m + moved_m, given.stop_m + moved_m};
    }
    /// The volume that calls for pumping at a need, m3.
    double volume_at(double need_m) const noexcept { return need_volume_m3(settings, value_at(need_m)); }
    /// Foresees that idle pumps come on one after another, at the stage-up mark. Every time is longer by
    /// Settings::staging.forecast_margin.
    Climb climb() const noexcept {
        const double drive_hz = state.drive_pump == no_pump           ? 0
                                : inputs.demand_hz > inputs.lowest_hz ? inputs.demand_hz
                                                                      : inputs.lowest_hz;
        std::size_t idle = 0;
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
            if (state.pumps[pump].state == PumpState::off) ++idle;
        const ClimbStart start{picture.on_line,
                               drive_hz,
                               idle,
                               inputs.water.inflow_m3s,
                               inputs.water.rise_m3s2,
                               inputs.water.volume_m3,
                               value_at(inputs.marks.stage_up_m),
                               settings.staging.forecast_margin,
                               inputs.water.flow_ratio};
        return foresee_climb(start, flows, settings);
    }
    /// The permit without any limit that gives way. Less pumping never needs a limit to give way to the water.
    StationPermit calm_permit() const noexcept {
        StationPermit calm = inputs.permit;
        calm.water_in_danger = false;
        return calm;
    }
    /// Idle pumps that may start now, on the line or on the drive. Pumps that no limit refuses come first.
    /// Only when there is none, a limit gives way to water in danger. A pump of which people must doubt that
    /// it delivers comes last of all.
    PumpMask may_start(bool by_line) const noexcept {
        if (by_line && !line_start_serves(state, picture, settings)) return 0;
        const PumpMask free = startable(state, picture, calm_permit(), settings, by_line);
        const PumpMask doubtful = doubtful_delivery(state);
        if ((free & ~doubtful) != 0) return static_cast<PumpMask>(free & ~doubtful);
        const PumpMask most = startable(state, picture, inputs.permit, settings, by_line);
        if ((most & ~doubtful) != 0) return static_cast<PumpMask>(most & ~doubtful);
        return free != 0 ? free : most;
    }
    /// Line pumps that have run long enough to be stopped or taken back.
    PumpMask may_stop() const noexcept {
        PumpMask mask = 0;
        std::int64_t wait_ms = 0;
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
            if (state.pumps[pump].state == PumpState::on_line &&
                why_not_stop(state, calm_permit(), settings, pump, picture.time_ms, wait_ms) ==
                    Permissive::none)
                mask = static_cast<PumpMask>(mask | bit_of(pump));
        return mask;
    }
    /// A decision that more pumping is wanted but no pump may start. The decision only names the refusal.
    Decision refused(bool by_line) const noexcept {
        Decision none;
        none.refusal = why_no_pump_starts(state, picture, inputs.permit, settings, by_line);
        return none;
    }
    /// True when one more transfer leaves transfers of the hour in hand for more pumps. Only changes that
    /// bring no more pumping give way to this reserve.
    bool transfer_in_hand() const noexcept {
        constexpr int in_hand = 3;
        const int limit = settings.permissives.transfers_per_hour_max;
        return limit <= in_hand || state.transfers.within_hour(picture.time_ms) + in_hand < limit;
    }
    /// How long `condition` has held, ms; -1 while it does not hold. `since` holds the timers of this
    /// decision.
    std::int64_t held_ms(StagingTimers& since, std::int64_t StagingTimers::*timer,
                         bool condition) const noexcept {
        if (!condition) return -1;
        since.*timer = before.*timer == never_ms ? picture.time_ms : before.*timer;
        return picture.time_ms - since.*timer;
    }
    /// Postpones a transfer that is not permitted now. The countdown then is the time left, or -1 when that
    /// is not known.
    void postpone_transfer(Decision& decision) const noexcept {
        std::int64_t wait_ms = 0;
        const Permissive why = why_no_transfer(state, picture, inputs.permit, settings, wait_ms);
        if (why == Permissive::none) return;
        if (decision.now) decision.refusal = {why, decision.pump, wait_ms};
        decision.now = false;
        decision.countdown_ms = wait_ms > 0 ? wait_ms : -1;
    }
};

/// Flow of the running pumps at the stage-up mark, with the drive pump at `drive_hz` (zero: none), m3/s. While the
/// same pumps run, the table is not read again.
inline double full_flow_m3s(StagingState& staging, const Situation& at, double drive_hz) noexcept {
    const double need_m = at.inputs.marks.stage_up_m;
    const CombinationKey key{static_cast<std::size_t>(at.picture.on_line), drive_hz, need_m};
    return at.inputs.water.flow_ratio * staging.full_m3s.at(key, [&]() noexcept {
        return at.flows.total_m3s(key.line_pumps, drive_hz, at.value_at(need_m));
    });
}

/// The reason of a float that calls for pumps: the high float of a well, the low float of a tank.
inline Reason float_reason(const Situation& at) noexcept {
    return at.settings.action == Action::direct ? Reason::high_float : Reason::low_float;
}

}  // namespace freshet::core
