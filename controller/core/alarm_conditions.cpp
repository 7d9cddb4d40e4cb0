// The alarms' conditions as tables, a row for each alarm; see the header.
//
// The compiler unrolls the tables, so that a scan judges them without a loop or an indirect call.
#include "controller/core/alarm_conditions.hpp"

#include <limits>
#include <utility>

#include "controller/core/sequences.hpp"

namespace freshet::core {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
/// The alarm carries no values. The events before the alarm show its cause.
constexpr AlarmValues not_known{nan, nan, nan, nan};

bool is_bad(const TransmitterRecord& one) noexcept {
    return one.quality == Quality::bad && one.cause != Cause::not_fitted;
}
bool is_known(const AlarmView& at) noexcept {
    return at.sight.measured().quality != Quality::bad;
}
bool empties(const AlarmView& at) noexcept {
    return at.settings.action == Action::direct;
}

/// The need is at the high mark or past it. The alarm returns when the need is a deadband below the mark.
bool value_is_high(const AlarmView& at) noexcept {
    const bool was_high = (at.active & alarm_bit(StationAlarm::value_high)) != 0;
    const double mark_m = was_high ? at.marks.high_m - at.marks.deadband_m : at.marks.high_m;
    return is_known(at) && at.sight.need_m >= mark_m;
}

/// The first transmitter that another witness contradicts; none when there is no such transmitter.
Contradiction contradiction_of(const AlarmView& at) noexcept {
    for (const TransmitterRecord& one : at.sight.signals.transmitter)
        if (is_contradicted(one)) return one.contradiction;
    return Contradiction::none;
}
/// The row of the vote is a contradiction, or a transmitter is contradicted. Transmitters that differ have an
/// alarm of their own.
bool witnesses_contradict(const AlarmView& at) noexcept {
    const VoteRow& row = votes[static_cast<std::size_t>(at.sight.floats.vote)];
    return (row.contradiction && row.code != Vote::level_differs) || at.sight.witness.call_disproved ||
           contradiction_of(at) != Contradiction::none;
}
/// The float that stops pumps has operated, and other witnesses outvote the float.
bool stopping_float_is_outvoted(const AlarmView& at) noexcept {
    return at.sight.floats.operated && !at.sight.floats.stops;
}

/// The need has reached the start mark and `mark_m`, and neither a main sequence nor a line start is under
/// way.
bool wants_more(const AlarmView& at, double mark_m) noexcept {
    return is_known(at) && at.sight.need_m >= at.marks.start_m && at.sight.need_m >= mark_m && at.adopted &&
           at.sequencer.main.step == Step::idle && line_starting_pump(at.sequencer) == no_pump;
}
bool any_runs(const AlarmView& at) noexcept {
    return at.sight.picture.on_line != 0 || at.sequencer.drive_pump != no_pump;
}
bool any_is_off(const AlarmView& at) noexcept {
    for (std::size_t pump = 0; pump < at.settings.pump_count; ++pump)
        if (at.sequencer.pumps[pump].state == PumpState::off) return true;
    return false;
}

/// Age of a reading, ms; NaN when there never was a reading.
double age_of(const Analog& signal) noexcept {
    return signal.age_ms == never_read_ms ? nan : static_cast<double>(signal.age_ms);
}
AlarmValues values_of(const TransmitterRecord& record, const Transmitter& seen) noexcept {
    return {record.value_m, age_of(seen.reading), static_cast<double>(record.cause), 0};
}
const Transmitter& transmitter(const AlarmView& at, std::size_t i) noexcept {
    return at.settings.measured == Measured::level ? at.inputs.level[i] : at.inputs.header_pressure;
}

/// A condition that only a time-out of the sequencer raises. The alarm stays latched until a later sequence
/// proves the equipment in order.
bool only_latched(const AlarmView&) noexcept {
    return false;
}
AlarmValues in_the_events(const AlarmView&) noexcept {
    return not_known;
}

struct StationRow {
    StationAlarm code;
    bool (*holds)(const AlarmView&) noexcept;
    AlarmValues (*values)(const AlarmView&) noexcept;
};

using View = const AlarmView&;

constexpr std::array<StationRow, station_alarm_count> station_rows{{
    {StationAlarm::value_high, &value_is_high,
     [](View at) noexcept {
         return AlarmValues{at.sight.measured().value_m, at.settings.marks.high_alarm_m, 0, 0};
     }},
    // At a tank, a high float that other witnesses outvote raises witnesses_contradict instead.
    {StationAlarm::high_float,
     [](View at) noexcept {
         return at.sight.floats.high && (empties(at) || !stopping_float_is_outvoted(at));
     },
     &in_the_events},
    {StationAlarm::value_low_cutoff, [](View at) noexcept { return at.permit.low_cutoff; },
     [](View at) noexcept {
         return AlarmValues{at.sight.measured().value_m, at.settings.marks.low_cutoff_m, 0, 0};
     }},
    {StationAlarm::low_float,
     [](View at) noexcept {
         return at.sight.floats.low_off && !(empties(at) && stopping_float_is_outvoted(at));
     },
     &in_the_events},
    {StationAlarm::transmitter_1, [](View at) noexcept { return is_bad(at.sight.signals.transmitter[0]); },
     [](View at) noexcept { return values_of(at.sight.signals.transmitter[0], transmitter(at, 0)); }},
    {StationAlarm::transmitter_2, [](View at) noexcept { return is_bad(at.sight.signals.transmitter[1]); },
     [](View at) noexcept { return values_of(at.sight.signals.transmitter[1], transmitter(at, 1)); }},
    {StationAlarm::transmitters_disagree, [](View at) noexcept { return at.sight.measured().disagree; },
     [](View at) noexcept {
         return AlarmValues{at.sight.signals.transmitter[0].value_m, at.sight.signals.transmitter[1].value_m,
                            0, 0};
     }},
    {StationAlarm::value_bad, [](View at) noexcept { return !is_known(at); },
     [](View at) noexcept {
         return AlarmValues{at.sight.measured().value_m, newest_age_ms(at.inputs, at.settings),
                            static_cast<double>(at.sight.measured().cause), 0};
     }},
    {StationAlarm::drive_tripped, [](View at) noexcept { return at.sight.picture.drive_tripped; },
     &in_the_events},
    {StationAlarm::drive_not_ready, [](View at) noexcept { return at.sight.picture.drive_not_ready; },
     &in_the_events},
    {StationAlarm::drive_locked_out, [](View at) noexcept { return at.sequencer.drive_locked_out; },
     &in_the_events},
    {StationAlarm::output_does_not_close, &only_latched, &in_the_events},
    {StationAlarm::output_does_not_open, &only_latched, &in_the_events},
    {StationAlarm::drive_does_not_run, &only_latched, &in_the_events},
    {StationAlarm::drive_does_not_stop, [](View at) noexcept { return at.drive.keeps_running; },
     &in_the_events},
    {StationAlarm::not_in_sync, &only_latched, &in_the_events},
    {StationAlarm::sync_check_disagrees, &only_latched, &in_the_events},
    {StationAlarm::link_lost,
     [](View at) noexcept { return at.inputs.drive.running.cause == Cause::link_lost; }, &in_the_events},
    {StationAlarm::supply, [](View at) noexcept { return at.permit.supply_poor; }, &in_the_events},
    {StationAlarm::emergency_stop, [](View at) noexcept { return at.sight.picture.emergency_stop; },
     &in_the_events},
    {StationAlarm::all_pumps_running,
     [](View at) noexcept { return wants_more(at, at.marks.stage_up_m) && any_runs(at) && !any_is_off(at); },
     &in_the_events},
    {StationAlarm::no_pump_available,
     [](View at) noexcept { return wants_more(at, at.marks.start_m) && !any_runs(at) && !any_is_off(at); },
     &in_the_events},
    {StationAlarm::fixed_speed_service,
     [](View at) noexcept { return at.adopted && at.service == Service::fixed_speed; }, &in_the_events},
    {StationAlarm::witnesses_contradict, &witnesses_contradict,
     [](View at) noexcept {
         return AlarmValues{static_cast<double>(at.sight.floats.vote),
                            static_cast<double>(contradiction_of(at)), at.sight.measured().value_m, 0};
     }},
    {StationAlarm::restarted_in_transfer, &only_latched, &in_the_events},
    {StationAlarm::picture_inconsistent,
     [](View at) noexcept { return !(at.sight.picture.contacts_known && at.sight.picture.drive_known); },
     &in_the_events},
    {StationAlarm::discharge_pressure_high, [](View at) noexcept { return at.sight.pressure.high; },
     [](View at) noexcept {
         return AlarmValues{at.sight.pressure.pressure_m, at.settings.permissives.discharge_pressure_max_m, 0,
                            0};
     }},
    {StationAlarm::discharge_pressure_unknown,
     [](View at) noexcept { return is_bad(at.sight.pressure.transmitter); },
     [](View at) noexcept { return values_of(at.sight.pressure.transmitter, at.inputs.header_pressure); }},
    {StationAlarm::limit_refuses, [](View at) noexcept { return at.staging.refusal.why != Permissive::none; },
     [](View at) noexcept {
         return AlarmValues{static_cast<double>(at.staging.refusal.why),
                            static_cast<double>(at.staging.refusal.wait_ms), 0, 0};
     }},
    {StationAlarm::limit_yields, [](View at) noexcept { return at.staging.yielding != Permissive::none; },
     [](View at) noexcept {
         return AlarmValues{static_cast<double>(at.staging.yielding), 0, 0, 0};
     }},
    {StationAlarm::reset_awaited,
     [](View at) noexcept { return at.sequencer.emergency_stop.state == StopState::awaits_reset; },
     &in_the_events},
}};
static_assert(audit::is_in_order(station_rows, &StationRow::code),
              "every alarm of the station needs its condition, in the order of the codes");

struct PumpRow {
    PumpAlarm code;
    bool (*holds)(const AlarmView&, std::size_t pump) noexcept;
    Permissive behind = Permissive::none;  ///< the value of the alarm; none: the events show the cause
};

bool latched_of_pump(const AlarmView&, std::size_t) noexcept {
    return false;
}
/// The line-side contactor is closed although the pump should be idle and its selector is not at hand.
bool runs_unadvised(const AlarmView& at, std::size_t pump) noexcept {
    const Picture& picture = at.sight.picture;
    return at.adopted && is_idle(at.sequencer.pumps[pump].state) && has(picture.line_side_closed, pump) &&
           !has(picture.hand, pump);
}
bool starts_are_spent(const AlarmView& at, std::size_t pump) noexcept {
    const PumpRecord& record = at.sequencer.pumps[pump];
    return record.state == PumpState::off &&
           !record.starts.allows(at.settings.permissives.starts_per_hour_max, at.inputs.time_ms);
}

constexpr std::array<PumpRow, pump_alarm_count> pump_rows{{
    {PumpAlarm::tripped, [](View at, std::size_t p) noexcept { return has(at.sight.picture.tripped, p); }},
    {PumpAlarm::drive_side_does_not_close, &latched_of_pump},
    {PumpAlarm::drive_side_does_not_open, &latched_of_pump},
    {PumpAlarm::line_side_does_not_close, &latched_of_pump},
    {PumpAlarm::line_side_does_not_open, &latched_of_pump},
    {PumpAlarm::not_running, &latched_of_pump},
    {PumpAlarm::locked_out,
     [](View at, std::size_t p) noexcept { return at.sequencer.pumps[p].state == PumpState::locked_out; }},
    {PumpAlarm::starts_limit, &starts_are_spent, Permissive::starts_limit},
    {PumpAlarm::seal_leak, [](View at, std::size_t p) noexcept { return has(at.sight.picture.seal_leak, p); },
     Permissive::seal_leak},
    {PumpAlarm::winding_hot, [](View at, std::size_t p) noexcept { return has(at.sight.picture.hot, p); },
     Permissive::winding_hot},
    {PumpAlarm::runs_unadvised, &runs_unadvised},
    {PumpAlarm::hand_over_failed, &latched_of_pump},
    {PumpAlarm::take_back_failed, &latched_of_pump},
    {PumpAlarm::no_delivery, &latched_of_pump},
    {PumpAlarm::flow_back, &latched_of_pump},
    {PumpAlarm::flow_lost, [](View at, std::size_t p) noexcept { return has(at.delivery.lost, p); }},
}};
static_assert(audit::is_in_order(pump_rows, &PumpRow::code),
              "every alarm of a pump needs its condition, in the order of the codes");

template <std::size_t... I>
std::uint32_t judged_station(const AlarmView& view, std::index_sequence<I...>) noexcept {
    return ((station_rows[I].holds(view) ? alarm_bit(station_rows[I].code) : 0U) | ...);
}

template <std::size_t... I>
std::uint16_t judged_pump(const AlarmView& view, std::size_t pump, std::index_sequence<I...>) noexcept {
    return static_cast<std::uint16_t>(
        ((pump_rows[I].holds(view, pump) ? unsigned{alarm_bit(pump_rows[I].code)} : 0U) | ...));
}

}  // namespace

std::uint32_t station_conditions(const AlarmView& view) noexcept {
    return view.sequencer.latched_station |
           judged_station(view, std::make_index_sequence<station_alarm_count>{});
}

std::uint16_t pump_conditions(const AlarmView& view, std::size_t pump) noexcept {
    return static_cast<std::uint16_t>(view.sequencer.latched_pump[pump] |
                                      judged_pump(view, pump, std::make_index_sequence<pump_alarm_count>{}));
}

AlarmGrounds alarm_grounds(const AlarmView& view) noexcept {
    AlarmGrounds grounds;
    for (std::size_t i = 0; i < station_alarm_count; ++i) grounds.station[i] = station_rows[i].values(view);
    for (std::size_t i = 0; i < pump_alarm_count; ++i) {
        const Permissive behind = pump_rows[i].behind;
        grounds.pump[i] =
            behind == Permissive::none ? not_known : AlarmValues{static_cast<double>(behind), 0, 0, 0};
    }
    const DeliveryWatch& delivery = view.delivery;
    constexpr auto flow_back = static_cast<std::size_t>(PumpAlarm::flow_back);
    grounds.pump[flow_back] = {delivery.back_flow_m3s, delivery.back_expected_m3s, 0, 0};
    for (std::size_t pump = 0; pump < pumps_max; ++pump) {
        const PumpDelivery& of = delivery.pumps[pump];
        grounds.no_delivery[pump] = {of.flow_m3s, of.expected_m3s, of.current_a, of.expected_a};
        grounds.flow_lost[pump] = {of.lost_ratio, (1 - of.lost_ratio) * of.expected_m3s, of.expected_m3s, 0};
    }
    return grounds;
}

}  // namespace freshet::core
