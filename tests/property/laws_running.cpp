// Laws 5 to 7 and 11: when a pump must stop, how long and how often it may run, which data may start a pump,
// and who permits a start after an emergency stop.
// One reason to change: a law about running.
#include "tests/property/laws_case.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "controller/core/store.hpp"

namespace freshet::laws {

using core::Event;
using core::EventKind;
using core::Reason;

namespace {

constexpr std::int64_t for_ever_ms = std::numeric_limits<std::int64_t>::max();

/// Whether staging stops a pump for this reason. Staging keeps the minimum run. Protection does not.
bool is_staging(Reason why) {
    switch (why) {
        case Reason::demand_at_bottom:
        case Reason::value_past_stop:
        case Reason::drawn_down:
        case Reason::vessel_charged:
        case Reason::well_drawn_down:
        case Reason::band_ridden:
        case Reason::exercise_due:
        case Reason::run_longest:
        case Reason::forecast_empty:
        case Reason::pressure_high:
        case Reason::no_delivery:
        case Reason::last_inflow:
        case Reason::confirmed:
        case Reason::in_sync:
        case Reason::none:
            return true;
        default:
            return false;
    }
}

/// Whether the inputs show the protective reason for the stop of a steadily running pump.
bool inputs_show(const Case& at, Reason why, std::size_t p) {
    const core::PumpInputs& pump = at.in.pumps[p];
    const core::DriveInputs& drive = at.in.drive;
    const double running_a = 0.1 * at.settings.rated_current_a;
    switch (why) {
        case Reason::emergency_stop:
            return at.on(at.in.emergency_stop);
        case Reason::low_cutoff:
            return at.need_m(at.advice.measured_m) <= at.need_m(at.settings.marks.low_cutoff_m);
        case Reason::low_float:
        case Reason::high_float:
            return at.float_stops();
        case Reason::supply_lost:
            return at.supply_poor();
        case Reason::pumps_max_reached:
            return at.running_pumps() > (at.on(at.in.line.on_generator)
                                             ? at.settings.permissives.pumps_max_on_generator
                                             : at.settings.permissives.pumps_max_on_line);
        case Reason::pump_tripped:
            return at.on(pump.tripped);
        case Reason::selector_hand:
        case Reason::selector_off:
            return at.permission_lost(p);
        case Reason::drive_tripped:
            return at.on(drive.tripped);
        case Reason::drive_not_ready:
            return at.off(drive.ready);
        case Reason::drive_lost:
            return !at.on(drive.running) || !at.off(pump.line_side_closed) || (at.was.drive_side != 0);
        case Reason::contact_contradicts:
            return !at.on(pump.line_side_closed) || !at.on(pump.drive_side_closed) ||
                   !at.on(drive.output_closed) ||
                   (at.on(pump.line_side_closed) && at.on(pump.drive_side_closed));
        case Reason::current_missing:
            return at.known(pump.current_a) && pump.current_a.value < running_a;
        default:
            return false;
    }
}

/// Limits the starts in succession where the station states a limit: some from cold, fewer from warm, and
/// then the motor must rest. A long run leaves the motor evenly warm, as a rest does.
void law_6_succession(const Case& at, std::size_t p, std::int64_t rest_ms, std::int64_t ran_ms) {
    const Settings::Succession& limits = at.settings.succession;
    if (limits.cold_starts_max == 0) return;
    PumpHistory& past = at.history.pumps[p];
    const bool rested = rest_ms >= limits.rest_ms || rest_ms >= limits.cool_ms;
    if (rested || ran_ms >= limits.even_run_ms) {
        past.series = 0;
        past.series_from_cold = rest_ms >= limits.cool_ms;
    }
    if (!bit(at.now.line_side, p) && !limits.drive_starts_count) return;
    const int most = past.series_from_cold ? limits.cold_starts_max : limits.warm_starts_max;
    if (++past.series > most)
        at.breaks(6,
                  "pump %d: start %d in succession, %d are allowed; it rested %ld ms, and ran %ld ms before",
                  static_cast<int>(p) + 1, past.series, most, static_cast<long>(rest_ms),
                  static_cast<long>(ran_ms));
}

/// Whether one transmitter alone gives a value that may start a pump. Updates the history of the transmitter.
bool is_plausible(const Case& at, std::size_t i) {
    TransmitterHistory& past = at.history.transmitter[i];
    const bool level = at.settings.measured == core::Measured::level;
    const core::TransmitterSettings& range =
        level ? at.settings.level_transmitter[i] : at.settings.pressure_transmitter;
    if (!range.fitted || (!level && i > 0)) return false;
    const core::Transmitter& seen = level ? at.in.level[i] : at.in.header_pressure;
    const bool by_loop = !std::isnan(seen.loop_ma);
    constexpr double failed_low_ma = 3.6;  // NAMUR NE 43
    constexpr double failed_high_ma = 21.0;
    const bool silent = seen.reading.quality == Quality::bad || !at.young(seen.reading.age_ms);
    if (silent || (by_loop && !(seen.loop_ma > failed_low_ma && seen.loop_ma < failed_high_ma))) {
        past = {};
        return false;
    }
    const double value_m = by_loop ? range.value_at_4ma_m + (range.value_at_20ma_m - range.value_at_4ma_m) *
                                                                (seen.loop_ma - 4) / 16
                                   : seen.reading.value;
    const Settings::SignalLimits& limits = at.settings.signal;
    if (past.value_ms != never_ms) {
        const double elapsed_s = 1e-3 * static_cast<double>(at.time_ms - past.value_ms);
        constexpr double rounding = 1e-9;
        if (std::abs(value_m - past.value_m) >
            limits.disagreement_m + limits.rate_max_m_s * elapsed_s + rounding) {
            if (past.implausible_ms == never_ms) past.implausible_ms = at.time_ms;
            if (at.time_ms - past.implausible_ms < limits.fault_hold_ms) return false;
        }
    }
    past = {value_m, at.time_ms, never_ms};
    return true;
}

/// The water has reached the stage-up mark, or a float calls for pumps.
bool water_calls(const Case& at) {
    const bool known = at.advice.measured_quality != Quality::bad;
    return at.float_calls() ||
           (known && at.need_m(at.advice.measured_m) >= at.need_m(at.settings.marks.stage_up_m));
}

/// Whether a pump stops for protection or on a poor supply, or its stop was not seen. A pump that runs by
/// advice loses the mark.
void update_involuntary(const Case& at, std::size_t p, bool adopting) {
    PumpHistory& past = at.history.pumps[p];
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (event.what == EventKind::sequence_begun && event.pump == p)
            past.started_for_water = water_calls(at);
    }
    const core::PumpInputs& seen = at.in.pumps[p];
    if (adopting && at.off(seen.drive_side_closed) && at.off(seen.line_side_closed))
        past.stopped_involuntarily = true;
    const bool low = at.advice.measured_quality != Quality::bad &&
                     at.need_m(at.advice.measured_m) <= at.need_m(at.settings.marks.low_cutoff_m);
    const bool grounds = at.on(at.in.emergency_stop) || low || at.float_stops() || at.supply_poor();
    if (at.now.state[p] == core::PumpState::stopping)
        past.stopped_involuntarily = past.stopped_involuntarily || grounds;
    else if (advised_fed(at.now, p) && advised_fed(at.was, p))
        past.stopped_involuntarily = false;
}

/// Renews the water above the stop mark that was proven, and that the pumps cannot have taken yet. They surely
/// took half of their minimum flow.
void keep_proven_water(const Case& at, bool both_good, double need_m) {
    History& past = at.history;
    constexpr double s_per_ms = 1e-3, half = 0.5;
    const double elapsed_s =
        past.proven_ms == never_ms ? 0 : s_per_ms * static_cast<double>(at.time_ms - past.proven_ms);
    past.proven_ms = at.time_ms;
    past.proven_m3 -= half * at.settings.minimum_flow_m3s * elapsed_s * at.running_pumps();
    const double stop_m3 = core::need_volume_m3(at.settings, at.settings.marks.stop_m);
    const auto prove = [&](double value_m) {
        past.proven_m3 = std::max(past.proven_m3, core::need_volume_m3(at.settings, value_m) - stop_m3);
    };
    if (at.float_calls()) prove(at.settings.marks.stage_up_m);
    if (both_good && need_m > at.need_m(at.settings.marks.stop_m)) prove(at.advice.measured_m);
    const bool value_high =
        at.advice.measured_quality != Quality::bad && need_m >= at.need_m(at.settings.marks.stage_up_m);
    if (!at.float_stops()) past.float_disproved = false;
    if (at.float_stops() && at.float_calls() && value_high) past.float_disproved = true;
}

}  // namespace

void law_5(const Case& at) {
    History& past = at.history;
    const bool run_advised = at.now.drive_run || at.now.line_side != 0;
    const auto since = [&](std::int64_t& since_ms, bool holds) {
        if (!holds) {
            since_ms = never_ms;
            return std::int64_t{-1};
        }
        if (since_ms == never_ms) since_ms = at.time_ms;
        return at.time_ms - since_ms;
    };
    const std::int64_t low_float_ms = since(past.low_float_ms, at.settings.floats.fitted && at.float_stops());
    const std::int64_t poor_ms = since(past.supply_poor_ms, at.supply_poor());
    const bool value_good = at.advice.measured_quality == Quality::good;
    const bool value_known = at.advice.measured_quality != Quality::bad;
    const double need_m = at.need_m(at.advice.measured_m);
    const bool both_good = value_good && at.advice.transmitters[0].quality == Quality::good &&
                           at.advice.transmitters[1].quality == Quality::good;
    keep_proven_water(at, both_good, need_m);
    if (!run_advised) return;
    if (at.on(at.in.emergency_stop))
        at.breaks(5, "run advised in an emergency stop, line sides %d, drive %d", at.now.line_side,
                  at.now.drive_run ? 1 : 0);
    const bool stopping_float_read =
        at.float_stops() ||
        (at.settings.action == core::Action::direct ? at.on(at.in.low_float) : at.off(at.in.high_float));
    const bool float_outvotes_value = at.settings.floats.fitted && at.float_calls() && !both_good &&
                                      stopping_float_read && low_float_ms < at.settings.floats.hold_ms;
    if (value_known && need_m <= at.need_m(at.settings.marks.low_cutoff_m) && !float_outvotes_value)
        at.breaks(5, "run advised at %.3f m, which has reached the low cut-off %.3f m", at.advice.measured_m,
                  at.settings.marks.low_cutoff_m);
    const bool value_needs = value_known && need_m > at.need_m(at.settings.marks.stop_m);
    const bool outvoted =
        at.float_calls() ||
        (value_needs && (both_good || at.history.proven_m3 > 0 || at.history.float_disproved));
    if (low_float_ms >= at.settings.floats.hold_ms && !outvoted)
        at.breaks(5, "run advised %ld ms after the float called for a stop", static_cast<long>(low_float_ms));
    if (poor_ms >= at.settings.supply.lost_hold_ms)
        at.breaks(5, "run advised on a supply that was poor for %ld ms", static_cast<long>(poor_ms));
    for (std::size_t p = 0; p < at.settings.pump_count; ++p)
        if (at.permission_lost(p) &&
            (bit(at.now.line_side, p) || (bit(at.now.drive_side, p) && at.now.drive_run)))
            at.breaks(5, "pump %d has no permission: line side %d, drive side %d, drive %d, step %d",
                      static_cast<int>(p) + 1, bit(at.now.line_side, p) ? 1 : 0,
                      bit(at.now.drive_side, p) ? 1 : 0, at.now.drive_run ? 1 : 0,
                      static_cast<int>(at.now.step));
}

namespace {

/// The sequences that begin: transfers within the limit of the hour, and stops after the minimum run.
void law_6_begun(const Case& at) {
    const Settings::Permissives& limits = at.settings.permissives;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (event.what != EventKind::sequence_begun) continue;
        const auto begun = static_cast<Sequence>(event.detail);
        if (begun == Sequence::hand_over || begun == Sequence::take_back) {
            at.history.transfers.note(at.time_ms);
            const int transfers = at.history.transfers.within_hour(at.time_ms);
            if (transfers > limits.transfers_per_hour_max &&
                !at.yielded(core::Permissive::transfers_limit, event.pump))
                at.breaks(6, "%d transfers within the hour", transfers);
        }
        if ((begun == Sequence::stop_on_drive || begun == Sequence::stop_from_line) &&
            event.pump != no_pump) {
            const PumpHistory& past = at.history.pumps[event.pump];
            const std::int64_t run_ms = past.started_ms == never_ms ? hour_ms : at.time_ms - past.started_ms;
            if (run_ms >= limits.run_min_ms || at.yielded(core::Permissive::minimum_run, event.pump))
                continue;
            if (is_staging(event.why))
                at.breaks(6, "pump %d stopped by staging after a run of %ld ms", event.pump + 1,
                          static_cast<long>(run_ms));
            else if (!inputs_show(at, event.why, event.pump))
                at.breaks(6,
                          "pump %d stopped after a run of %ld ms for reason %d, which the inputs do not show",
                          event.pump + 1, static_cast<long>(run_ms), static_cast<int>(event.why));
        }
    }
}

}  // namespace

void law_6(const Case& at, bool adopting) {
    const Settings::Permissives& limits = at.settings.permissives;
    if (!adopting) law_6_begun(at);
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        PumpHistory& past = at.history.pumps[p];
        update_involuntary(at, p, adopting);
        const bool fed = advised_fed(at.now, p);
        const bool was_fed = advised_fed(at.was, p);
        if (fed == was_fed) continue;
        const auto number = static_cast<int>(p) + 1;
        if (!fed) {
            const bool stopping =
                at.was.sequence == Sequence::stop_on_drive || at.was.sequence == Sequence::stop_from_line;
            const std::int64_t run_ms = past.started_ms == never_ms ? hour_ms : at.time_ms - past.started_ms;
            if (stopping || run_ms >= limits.run_min_ms || at.yielded(core::Permissive::minimum_run, p))
                continue;
            const Event* last = nullptr;
            for (std::size_t i = 0; i < at.advice.event_count; ++i) {
                const Event& event = at.advice.events[i];
                if ((event.what == EventKind::step_entered || event.what == EventKind::pump_state) &&
                    event.pump == p)
                    last = &event;
            }
            if (last != nullptr && is_staging(last->why))
                at.breaks(6, "pump %d stopped after a run of %ld ms without a failure, step %d", number,
                          static_cast<long>(run_ms), last->detail);
            continue;
        }
        if (adopting) continue;
        const std::int64_t rest_ms =
            past.seen_fed_ms == never_ms ? for_ever_ms : at.time_ms - past.seen_fed_ms;
        const bool ran = past.started_ms != never_ms && past.fed_ms != never_ms;
        law_6_succession(at, p, rest_ms, ran ? past.fed_ms - past.started_ms : 0);
        past.started_ms = at.time_ms;
        if (at.now.state[p] != core::PumpState::starting)
            at.breaks(6, "pump %d advised energised outside a start, step %d", number,
                      static_cast<int>(at.now.step));
        past.starts.note(at.time_ms);
        const int starts = past.starts.within_hour(at.time_ms);
        if (starts > limits.starts_per_hour_max && !at.yielded(core::Permissive::starts_limit, p))
            at.breaks(6, "pump %d: %d starts within the hour", number, starts);
        const bool ends_early = past.stopped_involuntarily && past.started_for_water;
        if (rest_ms < (ends_early ? limits.residual_voltage_ms : limits.rest_min_ms) &&
            !at.yielded(core::Permissive::resting, p))
            at.breaks(6, "pump %d started after a rest of %ld ms", number, static_cast<long>(rest_ms));
    }
}

void law_7(const Case& at, bool adopting) {
    const bool first = is_plausible(at, 0);
    const bool second = is_plausible(at, 1);
    const bool high = at.settings.floats.fitted && at.float_calls();
    std::int64_t& since_ms = at.history.high_float_ms;
    since_ms = !high ? never_ms : (since_ms == never_ms ? at.time_ms : since_ms);
    if (at.advice.measured_quality == Quality::good) at.history.good_ms = at.time_ms;
    if (adopting || first || second) return;
    const bool held = high && at.time_ms - since_ms >= at.settings.floats.hold_ms;
    if (held) return;
    constexpr std::int64_t inflow_lasts_ms = 301'000;  // and the second of a balance
    const bool inflow_fresh = at.history.good_ms != never_ms &&
                              at.time_ms - at.history.good_ms <= inflow_lasts_ms && !at.float_stops();
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        const auto begun = static_cast<Sequence>(event.detail);
        if (event.why == Reason::last_inflow && inflow_fresh) continue;
        if (event.what == EventKind::sequence_begun &&
            (begun == Sequence::start_on_drive || begun == Sequence::line_start))
            at.breaks(7, "pump %d started without a plausible reading or a held float, reason %d",
                      event.pump + 1, static_cast<int>(event.why));
    }
}

void law_14(const Case& at, bool adopting) {
    History& past = at.history;
    const bool pressed = past.button_let_go && at.on(at.in.emergency_stop_reset);
    if (at.on(at.in.emergency_stop_reset)) past.button_let_go = false;
    if (at.off(at.in.emergency_stop_reset)) past.button_let_go = true;
    const bool released = at.off(at.in.emergency_stop);
    if (past.released && released && (pressed || at.in.people.reset_emergency_stop)) past.stopped = false;
    if (at.on(at.in.emergency_stop)) past.stopped = true;
    past.released = past.stopped && !at.on(at.in.emergency_stop) && (past.released || released);
    if (!past.stopped || adopting) return;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        const auto begun = static_cast<Sequence>(event.detail);
        if (event.what == EventKind::sequence_begun &&
            (begun == Sequence::start_on_drive || begun == Sequence::line_start))
            at.breaks(14, "pump %d started after an emergency stop that nobody has reset", event.pump + 1);
    }
}

}  // namespace freshet::laws
