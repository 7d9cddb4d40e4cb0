// The scan; see the header.
#include "controller/core/controller.hpp"

#include <limits>

#include "controller/core/held.hpp"
#include "controller/core/step_limits.hpp"

namespace freshet::core {

namespace {

constexpr double seconds_per_ms = 1e-3;
constexpr std::int64_t second_ms = 1000;
constexpr std::int64_t figures_look_ms = 60'000;

/// Pumps that the line feeds besides the one under way.
std::size_t other_line_pumps(const Picture& picture, std::uint8_t pump) noexcept {
    const bool own = pump != no_pump && has(picture.line_side_closed, pump);
    return picture.on_line - (own ? 1U : 0U);
}

bool may_start_from(const MeasuredValue& measured, Action action) noexcept {
    if (measured.quality == Quality::good) return true;
    if (measured.quality == Quality::bad || measured.held) return false;
    // Of two that differ the safer one is taken; a value at the edge of its range is still a value. What is
    // filled calls from below its range.
    return measured.cause == Cause::disagrees || measured.cause == Cause::over_range ||
           (measured.cause == Cause::under_range && action == Action::reverse);
}

/// What carries an intention out, in the order of intentions.
constexpr std::array<Sequence, 7> sequences_of_intentions{
    Sequence::none,          Sequence::start_on_drive, Sequence::hand_over, Sequence::take_back,
    Sequence::stop_on_drive, Sequence::stop_from_line, Sequence::line_start};
static_assert(static_cast<std::size_t>(Intention::line_start) + 1 == sequences_of_intentions.size());

constexpr std::uint16_t with(std::uint16_t word, PumpAlarm code, bool on) {
    return on ? static_cast<std::uint16_t>(word | alarm_bit(code)) : word;
}

}  // namespace

Controller::Controller(const Settings& settings, const Retained* kept) noexcept
    : settings_(settings), flows_(settings), marks_(need_marks(settings)) {
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        sequencer_.pumps[pump].run_ms = settings.run_ms_initial[pump];
        sequencer_.pumps[pump].starts_total = settings.starts_initial[pump];
    }
    advice_.setpoint_m = settings.marks.setpoint_m;
    const bool judges_pressure = settings.permissives.discharge_pressure_max_m > 0;
    if (!judges_pressure || settings.measured != Measured::level) pressure_.cause = Cause::not_fitted;
    if (settings.measured == Measured::header_pressure) signals_.transmitter.back().cause = Cause::not_fitted;
    has_kept_ = kept != nullptr;
    if (has_kept_) kept_ = *kept;
}

const Advice& Controller::scan(const Inputs& inputs) noexcept {
    Journal journal(advice_, last_event_);
    if (last_time_ms_ != never_ms && inputs.time_ms < last_time_ms_) {
        journal.note(Happening::measured_quality, static_cast<std::uint8_t>(advice_.measured_quality),
                     no_pump, Reason::time_back,
                     {static_cast<double>(last_time_ms_ - inputs.time_ms), 0, 0, 0});
        return advice_;
    }
    if (last_time_ms_ == never_ms && has_kept_)
        restore(kept_, inputs.time_ms, settings_, sequencer_, alarms_);
    const std::int64_t elapsed_ms = last_time_ms_ == never_ms ? 0 : inputs.time_ms - last_time_ms_;
    last_time_ms_ = inputs.time_ms;
    // After a stall the integrals take one second at the most; timers keep the true time.
    constexpr std::int64_t integral_max_ms = 1000;
    const double elapsed_s =
        seconds_per_ms * static_cast<double>(elapsed_ms < integral_max_ms ? elapsed_ms : integral_max_ms);

    hours_due_ms_ += elapsed_ms;
    if (is_quiet(inputs)) return scan_quietly(inputs, elapsed_s);
    bool second_passed = false;
    bool stirs = look(inputs, second_passed) || stirred_;
    const Picture& picture = picture_;
    const MeasuredValue measured = judge_measured_value(signals_, inputs, settings_);
    const double need_m = need_of(settings_, measured.value_m);
    const bool high_float =
        held_for(held_.high_float_ms, picture.high_float, settings_.floats.hold_ms, picture.time_ms);
    const bool low_float_off =
        held_for(held_.low_float_ms, picture.low_float_off, settings_.floats.hold_ms, picture.time_ms);
    // The high float calls for pumps at a well, the low one at a tank that is filled. A float that says "dry"
    // (or "full") under a measured value that is good and on its other side is the one that is wrong.
    const bool empties = settings_.action == Action::direct;
    const bool float_calls = empties ? high_float : low_float_off;
    const bool float_stops = (empties ? low_float_off : high_float) &&
                             (measured.quality != Quality::good || need_m <= marks_.stop_m);
    judge_pressure(inputs);

    note_quality(inputs, measured, journal);
    drive_runs_on_ = judge_drive_runs_on(picture);
    const bool settled = settles(picture);
    const Service service = adopted_ || settled ? judge_service(picture, measured) : Service::waiting;
    if (!adopted_ && settled) advice_.service = service;  // told with what was found
    if (service != advice_.service) {
        journal.note(Happening::service, static_cast<std::uint8_t>(service), no_pump,
                     service < advice_.service ? Reason::service_better : Reason::service_worse);
        advice_.service = service;
    }
    const StationPermit permit =
        judge_permit(picture, measured, need_m, service, settled, float_calls, float_stops);

    if (stirs || second_passed) area_m2_ = store_area_m2(settings_, measured.value_m);
    const double lowest_hz = minimum_flow_hz(measured.value_m);
    SequencerInputs seen{picture, {}, lowest_hz, &inputs};
    if (sequencer_.main.step != Step::idle && row_of(sequencer_.main.step).advice.synchronise) {
        const std::int32_t closing_ms = sequencer_.main.sequence == Sequence::hand_over
                                            ? settings_.sync.line_side_closing_ms
                                            : settings_.sync.drive_side_closing_ms;
        seen.sync = read_sync(inputs.drive, inputs.line, settings_.sync, closing_ms, inputs.time_ms);
    }

    if (!adopted_ && settled) {
        adopt(picture, journal);
        stirs = true;  // what was found may have to be stopped at once
    }
    if (adopted_) {
        if (stirs || busy_) carry_on(sequencer_, seen, settings_, journal);
        protect(picture, permit, measured, journal);
        // A stop that has just ended may have left contacts that are not seen open.
        if (stirs || advice_.event_count > 0) judge_availability(picture, journal);
        follow(picture, service, need_m, lowest_hz, float_calls, elapsed_s);
        observe(picture, measured, need_m, elapsed_s, second_passed);
        if (stirs || second_passed)
            stage(picture, measured, permit, service, need_m, lowest_hz, float_calls, journal);
        advice_.demand_hz = demand_.speed_hz();
        const bool moved = stirs || busy_ || advice_.event_count > 0;
        if (moved) busy_ = must_carry_on();
        if (moved) {
            compose(sequencer_, seen, demand_.speed_hz(), settings_, advice_);
        } else if (sequencer_.drive_pump != no_pump) {
            advice_.speed_hz = speed_reference_hz(demand_.speed_hz());
        }
    } else {
        mirror(inputs, picture);
    }

    if (second_passed || stirs) keep_hours();
    if (stirs || inputs.time_ms - figures_ms_ >= figures_look_ms) keep_figures();
    const bool look_again = stirs || second_passed || advice_.event_count > 0;
    if (look_again) standing_conditions(inputs, service);
    const std::uint32_t station_alarms =
        standing_alarms_ | moving_conditions(measured, permit, need_m, high_float, low_float_off);
    const std::uint32_t unknown_alarms = measured.quality == Quality::bad ? alarms_of_value : 0U;
    // Whether a value is known changes with an event, so it is looked at then.
    if (look_again || alarms_.pending || inputs.people.asks() || inputs.time_ms >= alarms_.unshelve_ms ||
        station_alarms != conditions_.station) {
        conditions_.station = station_alarms;
        conditions_.station_unknown = unknown_alarms;
        if (!alarms_stand(alarms_, conditions_, inputs.people, settings_.pump_count, inputs.time_ms)) {
            conditions_.grounds = alarm_grounds(inputs, measured, permit);
            judge_alarms(alarms_, conditions_, inputs.people, settings_.pump_count, inputs.time_ms, journal,
                         advice_);
        }
    }
    stirred_ = advice_.event_count > 0;
    quiet_revision_ = waits_for_nothing(permit) ? inputs.revision : 0;
    quiet_need_m_ = need_m;
    advice_.minimum_flow_hz = lowest_hz;
    advice_.time_ms = inputs.time_ms;
    ++advice_.scan_count;
    return advice_;
}

/// Nothing that is read has changed and nothing waits for the time: till the next look only the demand, the
/// clock and the hours go on. A scan looked at in full would come to the same advice, which the storms prove.
bool Controller::is_quiet(const Inputs& inputs) const noexcept {
    if (inputs.revision == 0 || inputs.revision != quiet_revision_ || inputs.people.asks()) return false;
    const std::int64_t now_ms = inputs.time_ms;
    if (now_ms >= alarms_.unshelve_ms) return false;
    if (now_ms - look_ms_ >= second_ms || now_ms - figures_ms_ >= figures_look_ms) return false;
    const std::int64_t oldest_ms = now_ms - settings_.signal.stale_ms;
    // Meters of drive and line may grow old: between two looks their values count while something is under
    // way only, and a line that would become healthy by it was poor, so that nothing is settled.
    if (inputs.two_state_read_ms < oldest_ms) return false;
    if (settings_.permissives.discharge_pressure_max_m > 0 &&
        inputs.header_pressure.reading.read_ms < oldest_ms)
        return false;
    for (std::size_t i = 0; i < transmitters_max; ++i) {
        if (!settings_.level_transmitter[i].fitted) continue;
        const bool freezes = settings_.signal.freeze_ms > 0 &&
                             now_ms - signals_.transmitter[i].changed_ms > settings_.signal.freeze_ms;
        if (freezes || inputs.level[i].reading.read_ms < oldest_ms) return false;
    }
    return true;
}

const Advice& Controller::scan_quietly(const Inputs& inputs, double elapsed_s) noexcept {
    picture_.time_ms = inputs.time_ms;
    for (TransmitterRecord& record : signals_.transmitter)
        if (record.cause != Cause::not_fitted) record.believed_ms = inputs.time_ms;
    follow(picture_, advice_.service, quiet_need_m_, lowest_hz_, false, elapsed_s);
    need_sum_m_ += quiet_need_m_;
    watched_s_ += elapsed_s;
    ++needs_;
    advice_.demand_hz = demand_.speed_hz();
    if (sequencer_.drive_pump != no_pump) advice_.speed_hz = speed_reference_hz(demand_.speed_hz());
    advice_.time_ms = inputs.time_ms;
    ++advice_.scan_count;
    return advice_;
}

/// Whether every condition that a timer watches is at rest.
bool Controller::waits_for_nothing(const StationPermit& permit) const noexcept {
    const auto at_rest = [](const TransmitterRecord& record) {
        return record.cause == Cause::not_fitted || record.quality == Quality::good;
    };
    const bool pressure_at_rest = !(settings_.permissives.discharge_pressure_max_m > 0) || at_rest(pressure_);
    // A pressure is looked at in every scan. Settled: taken over, and the supply is healthy. Served with the
    // drive: no pause of the drive runs, and with every transmitter at rest the value is good. What
    // protection asks for is busy till it is done, and then asks for nothing more. A float that stops pumps
    // is one of those that are watched.
    return settings_.measured == Measured::level && permit.settled && !stirred_ && !busy_ &&
           !alarms_.pending && at_rest(signals_.transmitter[0]) && at_rest(signals_.transmitter[1]) &&
           signals_.disagree_since_ms == never_ms && advice_.service <= Service::one_transmitter &&
           held_.high_float_ms == never_ms && held_.low_float_ms == never_ms &&
           held_.drive_runs_on_ms == never_ms && held_.pressure_high_ms == never_ms && pressure_at_rest;
}

bool Controller::look(const Inputs& inputs, bool& second_passed) noexcept {
    second_passed = look_ms_ == never_ms || inputs.time_ms - look_ms_ >= second_ms;
    if (second_passed) look_ms_ = inputs.time_ms;
    const bool young = inputs.time_ms - inputs.two_state_read_ms <= settings_.signal.stale_ms;
    bool changed = false;
    if (inputs.two_state_revision == 0 || inputs.two_state_revision != seen_revision_ || !young) {
        const Picture before = picture_;
        renew_two_state(picture_, inputs, settings_);
        // What counts is whether the picture changed, so that the advice does not depend on who keeps the
        // count.
        changed = !(picture_ == before);
        seen_revision_ = young ? inputs.two_state_revision : 0;
    }
    renew_fast(picture_, inputs, settings_);
    if (second_passed || stirred_ || changed || busy_)
        changed = renew_motors(picture_, inputs, settings_) || changed;
    return changed;
}

bool Controller::must_carry_on() const noexcept {
    if (sequencer_.main.step != Step::idle) return true;
    if ((picture_.current_missing & picture_.line_side_closed) != 0) return true;
    for (std::size_t pump = 0; pump < settings_.pump_count; ++pump)
        if (sequencer_.line_stop[pump].step != Step::idle) return true;
    return false;
}

double Controller::minimum_flow_hz(double measured_m) noexcept {
    const std::uint8_t under_way =
        sequencer_.main.step != Step::idle ? sequencer_.main.pump : sequencer_.drive_pump;
    const std::size_t beside = other_line_pumps(picture_, under_way);
    if (measured_m != lowest_for_m_ || beside != lowest_beside_) {
        lowest_for_m_ = measured_m;
        lowest_beside_ = beside;
        lowest_hz_ = flows_.minimum_flow_hz(beside, measured_m);
    }
    return lowest_hz_;
}

const Tuning& Controller::tuning(std::size_t beside) noexcept {
    if (area_m2_ != tuned_area_m2_ || beside != tuned_beside_) {
        tuned_area_m2_ = area_m2_;
        tuned_beside_ = beside;
        tuning_ = arrest_tuning(flows_.flow_per_hz(beside) / area_m2_, settings_.demand.arrest_s);
    }
    return tuning_;
}

void Controller::note_quality(const Inputs& inputs, const MeasuredValue& measured,
                              Journal& journal) noexcept {
    if (measured.quality != advice_.measured_quality || measured.cause != advice_.measured_cause) {
        const Reason why = measured.quality == Quality::good        ? Reason::data_good
                           : measured.quality == Quality::uncertain ? Reason::data_uncertain
                                                                    : Reason::data_bad;
        journal.note(Happening::measured_quality, static_cast<std::uint8_t>(measured.quality), no_pump, why,
                     {measured.value_m, newest_age_ms(inputs), static_cast<double>(measured.cause), 0});
    }
    advice_.measured_m = measured.value_m;
    advice_.measured_quality = measured.quality;
    advice_.measured_cause = measured.cause;
    for (std::size_t i = 0; i < transmitters_max; ++i)
        advice_.transmitters[i] = {signals_.transmitter[i].quality, signals_.transmitter[i].cause};
}

bool Controller::judge_drive_runs_on(const Picture& picture) noexcept {
    const bool idle = sequencer_.main.step == Step::idle && sequencer_.drive_pump == no_pump;
    const bool runs_on = adopted_ && idle && picture.drive_running;
    keep_since(held_.drive_runs_on_ms, runs_on, picture.time_ms);
    return runs_on &&
           held_ms(held_.drive_runs_on_ms, picture.time_ms) >= limit_ms(Limit::drive_stop, settings_, 0);
}

double Controller::header_pressure_m() const noexcept {
    return settings_.measured == Measured::header_pressure ? signals_.transmitter[0].value_m
                                                           : pressure_.value_m;
}

/// The discharge pressure against its limit. A pressure that is not known is not judged, but alarmed: the
/// protection of the main stays in the equipment. One that is past its limit and whose reading then fails
/// upwards has not fallen.
void Controller::judge_pressure(const Inputs& inputs) noexcept {
    const double limit_m = settings_.permissives.discharge_pressure_max_m;
    if (!(limit_m > 0)) return;
    if (settings_.measured == Measured::level) {
        // A pressure may jump where water cannot, and stand still where no pump runs.
        Settings::SignalLimits limits = settings_.signal;
        constexpr double any_m_s = 1e9;
        limits.rate_max_m_s = limits.disagreement_m = any_m_s;
        limits.freeze_ms = 0;
        judge_transmitter(pressure_, inputs.header_pressure, settings_.pressure_transmitter, limits,
                          inputs.time_ms);
    }
    const TransmitterRecord& one =
        settings_.measured == Measured::level ? pressure_ : signals_.transmitter[0];
    // Deadband of a pressure, 2 % (ISA-18.2 starting point).
    constexpr double release_ratio = 0.98;
    const double mark_m = pressure_high_ ? release_ratio * limit_m : limit_m;
    const bool was_past = held_.pressure_high_ms != never_ms;
    const bool high =
        one.quality != Quality::bad ? one.value_m >= mark_m : was_past && one.cause == Cause::over_range;
    pressure_high_ = held_for(held_.pressure_high_ms, high, settings_.permissives.discharge_pressure_hold_ms,
                              inputs.time_ms);
}

Service Controller::judge_service(const Picture& picture, const MeasuredValue& measured) const noexcept {
    if (measured.usable == 0) return picture.floats_known ? Service::floats : Service::hold;
    const bool idle = sequencer_.main.step == Step::idle && sequencer_.drive_pump == no_pump;
    const bool bus_blocked = adopted_ && idle && picture.contacts_known && !drive_is_free(picture, settings_);
    if (why_no_drive(sequencer_, picture) != Permissive::none || bus_blocked || drive_runs_on_)
        return Service::fixed_speed;
    return measured.usable == measured.fitted ? Service::normal : Service::one_transmitter;
}

StationPermit Controller::judge_permit(const Picture& picture, const MeasuredValue& measured, double need_m,
                                       Service service, bool settled, bool float_calls,
                                       bool float_stops) noexcept {
    StationPermit permit;
    const std::int64_t now_ms = picture.time_ms;
    supply_lost_ = held_for(held_.supply_poor_ms, picture.line_poor, settings_.supply.lost_hold_ms, now_ms);
    permit.supply_poor = supply_lost_;
    permit.settled = settled;
    permit.low_cutoff = measured.quality != Quality::bad && need_m <= marks_.cutoff_m;
    permit.low_float = float_stops;
    permit.pressure_high = pressure_high_;
    permit.data_starts =
        service == Service::floats ? float_calls && !float_stops : may_start_from(measured, settings_.action);
    return permit;
}

void Controller::protect(const Picture& picture, const StationPermit& permit, const MeasuredValue& measured,
                         Journal& journal) noexcept {
    const std::int64_t now_ms = picture.time_ms;
    if (picture.emergency_stop)
        stop_all(sequencer_, Permissive::emergency_stop, Reason::emergency_stop, {}, now_ms, journal);
    if (permit.low_cutoff)
        stop_all(sequencer_, Permissive::low_cutoff, Reason::low_cutoff,
                 {measured.value_m, settings_.marks.low_cutoff_m, 0, 0}, now_ms, journal);
    if (permit.low_float)
        stop_all(sequencer_, Permissive::low_cutoff,
                 settings_.action == Action::direct ? Reason::low_float : Reason::high_float, {}, now_ms,
                 journal);
    if (permit.supply_poor)
        stop_all(sequencer_, Permissive::supply, Reason::supply_lost, {}, now_ms, journal);
}

void Controller::judge_availability(const Picture& picture, Journal& journal) noexcept {
    // The drive's lock-out is taken off by people at the drive: it goes through "not ready" or "tripped" and
    // back.
    if (sequencer_.drive_locked_out && picture.drive_not_ready) {
        sequencer_.drive_locked_out = false;
        sequencer_.drive_attempts = 0;
        sequencer_.latched_station = 0;
    }
    for (std::uint8_t pump = 0; pump < settings_.pump_count; ++pump) {
        PumpRecord& record = sequencer_.pumps[pump];
        const bool idle = record.state == PumpState::off || record.state == PumpState::unavailable ||
                          record.state == PumpState::locked_out;
        if (!idle) continue;
        // A pump is repaired with its selector at off (common practice): what is latched and counted against
        // it is then forgotten, and it is judged like any other. At off it may not start.
        if (has(static_cast<PumpMask>(picture.not_automatic & ~picture.hand), pump)) {
            record.attempts = 0;
            sequencer_.latched_pump[pump] = 0;
            if (record.state == PumpState::locked_out) {
                record.state = PumpState::off;
                record.event = journal.note(Happening::pump_state, static_cast<std::uint8_t>(PumpState::off),
                                            pump, Reason::selector_off, {}, record.event);
            }
        }
        if (record.state == PumpState::locked_out) continue;
        const Permissive why = why_unavailable(picture, pump);
        const PumpState state = why == Permissive::none ? PumpState::off : PumpState::unavailable;
        if (state == record.state) continue;
        record.state = state;
        const Reason reason = why == Permissive::none            ? Reason::selector_automatic
                              : why == Permissive::tripped       ? Reason::pump_tripped
                              : why != Permissive::not_automatic ? Reason::permission_lost
                              : has(picture.hand, pump)          ? Reason::selector_hand
                              : has(picture.not_automatic, pump) ? Reason::selector_off
                                                                 : Reason::permission_lost;
        record.event = journal.note(Happening::pump_state, static_cast<std::uint8_t>(state), pump, reason,
                                    {static_cast<double>(why), 0, 0, 0}, record.event);
    }
}

void Controller::follow(const Picture& picture, Service service, double need_m, double lowest_hz,
                        bool float_calls, double elapsed_s) noexcept {
    const std::uint8_t pump = sequencer_.main.step == Step::idle ? sequencer_.drive_pump : no_pump;
    if (pump == no_pump) {
        followed_pump_ = no_pump;
        return;
    }
    const std::size_t beside = other_line_pumps(picture, pump);
    // At the limit of the discharge pressure the speed is held: it may fall, and no longer rise.
    const bool held = pressure_high_ && pump == followed_pump_ && demand_.speed_hz() >= lowest_hz;
    const double highest_hz = held ? demand_.speed_hz() : settings_.drive.speed_max_hz;
    const double step_hz = settings_.demand.rate_max_hz_s * elapsed_s;
    if (pump != followed_pump_) {
        // Take up where the drive is, so that neither a start nor a take-back is felt.
        const double found_hz = picture.drive_hz_known ? picture.drive_hz : lowest_hz;
        const double speed_hz =
            found_hz < lowest_hz ? lowest_hz : (found_hz > highest_hz ? highest_hz : found_hz);
        demand_.take_up(speed_hz, need_m, tuning(beside));
        followed_pump_ = pump;
        followed_service_ = service;
        return;
    }
    if (service == Service::floats || service == Service::hold) {
        const double wanted_hz = service == Service::floats && float_calls ? highest_hz : demand_.speed_hz();
        const double speed_hz =
            wanted_hz < demand_.speed_hz() + step_hz ? wanted_hz : demand_.speed_hz() + step_hz;
        demand_.take_up(speed_hz < lowest_hz ? lowest_hz : speed_hz, need_m, {});
        followed_service_ = service;
        return;
    }
    if (service != followed_service_) {
        demand_.take_up(demand_.speed_hz(), need_m, tuning(beside));
        followed_service_ = service;
    }
    demand_.step({need_m, lowest_hz, highest_hz, elapsed_s}, tuning(beside), settings_.demand.rate_max_hz_s);
}

void Controller::observe(const Picture& picture, const MeasuredValue& measured, double need_m,
                         double elapsed_s, bool second_passed) noexcept {
    // The store moves slowly: the balance is struck once a second, on the mean of the scans between.
    if (measured.quality == Quality::good) {
        need_sum_m_ += need_m;
        watched_s_ += elapsed_s;
        ++needs_;
    }
    if (!second_passed) return;
    const PumpMask fed_by_drive =
        picture.output_closed && picture.drive_running && picture.drive_hz_known
            ? static_cast<PumpMask>(picture.drive_side_closed & ~picture.line_side_closed)
            : PumpMask{0};
    const double drive_hz = fed_by_drive != 0 ? picture.drive_hz : 0;
    const double pumped_m3s = flows_.total_m3s(picture.on_line, drive_hz, measured.value_m);
    advice_.pumped_m3s = pumped_m3s;
    if (needs_ == 0) {
        // Without a good value the inflow cannot be seen; the last figure is kept for people until it is lost
        // for good.
        if (measured.quality == Quality::bad) observer_.lose();
        return;
    }
    const double mean_m = need_sum_m_ / static_cast<double>(needs_);
    if (!observer_.known()) observer_.take_up(mean_m, pumped_m3s);
    observer_.step(mean_m, pumped_m3s, area_m2_, settings_.staging.observer_s, watched_s_);
    advice_.inflow_m3s = observer_.inflow_m3s();
    need_sum_m_ = watched_s_ = 0;
    needs_ = 0;
}

void Controller::stage(const Picture& picture, const MeasuredValue& measured, const StationPermit& permit,
                       Service service, double need_m, double lowest_hz, bool float_calls,
                       Journal& journal) noexcept {
    advice_.next = {};
    const bool stopped =
        picture.emergency_stop || permit.low_cutoff || permit.low_float || permit.supply_poor;
    if (sequencer_.main.step != Step::idle || stopped || !permit.settled) {
        staging_.since = {};
        // What was half done when everything stopped is not gone on with.
        if (stopped) staging_.start_wanted = staging_.take_back_wanted = false;
        return;
    }

    StagingInputs in;
    in.marks = marks_;
    in.permit = permit;
    in.value_m = measured.value_m;
    in.need_m = need_m;
    in.demand_hz = demand_.speed_hz();
    in.lowest_hz = lowest_hz;
    in.highest_hz = settings_.drive.speed_max_hz;
    in.service = service;
    in.float_calls = float_calls;
    in.pressure_m = header_pressure_m();
    in.inflow_known = observer_.settled(settings_.staging.observer_s);
    in.inflow_m3s = observer_.inflow_m3s();
    in.area_m2 = area_m2_;

    const Decision decision = decide(staging_, sequencer_, picture, in, flows_, settings_);
    if (decision.intention == Intention::none) return;
    if (!decision.now) {
        constexpr std::int64_t unknown = -1;
        advice_.next = {
            decision.intention, decision.pump,
            static_cast<std::int32_t>(decision.countdown_ms < 0 ? unknown : decision.countdown_ms),
            decision.why};
        return;
    }
    const Sequence sequence = sequences_of_intentions[static_cast<std::size_t>(decision.intention)];
    if (decision.intention == Intention::stop_from_line) {
        begin_line_stop(sequencer_, decision.pump, decision.why, decision.values, picture.time_ms, journal);
    } else {
        begin(sequencer_, sequence, first_step(sequence), decision.pump, decision.why, decision.values,
              picture.time_ms, journal);
        followed_pump_ = no_pump;
    }
}

/// Age of the newest reading behind the measured value, ms; NaN where there never was one.
double Controller::newest_age_ms(const Inputs& inputs) const noexcept {
    const std::int64_t read_ms = measured_read_ms(inputs, settings_);
    if (read_ms == never_ms) return std::numeric_limits<double>::quiet_NaN();
    return static_cast<double>(inputs.time_ms - read_ms);
}

AlarmGrounds Controller::alarm_grounds(const Inputs& inputs, const MeasuredValue& measured,
                                       const StationPermit& permit) const noexcept {
    AlarmGrounds grounds;
    grounds.value = {measured.value_m,
                     permit.low_cutoff ? settings_.marks.low_cutoff_m : settings_.marks.high_alarm_m, 0, 0};
    const auto bad = [&](double value_m, double age_ms, Cause cause) {
        return AlarmGrounds::Values{value_m, age_ms, static_cast<double>(cause), 0};
    };
    const bool by_level = settings_.measured == Measured::level;
    const auto of = [&](const TransmitterRecord& record, const Transmitter& seen) {
        const bool read = seen.reading.read_ms != never_ms;
        const double age_ms = read ? static_cast<double>(inputs.time_ms - seen.reading.read_ms)
                                   : std::numeric_limits<double>::quiet_NaN();
        return bad(record.value_m, age_ms, record.cause);
    };
    for (std::size_t i = 0; i < transmitters_max; ++i)
        grounds.transmitter[i] =
            of(signals_.transmitter[i], by_level ? inputs.level[i] : inputs.header_pressure);
    grounds.pressure_unknown = of(pressure_, inputs.header_pressure);
    grounds.value_bad = bad(measured.value_m, newest_age_ms(inputs), measured.cause);
    grounds.disagree = {signals_.transmitter[0].value_m, signals_.transmitter[1].value_m, 0, 0};
    grounds.pressure = {header_pressure_m(), settings_.permissives.discharge_pressure_max_m, 0, 0};
    return grounds;
}

std::uint32_t Controller::moving_conditions(const MeasuredValue& measured, const StationPermit& permit,
                                            double need_m, bool high_float,
                                            bool low_float_off) const noexcept {
    std::uint32_t word = 0;
    const auto set = [&word](StationAlarm code, bool on) { word |= on ? alarm_bit(code) : 0U; };
    const auto bad = [](const TransmitterRecord& one) {
        return one.quality == Quality::bad && one.cause != Cause::not_fitted;
    };
    const bool known = measured.quality != Quality::bad;
    const bool was_high = (alarms_.station.active & alarm_bit(StationAlarm::value_high)) != 0;
    const double high_m = was_high ? marks_.high_m - marks_.deadband_m : marks_.high_m;
    set(StationAlarm::value_high, known && need_m >= high_m);
    set(StationAlarm::value_low_cutoff, permit.low_cutoff);
    set(StationAlarm::high_float,
        high_float && !(settings_.action == Action::reverse && measured.quality == Quality::good &&
                        need_m > marks_.stop_m));
    const bool stops = settings_.action == Action::direct ? low_float_off : high_float;
    const bool contradicts = stops && measured.quality == Quality::good && need_m > marks_.stop_m;
    set(StationAlarm::discharge_pressure_high, pressure_high_);
    set(StationAlarm::discharge_pressure_unknown, bad(pressure_));
    set(StationAlarm::low_float, low_float_off && !(contradicts && settings_.action == Action::direct));
    set(StationAlarm::low_float_contradicts, contradicts);
    set(StationAlarm::transmitter_1, bad(signals_.transmitter[0]));
    set(StationAlarm::transmitter_2, bad(signals_.transmitter[1]));
    set(StationAlarm::transmitters_disagree, measured.disagree);
    set(StationAlarm::value_bad, !known);
    set(StationAlarm::supply, supply_lost_);
    if (known && need_m >= marks_.start_m && adopted_ && sequencer_.main.step == Step::idle) {
        const bool running = picture_.on_line != 0 || sequencer_.drive_pump != no_pump;
        bool one_left = false;
        for (std::size_t pump = 0; pump < settings_.pump_count; ++pump)
            one_left = one_left || sequencer_.pumps[pump].state == PumpState::off;
        set(StationAlarm::all_pumps_running, running && !one_left && need_m >= marks_.stage_up_m);
        set(StationAlarm::no_pump_available, !running && !one_left);
    }
    return word;
}

void Controller::standing_conditions(const Inputs& inputs, Service service) noexcept {
    std::uint32_t word = sequencer_.latched_station;
    const auto set = [&word](StationAlarm code, bool on) { word |= on ? alarm_bit(code) : 0U; };
    set(StationAlarm::drive_tripped, picture_.drive_tripped);
    set(StationAlarm::drive_not_ready, picture_.drive_not_ready);
    set(StationAlarm::drive_locked_out, sequencer_.drive_locked_out);
    set(StationAlarm::link_lost, inputs.drive.running.cause == Cause::link_lost);
    set(StationAlarm::emergency_stop, picture_.emergency_stop);
    set(StationAlarm::drive_does_not_stop, drive_runs_on_);
    set(StationAlarm::picture_inconsistent, !(picture_.contacts_known && picture_.drive_known));
    set(StationAlarm::fixed_speed_service, adopted_ && service == Service::fixed_speed);
    standing_alarms_ = word;

    for (std::size_t pump = 0; pump < settings_.pump_count; ++pump) {
        const PumpRecord& record = sequencer_.pumps[pump];
        const bool idle = record.state == PumpState::off || record.state == PumpState::unavailable ||
                          record.state == PumpState::locked_out;
        const bool starts_spent =
            record.state == PumpState::off &&
            !record.starts.admits(settings_.permissives.starts_per_hour_max, inputs.time_ms);
        const bool unadvised =
            adopted_ && idle && has(picture_.line_side_closed, pump) && !has(picture_.hand, pump);
        std::uint16_t one = sequencer_.latched_pump[pump];
        one = with(one, PumpAlarm::tripped, has(picture_.tripped, pump));
        one = with(one, PumpAlarm::seal_leak, has(picture_.seal_leak, pump));
        one = with(one, PumpAlarm::winding_hot, has(picture_.hot, pump));
        one = with(one, PumpAlarm::locked_out, record.state == PumpState::locked_out);
        one = with(one, PumpAlarm::starts_limit, starts_spent);
        one = with(one, PumpAlarm::runs_unadvised, unadvised);
        conditions_.pump[pump] = one;
    }
}

void Controller::keep_hours() noexcept {
    // A steady run is not carried on: what ends it may be the first that stirs for hours.
    note_fed(sequencer_, picture_);
    for (std::size_t pump = 0; pump < settings_.pump_count; ++pump)
        if (has(sequencer_.fed, pump)) sequencer_.pumps[pump].run_ms += hours_due_ms_;
    hours_due_ms_ = 0;
}

void Controller::keep_figures() noexcept {
    figures_ms_ = picture_.time_ms;
    for (std::size_t pump = 0; pump < settings_.pump_count; ++pump) {
        const PumpRecord& record = sequencer_.pumps[pump];
        advice_.figures[pump] = {record.run_ms, record.starts_total, record.line_starts_total,
                                 record.starts.within_hour(picture_.time_ms)};
    }
}

}  // namespace freshet::core
