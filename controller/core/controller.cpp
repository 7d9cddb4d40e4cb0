// The scan; see the header.
#include "controller/core/controller.hpp"

#include "controller/core/availability.hpp"
#include "controller/core/protection.hpp"
#include "controller/core/stage.hpp"
#include "controller/core/station_permit.hpp"
#include "controller/core/times.hpp"
#include "controller/core/trips.hpp"

namespace freshet::core {

namespace {

/// True while a sequence is under way or a motor current is missing. Then every scan reads the motors and
/// carries the sequences on.
bool must_look_closely(const SequencerState& sequencer, const Picture& picture) noexcept {
    bool closely =
        sequencer.main.step != Step::idle || (picture.current_missing & picture.line_side_closed) != 0;
    for (const Run& run : sequencer.line_run) closely |= run.step != Step::idle;
    return closely;
}

void tell_measured_quality(const Sight& sight, const Inputs& inputs, const Settings& settings, Advice& advice,
                           Journal& journal) noexcept {
    const MeasuredValue& measured = sight.measured();
    if (measured.quality != advice.measured_quality || measured.cause != advice.measured_cause) {
        const Reason why = measured.quality == Quality::good        ? Reason::data_good
                           : measured.quality == Quality::uncertain ? Reason::data_uncertain
                                                                    : Reason::data_bad;
        journal.note(
            EventKind::measured_quality, static_cast<std::uint8_t>(measured.quality), no_pump, why,
            {measured.value_m, newest_age_ms(inputs, settings), static_cast<double>(measured.cause), 0});
    }
    advice.measured_quality = measured.quality;
    advice.measured_cause = measured.cause;
    for (std::size_t i = 0; i < transmitters_max; ++i)
        advice.transmitters[i] = {sight.signals.transmitter[i].quality, sight.signals.transmitter[i].cause};
}

}  // namespace

Controller::Controller(const Settings& settings, const Retained* kept) noexcept
    : settings_(settings),
      refused_(check(settings)),
      marks_(need_marks(settings)),
      flows_(refused_.sound() ? FlowTable(settings) : FlowTable()),
      sight_(sight_of(settings)) {
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        sequencer_.pumps[pump].run_ms = settings.run_ms_initial[pump];
        sequencer_.pumps[pump].starts_total = settings.starts_initial[pump];
    }
    duty_.marks = marks_;
    advice_.setpoint_m = settings.marks.setpoint_m;
    has_kept_ = kept != nullptr;
    if (has_kept_) kept_ = *kept;
}

const Advice& Controller::scan(const Inputs& inputs) noexcept {
    Journal journal(advice_, last_event_);
    if (clock_.would_go_back(inputs.time_ms)) return refuse_time(inputs.time_ms, journal);
    if (!refused_.sound()) return advise_nothing(inputs.time_ms);
    if (has_kept_ && !clock_.started()) restore(kept_, inputs.time_ms, settings_, sequencer_, alarms_);
    const ScanTime time = clock_.advance(inputs.time_ms);
    wear_.hours_due_ms += time.elapsed_ms;

    const Attention attention{event_noted_, must_look_closely(sequencer_, sight_.picture)};
    const bool changed = see(sight_, inputs, settings_, marks_, time, attention);
    advice_.measured_m = sight_.measured().value_m;
    if (changed || time.second_passed || inputs.people.asks()) {
        tell_measured_quality(sight_, inputs, settings_, advice_, journal);
        serve(inputs, journal);
    }
    renew_permit(permit_, sight_, service_, inflow_is_fresh(balance_, time.now_ms), duty_.marks, settings_);

    const SequencerInputs seen = sequencer_inputs(inputs);
    const bool takes_over = permit_.settled && !adoption_.adopted;
    const Task task{time, changed || takes_over, attention.closely};
    if (takes_over) adopt(adoption_, sequencer_, sight_.picture, service_, has_kept_, settings_, journal);
    if (adoption_.adopted)
        work(seen, task, journal);
    else
        mirror(inputs, sight_.picture, settings_, advice_);

    if (task.slow()) keep_hours(wear_, sequencer_, sight_.picture, settings_);
    keep_figures(wear_, sequencer_, task.changed, time.now_ms, settings_, advice_);
    advice_.minimum_flow_hz = seen.minimum_flow_hz;
    tell(inputs, task, journal);
    return advice_;
}

/// The rules for a station that the controller has taken over.
void Controller::work(const SequencerInputs& seen, const Task& task, Journal& journal) noexcept {
    if (task.carries_on()) carry_on(sequencer_, seen, settings_, journal);
    if (task.changed) count_trips(sequencer_, sight_.picture, settings_, journal);
    protect(sequencer_, sight_, permit_, settings_, journal);
    if (task.carries_on() || has_events())
        note_involuntary_stops(sequencer_, sight_.picture, permit_, settings_);
    if (task.slow() || has_events()) judge_availability(sequencer_, sight_.picture, settings_, journal);

    follow(following_, sight_, sequencer_, service_, seen.minimum_flow_hz, task.time.elapsed_s, settings_);
    add_to_balance(balance_, sight_, task.time.elapsed_s);
    if (task.time.second_passed) {
        update_balance(balance_, sight_, flows_, settings_, advice_);
        judge_contradictions(sight_.witness, sight_.signals, sight_.floats, sight_.picture, sight_.need_m,
                             store_flows(balance_, sight_.picture), marks_, settings_);
        watch_delivery(delivery_, sequencer_, {*seen.readings, sight_, balance_, flows_, settings_});
        renew_water_duty(duty_, {sight_, sequencer_, balance_, flows_, settings_, service_}, advice_,
                         journal);
        aim(following_, sight_, balance_, service_, seen.minimum_flow_hz, duty_, flows_, settings_);
    }
    if (task.slow()) {
        const StageView view{
            sight_, permit_, balance_, flows_, delivery_, settings_, service_, seen.minimum_flow_hz, duty_};
        stage(staging_, sequencer_, following_, view, advice_, journal);
    }
    if (hold_.since_ms != never_ms)
        advice_.next = {Intention::none, no_pump, static_cast<std::int32_t>(hold_.left_ms(task.time.now_ms)),
                        Reason::hold_over};
    advice_.demand_hz = following_.speed_hz;
    if (task.carries_on() || has_events()) compose_contactors(sequencer_, settings_, advice_);
    advice_.speed_hz = composed_speed_hz(reference_, sequencer_, seen, advice_.demand_hz);
}

const Advice& Controller::refuse_time(std::int64_t now_ms, Journal& journal) noexcept {
    journal.note(EventKind::measured_quality, static_cast<std::uint8_t>(advice_.measured_quality), no_pump,
                 Reason::time_back, {static_cast<double>(clock_.last_ms() - now_ms), 0, 0, 0});
    return advice_;
}

/// A scan with refused settings. The advice does not change, and the service stays `waiting`.
const Advice& Controller::advise_nothing(std::int64_t now_ms) noexcept {
    clock_.advance(now_ms);
    advice_.time_ms = now_ms;
    ++advice_.scan_count;
    return advice_;
}

/// Renews the service, and what an emergency stop or an outage leaves behind. The first service gets no event of
/// its own, because the event of the adoption names the service. When the time in service `hold` is over, the
/// advice is void and shows service `waiting`.
void Controller::serve(const Inputs& inputs, Journal& journal) noexcept {
    const bool adopted = adoption_.adopted;
    watch_idle_drive(drive_, sight_.picture, sequencer_, adopted, settings_);
    permit_.settled = settles(adoption_, sight_.picture, settings_);
    service_ = adopted || permit_.settled ? judge_service(sight_, sequencer_, drive_, adopted, settings_)
                                          : Service::waiting;
    if (!adopted && permit_.settled) advice_.service = service_;
    renew_hold(hold_, adopted ? service_ : Service::waiting, sight_, balance_, marks_, settings_);
    renew_emergency_stop(sequencer_.emergency_stop, sight_.picture, inputs.people.reset_emergency_stop,
                         journal);
    renew_return(permit_, outage_, sight_, sequencer_, adopted, duty_.marks, settings_);
    if (!hold_.is_over(sight_.picture.time_ms)) {
        note_service(advice_, service_, journal);
    } else if (advice_.service != Service::waiting) {
        advice_.service = Service::waiting;
        journal.note(EventKind::service, static_cast<std::uint8_t>(Service::waiting), no_pump,
                     Reason::hold_over,
                     {seconds_of(hold_.allowed_ms), hold_.inflow_m3s, hold_.outflow_m3s, 0});
    }
}

/// Minimum-flow speed, Hz, of the pump of the sequence that the advice names, or of the drive pump, together
/// with the pumps on the line. A header pressure counts up to the stop mark only. Above that mark the pump is
/// about to stop, and a speed that follows the pressure would raise the pressure further.
double Controller::minimum_flow_hz() noexcept {
    const bool steady = sequencer_.main.step == Step::idle && sequencer_.drive_pump != no_pump;
    const std::uint8_t pump = steady ? sequencer_.drive_pump : shown_run(sequencer_).pump;
    const std::size_t others = other_line_pumps(sight_.picture, pump);
    // While no level is believed, the minimum flow must be held down to the cut-off.
    const bool blind = settings_.measured == Measured::level && sight_.measured().quality == Quality::bad;
    const double value_m = blind ? settings_.marks.low_cutoff_m : sight_.measured().value_m;
    const double stop_m = mark_value_m(settings_, settings_.marks.stop_m, duty_.marks.stop_m);
    const bool raises_pressure = settings_.measured == Measured::header_pressure && value_m > stop_m;
    const double measured_m = raises_pressure ? stop_m : value_m;
    return minimum_flow_hz_.at({measured_m, others},
                               [&] { return flows_.minimum_flow_hz(others, measured_m); });
}

SequencerInputs Controller::sequencer_inputs(const Inputs& inputs) noexcept {
    SequencerInputs seen{sight_.picture, {}, minimum_flow_hz(), &inputs};
    const Run& run = sequencer_.main;
    if (run.step == Step::idle || !row_of(run.step).advice.synchronise) return seen;
    const std::int32_t closing_ms = run.sequence == Sequence::hand_over
                                        ? settings_.sync.line_side_closing_ms
                                        : settings_.sync.drive_side_closing_ms;
    const bool high = sight_.floats.calls || sight_.need_m >= duty_.marks.high_m ||
                      (staging_.water_in_danger && sight_.need_m >= duty_.marks.stage_up_m);
    seen.line_start_awaits = high && station_allows_line_starts(settings_);
    seen.sync = read_sync(inputs.drive, inputs.line, settings_.sync, closing_ms);
    return seen;
}

/// Judges the alarms and completes the advice.
void Controller::tell(const Inputs& inputs, const Task& task, Journal& journal) noexcept {
    const bool at_once = has_events() || inputs.people.asks() || inputs.time_ms >= alarms_.unshelve_ms;
    if (task.slow() || at_once) judge_alarms_of(inputs, journal);
    event_noted_ = has_events();
    advice_.time_ms = inputs.time_ms;
    ++advice_.scan_count;
}

/// Judges every alarm.
void Controller::judge_alarms_of(const Inputs& inputs, Journal& journal) noexcept {
    const AlarmView view{inputs,   sight_,      permit_,   sequencer_,
                         drive_,   duty_.marks, settings_, adoption_.adopted,
                         service_, staging_,    delivery_, alarms_.station.active};
    conditions_.station = station_conditions(view);
    for (std::size_t pump = 0; pump < settings_.pump_count; ++pump)
        conditions_.pump[pump] = pump_conditions(view, pump);
    conditions_.station_unknown = sight_.measured().quality == Quality::bad ? alarms_of_value : 0U;
    if (alarms_unchanged(alarms_, conditions_, inputs.people, inputs.time_ms)) return;
    conditions_.grounds = alarm_grounds(view);
    judge_alarms(alarms_, conditions_, inputs.people, settings_.pump_count, inputs.time_ms, journal, advice_);
}

}  // namespace freshet::core
