// Carrying out decisions; see the header.
#include "controller/core/stage.hpp"

#include <array>

namespace freshet::core {

namespace {

/// The sequence that carries out each intention, in the order of the intentions.
constexpr std::array<Sequence, 7> sequences_of_intentions{
    Sequence::none,          Sequence::start_on_drive, Sequence::hand_over, Sequence::take_back,
    Sequence::stop_on_drive, Sequence::stop_from_line, Sequence::line_start};
static_assert(static_cast<std::size_t>(Intention::line_start) + 1 == sequences_of_intentions.size());

StagingInputs inputs_of(const StageView& view, double demand_hz) noexcept {
    StagingInputs in;
    in.marks = view.marks;
    in.permit = view.permit;
    in.value_m = view.sight.measured().value_m;
    in.need_m = view.sight.need_m;
    in.demand_hz = demand_hz;
    in.lowest_hz = view.lowest_hz;
    in.highest_hz = view.settings.drive.speed_max_hz;
    in.service = view.service;
    in.float_calls = view.sight.floats.calls;
    in.pressure_m = view.sight.pressure.pressure_m;
    in.inflow_known = view.balance.observer.settled(view.settings.staging.observer_s);
    in.inflow_m3s = view.balance.observer.inflow_m3s();
    in.area_m2 = view.sight.area_m2;
    return in;
}

NextAction announced(const Decision& decision) noexcept {
    constexpr std::int64_t unknown = -1;
    const std::int64_t countdown_ms = decision.countdown_ms < 0 ? unknown : decision.countdown_ms;
    return {decision.intention, decision.pump, static_cast<std::int32_t>(countdown_ms), decision.why};
}

/// The next action that people see while a pump is needed and the controller waits for the drive.
NextAction announced_return(const StageView& view) noexcept {
    const bool waits = view.permit.drive_wait_left_ms > 0 && view.settings.line_start.allowed &&
                       view.sight.need_m >= view.marks.start_m;
    if (!waits) return {};
    return {Intention::line_start, no_pump, static_cast<std::int32_t>(view.permit.drive_wait_left_ms),
            Reason::drive_awaited};
}

}  // namespace

void stage(StagingState& staging, SequencerState& sequencer, Following& following, const StageView& view,
           Advice& advice, Journal& journal) noexcept {
    advice.next = {};
    const Picture& picture = view.sight.picture;
    const StationPermit& permit = view.permit;
    const bool held_by_stop = why_stopped(sequencer.emergency_stop) != Permissive::none;
    const bool stopped =
        picture.emergency_stop || permit.low_cutoff || permit.low_float || permit.supply_poor || held_by_stop;
    if (sequencer.main.step != Step::idle || stopped || !permit.settled) {
        staging.since = {};
        // A change of pumps that a protective stop interrupted is not continued.
        if (stopped) staging.start_wanted = staging.take_back_wanted = false;
        if (why_stopped(sequencer.emergency_stop) == Permissive::reset_awaited)
            advice.next = {Intention::none, no_pump, -1, Reason::reset_awaited};
        return;
    }

    const Decision decision = decide(staging, sequencer, picture,
                                     inputs_of(view, following.demand.speed_hz()), view.flows, view.settings);
    if (decision.intention == Intention::none) advice.next = announced_return(view);
    if (decision.intention == Intention::none) return;
    if (!decision.now) {
        advice.next = announced(decision);
        return;
    }
    if (decision.intention == Intention::stop_from_line) {
        begin_line_stop(sequencer, decision.pump, decision.why, decision.values, picture.time_ms, journal);
        return;
    }
    const Sequence sequence = sequences_of_intentions[static_cast<std::size_t>(decision.intention)];
    begin(sequencer, sequence, first_step(sequence), decision.pump, decision.why, decision.values,
          picture.time_ms, journal);
    following.pump = no_pump;
}

}  // namespace freshet::core
