// Carrying out decisions; see the header.
#include "controller/core/stage.hpp"

#include <algorithm>
#include <array>

#include "controller/core/alarms.hpp"
#include "controller/core/attempts.hpp"
#include "controller/core/shedding.hpp"
#include "controller/core/staging_rules.hpp"
#include "controller/core/staging_situation.hpp"

namespace freshet::core {

namespace {

/// The sequence that carries out each intention, in the order of the intentions.
constexpr std::array<Sequence, 7> sequences_of_intentions{
    Sequence::none,          Sequence::start_on_drive, Sequence::hand_over, Sequence::take_back,
    Sequence::stop_on_drive, Sequence::stop_from_line, Sequence::line_start};
static_assert(static_cast<std::size_t>(Intention::line_start) + 1 == sequences_of_intentions.size());

/// The last known inflow. `may_start` is false while a pump would soon be stopped again.
KeptInflow kept_inflow(const Balance& balance, double sure_m3, bool may_start, std::int32_t run_on_ms,
                       std::int64_t now_ms) noexcept {
    const bool called = balance.called_ms != never_ms;
    KeptInflow kept;
    kept.known = called || balance.inflow_ms != never_ms;
    if (!kept.known) return kept;
    kept.fresh = may_start && inflow_is_fresh(balance, now_ms);
    kept.calm =
        !called || now_ms - balance.called_ms >= run_on_ms || (!balance.float_called && !(sure_m3 > 0));
    kept.inflow_m3s = balance.inflow_m3s;
    kept.doubt_m3s = balance.doubt_m3s;
    kept.age_s = seconds_of(now_ms - std::max(balance.inflow_ms, balance.called_ms));
    return kept;
}

/// True when pumps start without the run-on time while a float calls and no value is known. Either the balance did
/// not expect so much water, so that the last known inflow is wrong, or one more pump did not end the call.
bool float_urges(const StageView& view) noexcept {
    const Floats& floats = view.sight.floats;
    if (!floats.calls || view.service != Service::floats) return false;
    const bool empties = view.settings.action == Action::direct;
    const std::int64_t since_ms = empties ? floats.high_since_ms : floats.low_off_since_ms;
    const bool lasts = held_ms(since_ms, view.sight.picture.time_ms) >= view.settings.floats.run_on_ms;
    return view.sight.witness.call_unforeseen || lasts;
}

StagingInputs inputs_of(const StageView& view, double demand_hz) noexcept {
    StagingInputs in;
    in.marks = view.duty.marks;
    in.permit = view.permit;
    in.value_m = view.sight.measured().value_m;
    in.need_m = view.sight.need_m;
    in.demand_hz = demand_hz;
    in.lowest_hz = view.lowest_hz;
    in.draws = view.duty.draws();
    in.mode = view.duty.mode;
    in.highest_hz = view.settings.drive.speed_max_hz;
    in.service = view.service;
    in.float_calls = view.sight.floats.calls;
    in.float_against_level =
        in.float_calls && votes[static_cast<std::size_t>(view.sight.floats.vote)].contradiction;
    in.float_urges = float_urges(view);
    in.delivery = &view.delivery;
    in.pressure_m = view.sight.pressure.pressure_m;
    const InflowEstimate& estimate = view.balance.estimate;
    in.water.inflow_known = estimate.known();
    in.water.pumped_m3s = view.balance.flow_ratio * view.balance.pumped_m3s;
    in.water.flow_ratio = view.balance.flow_ratio;
    if (!estimate.known()) return in;
    in.water.inflow_m3s = estimate.inflow_m3s();
    in.water.doubt_m3s = estimate.doubt_m3s();
    in.water.rise_m3s2 = estimate.rise_m3s2();
    in.water.volume_m3 = estimate.volume_m3();
    return in;
}

NextAction announced(const Decision& decision) noexcept {
    constexpr std::int64_t unknown = -1;
    const std::int64_t countdown_ms = decision.countdown_ms < 0 ? unknown : decision.countdown_ms;
    return {decision.intention, decision.pump, static_cast<std::int32_t>(countdown_ms), decision.why};
}

/// True while a spill is near, or a pressure about to be lost. Once true, this stays true while the need is
/// past the stage-up mark.
bool is_in_danger(StagingState& staging, const Situation& at) noexcept {
    const StagingInputs& in = at.inputs;
    const bool before = staging.water_in_danger;
    if (in.float_calls) return true;
    if (in.service == Service::floats || in.service == Service::hold) return false;
    if (in.need_m >= in.marks.high_m || (before && in.need_m >= in.marks.stage_up_m)) return true;
    if (!at.settings.staging.forecast || !in.water.inflow_known) return false;
    const double drive_hz = at.state.drive_pump == no_pump ? 0 : in.highest_hz;
    const bool short_of_flow = in.water.at_least_m3s() > full_flow_m3s(staging, at, drive_hz);
    // Below the setpoint much store is left, so that the climb must pass the high mark itself.
    const double halfway_m = 0.5 * (in.marks.stage_up_m + in.marks.high_m);
    const double mark_m = in.need_m > 0 ? halfway_m : in.marks.high_m;
    return short_of_flow && at.climb().peak_m3 >= at.volume_at(mark_m);
}

/// A pump was stopped for the discharge pressure, or by the float that stops pumps, a short time ago. Limits do not
/// give way for a pump that would soon stop again.
bool would_stop_again(const StagingState& staging, std::int64_t now_ms) noexcept {
    constexpr std::int64_t memory_ms = 600'000;
    return staging.harm_stop_ms != never_ms && now_ms - staging.harm_stop_ms < memory_ms;
}

/// Notes a refusal when it changes.
void note_refusal(StagingState& staging, const Refusal& refusal, Journal& journal) noexcept {
    const bool same = refusal.why == staging.refusal.why && refusal.pump == staging.refusal.pump;
    staging.refusal = refusal;
    if (same || refusal.why == Permissive::none) return;
    journal.note(EventKind::refused, static_cast<std::uint8_t>(refusal.why), refusal.pump, Reason::refused,
                 {static_cast<double>(refusal.why), as_double(refusal.wait_ms), 0, 0});
}

/// The limits of wear that are against the decision.
GroundMask limits_against(const Decision& decision, const Situation& at) noexcept {
    std::int64_t wait_ms = 0;
    StationPermit calm = at.inputs.permit;
    calm.water_in_danger = false;
    switch (decision.intention) {
        case Intention::start_on_drive:
        case Intention::line_start:
            return wear_limits_of_start(at.state, at.picture, at.inputs.permit, at.settings, decision.pump,
                                        wait_ms);
        case Intention::hand_over:
        case Intention::take_back: {
            const Permissive why = why_no_transfer(at.state, at.picture, calm, at.settings, wait_ms);
            return why == Permissive::none ? 0 : bit_of(why);
        }
        case Intention::stop_on_drive:
        case Intention::stop_from_line: {
            const Permissive why =
                why_not_stop(at.state, calm, at.settings, decision.pump, at.picture.time_ms, wait_ms);
            return why == Permissive::none ? 0 : bit_of(why);
        }
        case Intention::none:
            break;
    }
    return 0;
}

/// Notes each limit that gives way to a decision that is carried out. A stop for protection has no limit that
/// could give way.
void note_yielding(StagingState& staging, const Decision& decision, const Situation& at,
                   Journal& journal) noexcept {
    if (!at.inputs.permit.water_in_danger) staging.yielding = Permissive::none;
    if (!at.inputs.permit.water_in_danger || !decision.now || decision.why == Reason::pumps_max_reached)
        return;
    const GroundMask against = limits_against(decision, at);
    for (std::uint8_t code = 0; code < static_cast<std::uint8_t>(Permissive::count); ++code) {
        const auto limit = static_cast<Permissive>(code);
        if ((against & bit_of(limit)) == 0) continue;
        staging.yielding = limit;
        journal.note(EventKind::limit_yielded, code, decision.pump, Reason::limit_yields,
                     {static_cast<double>(code), 0, 0, 0});
    }
}

/// Notes why a pump was chosen to start. `begun` is the number of the event that the start begins with.
void note_choice(const Decision& decision, Sequence sequence, std::uint32_t begun,
                 Journal& journal) noexcept {
    if (decision.chosen.why == Reason::none) return;
    journal.note(EventKind::pump_chosen, static_cast<std::uint8_t>(sequence), decision.pump,
                 decision.chosen.why, decision.chosen.values, begun);
}

/// The next action that people see while a pump is needed and the controller waits for the drive.
NextAction announced_return(const StageView& view) noexcept {
    const bool waits = view.permit.drive_wait_left_ms > 0 && view.settings.line_start.allowed &&
                       view.sight.need_m >= view.duty.marks.start_m;
    if (!waits) return {};
    return {Intention::line_start, no_pump, static_cast<std::int32_t>(view.permit.drive_wait_left_ms),
            Reason::drive_awaited};
}

/// Does not try again a drive that did not start, while the water is in danger and pumps may start on the line. Each
/// attempt that fails costs the time of a line start.
void keep_to_line_starts(SequencerState& sequencer, const Situation& at) noexcept {
    constexpr std::int64_t calm_ms = 30'000;
    constexpr unsigned did_not_start =
        alarm_bit(StationAlarm::output_does_not_close) | alarm_bit(StationAlarm::drive_does_not_run);
    const std::int64_t now_ms = at.picture.time_ms;
    const bool pauses =
        (sequencer.latched_station & did_not_start) != 0 && now_ms < sequencer.drive_retry_after_ms;
    if (!pauses || !at.inputs.permit.water_in_danger || !station_allows_line_starts(at.settings)) return;
    const bool any_idle = pumps_in(sequencer, PumpState::off, at.settings) != 0;
    if (any_idle) sequencer.drive_retry_after_ms = std::max(sequencer.drive_retry_after_ms, now_ms + calm_ms);
}

/// True while no decision may be made: a sequence is under way, the pumps are stopped, or the contactors have
/// not settled. Forgets the grounds that nobody judges meanwhile. `stopped` shows whether a protective stop applies.
bool must_wait(StagingState& staging, const SequencerState& sequencer, const StageView& view, bool& stopped,
               Advice& advice) noexcept {
    const Picture& picture = view.sight.picture;
    const StationPermit& permit = view.permit;
    const Permissive held_by_stop = why_stopped(sequencer.emergency_stop);
    stopped = picture.emergency_stop || permit.low_cutoff || permit.low_float || permit.supply_poor ||
              held_by_stop != Permissive::none;
    const bool busy = sequencer.main.step != Step::idle || line_starting_pump(sequencer) != no_pump;
    if (!busy && !stopped && permit.settled) return false;
    staging.since = {};
    staging.refusal = {};
    if (stopped) {
        staging.water_in_danger = false;
        staging.yielding = Permissive::none;
        // A change of pumps that a protective stop interrupted is not continued.
        staging.start_wanted = staging.take_back_wanted = false;
        if (permit.low_float) staging.harm_stop_ms = picture.time_ms;
        if (permit.low_float) staging.harm_by_pressure = false;
    }
    if (held_by_stop == Permissive::reset_awaited)
        advice.next = {Intention::none, no_pump, -1, Reason::reset_awaited};
    return true;
}

/// True while a sequence of the drive leaves the line pumps alone: a pump starts on the drive, or a transfer has not
/// yet joined the line and the drive.
bool may_stop_beside(const Run& run) noexcept {
    switch (run.step) {
        case Step::start_close_drive_side:
        case Step::start_close_output:
        case Step::start_run:
        case Step::over_line_frequency:
        case Step::over_synchronise:
        case Step::back_close_output:
        case Step::back_line_frequency:
        case Step::back_synchronise:
            return true;
        default:
            return false;
    }
}

/// Stops a line pump while a sequence of the drive is under way, when the inflow has collapsed and the store would
/// be empty before the sequence has ended. A stop from line needs no drive.
void stop_beside(StagingState& staging, SequencerState& sequencer, const StagingTimers& before,
                 const StageView& view, double speed_hz, Journal& journal) noexcept {
    const Service service = view.service;
    const bool by_value = service != Service::floats && service != Service::hold;
    if (!may_stop_beside(sequencer.main) || !by_value || view.sight.floats.calls) return;
    const StagingInputs in = inputs_of(view, speed_hz);
    const Situation at{sequencer, view.sight.picture, in, view.flows, view.settings, before};
    const Decision stop = stop_before_empty(staging, at);
    if (!stop.now) return;
    staging.since = {};
    begin_line_stop(sequencer, stop.pump, stop.why, stop.values, view.sight.picture.time_ms, journal);
}

/// Keeps the drive pump running that ramps down, when the inflow has returned.
void call_off_stop_if_needed(const StagingState& staging, SequencerState& sequencer,
                             const StagingTimers& before, const StageView& view, double speed_hz,
                             Journal& journal) noexcept {
    const bool by_value = view.service != Service::floats && view.service != Service::hold;
    if (!by_value || !staging.stops_for_water || !may_call_stop_off(sequencer)) return;
    const StagingInputs in = inputs_of(view, speed_hz);
    const Decision keep =
        keep_pump_that_ramps_down({sequencer, view.sight.picture, in, view.flows, view.settings, before});
    if (keep.now) call_stop_off(sequencer, keep.why, keep.values, journal);
}

}  // namespace

void stage(StagingState& staging, SequencerState& sequencer, Following& following, const StageView& view,
           Advice& advice, Journal& journal) noexcept {
    advice.next = {};
    const Picture& picture = view.sight.picture;
    const StagingTimers before = staging.since;
    bool stopped = false;
    if (must_wait(staging, sequencer, view, stopped, advice)) {
        if (!stopped && view.permit.settled) {
            stop_beside(staging, sequencer, before, view, following.speed_hz, journal);
            call_off_stop_if_needed(staging, sequencer, before, view, following.speed_hz, journal);
        }
        return;
    }

    StagingInputs in = inputs_of(view, following.speed_hz);
    // After the float stopped the pumps, the water must surely have risen to the start mark again.
    const bool may_start = !would_stop_again(staging, picture.time_ms) ||
                           view.sight.witness.reckoned_need_m >= view.duty.marks.start_m;
    in.kept = kept_inflow(view.balance, view.sight.witness.sure_m3, may_start, view.settings.floats.run_on_ms,
                          picture.time_ms);
    const Situation at{sequencer, picture, in, view.flows, view.settings, staging.since};
    staging.water_in_danger = is_in_danger(staging, at);
    // A float that calls proves that the water has returned since the other float stopped the pumps.
    const bool would_stop = would_stop_again(staging, picture.time_ms);
    const bool returned = in.float_calls && !staging.harm_by_pressure;
    in.permit.water_in_danger = staging.water_in_danger && (!would_stop || returned);
    const Decision decision = decide(staging, sequencer, picture, in, view.flows, view.settings);
    keep_to_line_starts(sequencer, at);
    note_refusal(staging, decision.refusal, journal);
    note_yielding(staging, decision, at, journal);
    if (decision.intention == Intention::none) advice.next = announced_return(view);
    if (decision.intention == Intention::none) return;
    if (decision.now && decision.why == Reason::pressure_high) {
        staging.harm_stop_ms = picture.time_ms;
        staging.harm_by_pressure = true;
    }
    if (!decision.now) {
        advice.next = announced(decision);
        return;
    }
    const bool stops =
        decision.intention == Intention::stop_from_line || decision.intention == Intention::stop_on_drive;
    if (decision.intention == Intention::stop_on_drive)
        staging.stops_for_water =
            decision.why == Reason::demand_at_bottom || decision.why == Reason::value_past_stop;
    if (stops && decision.why == Reason::no_delivery)
        count_no_delivery(sequencer, decision.pump, view.settings, picture.time_ms);
    if (decision.intention == Intention::stop_from_line) {
        begin_line_stop(sequencer, decision.pump, decision.why, decision.values, picture.time_ms, journal);
        return;
    }
    const Sequence sequence = sequences_of_intentions[static_cast<std::size_t>(decision.intention)];
    if (decision.intention == Intention::line_start) {
        note_choice(decision, sequence,
                    begin_line_start(sequencer, decision.pump, decision.why, decision.values, picture.time_ms,
                                     journal),
                    journal);
        return;
    }
    note_choice(decision, sequence,
                begin(sequencer, sequence, first_step(sequence), decision.pump, decision.why, decision.values,
                      picture.time_ms, journal),
                journal);
    following.pump = no_pump;
}

}  // namespace freshet::core
