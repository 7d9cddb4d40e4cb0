// The rules for settings; see the header.
#include "controller/core/settings_check.hpp"

#include <algorithm>
#include <array>

#include "controller/core/composing.hpp"
#include "controller/core/numbers.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings_check_duty.hpp"
#include "controller/core/settings_ranges.hpp"

namespace freshet::core {

namespace {

using Fault = SettingsFault;
using namespace settings_ranges;

/// The ends of a range of 4 to 20 mA must differ, for a value is the current's share of their difference.
constexpr bool has_range(const TransmitterSettings& one) noexcept {
    return number(one.value_at_4ma_m).holds && number(one.value_at_20ma_m).holds &&
           one.value_at_4ma_m != one.value_at_20ma_m;
}

RuleResult level_ranges(S s) noexcept {
    for (std::size_t i = 0; i < s.level_transmitter.size(); ++i) {
        const TransmitterSettings& one = s.level_transmitter[i];
        if (one.fitted && !has_range(one)) return {false, static_cast<std::uint8_t>(i), one.value_at_20ma_m};
    }
    return {};
}

/// Whether a table goes on upwards by a rise over a run: the slope is divided by, and so it has a size, too.
constexpr bool goes_up(double run, double rise) noexcept {
    return positive(run).holds && positive(rise).holds && positive(rise / run).holds;
}

/// Levels and volumes rise from point to point: the store's area is the slope between two points.
RuleResult store_in_order(S s) noexcept {
    const std::size_t points = std::min<std::size_t>(s.store_points, store_points_max);
    for (std::size_t i = 0; i < points; ++i) {
        const StorePoint& point = s.store[i];
        const StorePoint& below = s.store[i == 0 ? 0 : i - 1];
        const bool rises =
            i == 0 || goes_up(point.level_m - below.level_m, point.volume_m3 - below.volume_m3);
        if (!(rises && number(point.level_m).holds && number(point.volume_m3).holds))
            return {false, static_cast<std::uint8_t>(i), point.level_m};
    }
    return {};
}

/// The flow rises and the head falls from point to point: each flow has one head, and each head one flow.
RuleResult curve_in_order(S s) noexcept {
    const std::size_t points = std::min<std::size_t>(s.curve_points, curve_points_max);
    for (std::size_t i = 0; i < points; ++i) {
        const CurvePoint& point = s.curve[i];
        const CurvePoint& before = s.curve[i == 0 ? 0 : i - 1];
        const bool in_order =
            i == 0 || goes_up(point.flow_m3s - before.flow_m3s, before.head_m - point.head_m);
        if (!(in_order && number(point.flow_m3s).holds && number(point.head_m).holds))
            return {false, static_cast<std::uint8_t>(i), point.flow_m3s};
    }
    return {};
}

/// Every current is zero or more, up to the last point of the curve.
RuleResult curve_currents(S s) noexcept {
    const std::size_t points = std::min<std::size_t>(s.curve_points, curve_points_max);
    for (std::size_t i = 0; i < points; ++i)
        if (!not_negative(s.curve_current_a[i]).holds)
            return {false, static_cast<std::uint8_t>(i), s.curve_current_a[i]};
    return {};
}

/// The curve's last point; null where the number of points makes no sense, which has a rule of its own.
const CurvePoint* last_of_curve(S s) noexcept {
    const bool some = s.curve_points > 0 && s.curve_points <= curve_points_max;
    return some ? &s.curve[s.curve_points - 1U] : nullptr;
}

RuleResult curve_end(S s) noexcept {
    const CurvePoint* last = last_of_curve(s);
    return last == nullptr ? RuleResult{} : not_negative(last->head_m);
}

/// Between two points k is a straight line a + b Q, and the slope of h = k Q^2 is Q (2 k + b Q). The bracket
/// is straight, too, so that its two ends decide for all of the piece.
RuleResult main_loss_rises(S s) noexcept {
    const std::size_t points = std::min<std::size_t>(s.main_points, main_points_max);
    for (std::size_t i = 0; i < points; ++i) {
        const MainPoint& to = s.main[i];
        bool rises = not_negative(to.flow_m3s).holds && not_negative(to.loss_s2m5).holds;
        if (i > 0) {
            const MainPoint& from = s.main[i - 1];
            const double width_m3s = to.flow_m3s - from.flow_m3s;
            const double slope = (to.loss_s2m5 - from.loss_s2m5) / width_m3s;
            rises = rises && positive(width_m3s).holds && number(slope).holds &&
                    2 * from.loss_s2m5 + slope * from.flow_m3s >= 0 &&
                    2 * to.loss_s2m5 + slope * to.flow_m3s >= 0;
        }
        if (!rises) return {false, static_cast<std::uint8_t>(i), to.flow_m3s};
    }
    return {};
}

/// A pump whose minimum flow lies past its curve's end would run at its highest speed only.
RuleResult minimum_flow(S s) noexcept {
    const CurvePoint* last = last_of_curve(s);
    const double most_m3s = last == nullptr ? farthest : last->flow_m3s;
    return {s.minimum_flow_m3s >= 0 && s.minimum_flow_m3s < most_m3s, 0, s.minimum_flow_m3s};
}

/// Within the deadband nothing moves, so that it must leave room to the staging marks on both sides.
RuleResult deadband(S s) noexcept {
    const double sign = s.action == Action::reverse ? -1 : 1;
    const double up_m = sign * (s.marks.stage_up_m - s.marks.setpoint_m);
    const double down_m = sign * (s.marks.setpoint_m - s.marks.stage_down_m);
    // Marks out of order leave no room at all, and have a rule of their own.
    const bool room = up_m > 0 && down_m > 0;
    const double deadband_m = s.marks.deadband_m;
    return {deadband_m >= 0 && deadband_m <= farthest && (!room || deadband_m < std::min(up_m, down_m)), 0,
            deadband_m};
}

RuleResult pressure_measured(S s) noexcept {
    const bool needed = s.measured == Measured::header_pressure || s.permissives.discharge_pressure_max_m > 0;
    return {!needed || s.pressure_transmitter.fitted};
}

RuleResult level_measured(S s) noexcept {
    const bool any =
        s.floats.fitted || std::any_of(s.level_transmitter.begin(), s.level_transmitter.end(),
                                       [](const TransmitterSettings& one) { return one.fitted; });
    return {s.measured != Measured::level || any};
}

RuleResult preferences(S s) noexcept {
    for (std::size_t pump = 0; pump < pumps_max; ++pump)
        if (const RuleResult one = one_of(s.preference[pump], Preference::last); !one.holds)
            return {false, static_cast<std::uint8_t>(pump), one.value};
    return {};
}

/// Marks of lag pumps rise from pump to pump. A start lies before the alarm, and a stop before its start.
RuleResult lag_marks(S s, double LagMarks::*mark, double ahead_m) noexcept {
    for (std::size_t i = 0; i < std::min<std::size_t>(s.staging.lag_count, pumps_max - 1); ++i) {
        const LagMarks& own = s.staging.lag[i];
        const double own_m = own.*mark;
        const double end_m = mark == &LagMarks::start_m ? s.marks.high_alarm_m : own.start_m;
        const bool rises = own_m == ahead_m || asks_for_more(s, ahead_m, own_m).holds;
        if (!rises || !asks_for_more(s, own_m, end_m).holds)
            return {false, static_cast<std::uint8_t>(i), own_m};
        ahead_m = own_m;
    }
    return {};
}

/// In the operator's order each place belongs to one pump. A preference would contradict the order.
RuleResult places(S s) noexcept {
    const auto count = s.rotation == Rotation::order ? std::min<std::size_t>(s.pump_count, pumps_max) : 0;
    unsigned taken = 0;
    for (std::size_t pump = 0; pump < count; ++pump) {
        const unsigned place = s.place[pump];
        if (place >= count || (taken >> place & 1U) != 0 || s.preference[pump] != Preference::normal)
            return {false, static_cast<std::uint8_t>(pump), static_cast<double>(place)};
        taken |= 1U << place;
    }
    return {};
}

RuleResult initial_hours(S s) noexcept {
    for (std::size_t pump = 0; pump < pumps_max; ++pump)
        if (const RuleResult one = long_wait(s.run_ms_initial[pump]); !one.holds)
            return {false, static_cast<std::uint8_t>(pump), one.value};
    return {};
}

/// Starts in succession are judged only where a number of cold starts is set.
constexpr RuleResult with_succession(S s, RuleResult result) noexcept {
    return s.succession.cold_starts_max == 0 ? RuleResult{} : result;
}

constexpr double pumps_least = 2, scan_least_ms = 20, scan_most_ms = 1000;
/// Two points make one straight piece, the least that has a flow for each head (or an area for each level).
constexpr double points_least = 2;
constexpr double line_least_hz = 10, line_most_hz = 400;
/// In kelvin from the freezing point of water: a temperature in degrees Celsius lies below.
constexpr double winding_least_k = 273, winding_most_k = 573;
constexpr double angle_most_deg = 60;
/// A motor that slips more at rated load is no motor for a pump.
constexpr double slip_most = 0.2;
/// A motor at standstill takes at least its rated current.
constexpr double locked_rotor_least = 1;
/// A look-ahead shorter than a pump takes to come on sees the water too late.
constexpr double margin_least = 1;

constexpr std::array<SettingsRule, static_cast<std::size_t>(Fault::count) - 1> rule_table{{
    {Fault::pump_count, [](S s) noexcept { return within(s.pump_count, pumps_least, pumps_max); }},
    {Fault::scan, [](S s) noexcept { return within(s.scan_ms, scan_least_ms, scan_most_ms); }},
    {Fault::action, [](S s) noexcept { return one_of(s.action, Action::reverse); }},
    {Fault::measured, [](S s) noexcept { return one_of(s.measured, Measured::header_pressure); }},

    {Fault::stop_mark, [](S s) noexcept { return asks_for_more(s, s.marks.low_cutoff_m, s.marks.stop_m); }},
    {Fault::stage_down_mark,
     [](S s) noexcept { return asks_for_more(s, s.marks.stop_m, s.marks.stage_down_m); }},
    {Fault::start_mark, [](S s) noexcept { return asks_for_more(s, s.marks.stop_m, s.marks.start_m); }},
    {Fault::setpoint_mark,
     [](S s) noexcept { return asks_for_more(s, s.marks.stage_down_m, s.marks.setpoint_m); }},
    {Fault::stage_up_mark,
     [](S s) noexcept { return asks_for_more(s, s.marks.setpoint_m, s.marks.stage_up_m); }},
    {Fault::start_past_stage_up,
     [](S s) noexcept {
         const bool past = asks_for_more(s, s.marks.stage_up_m, s.marks.start_m).holds;
         return RuleResult{!past, 0, s.marks.start_m};
     }},
    {Fault::high_alarm_mark,
     [](S s) noexcept { return asks_for_more(s, s.marks.stage_up_m, s.marks.high_alarm_m); }},
    {Fault::deadband, deadband},

    {Fault::level_range, level_ranges},
    {Fault::level_not_measured, level_measured},
    {Fault::pressure_range,
     [](S s) noexcept {
         const TransmitterSettings& one = s.pressure_transmitter;
         return RuleResult{!one.fitted || has_range(one), 0, one.value_at_20ma_m};
     }},
    {Fault::pressure_not_measured, pressure_measured},
    {Fault::selection, [](S s) noexcept { return one_of(s.signal.selection, Selection::by_quality); }},
    {Fault::stale, [](S s) noexcept { return a_scan_or_more(s, s.signal.stale_ms); }},
    {Fault::fault_hold, [](S s) noexcept { return wait(s.signal.fault_hold_ms); }},
    {Fault::value_rate, [](S s) noexcept { return positive(s.signal.rate_max_m_s); }},
    {Fault::disagreement, [](S s) noexcept { return positive(s.signal.disagreement_m); }},
    {Fault::disagreement_hold, [](S s) noexcept { return wait(s.signal.disagreement_hold_ms); }},
    {Fault::freeze, [](S s) noexcept { return wait(s.signal.freeze_ms); }},
    {Fault::recover, [](S s) noexcept { return wait(s.signal.recover_ms); }},

    {Fault::store_points,
     [](S s) noexcept { return within(s.store_points, points_least, store_points_max); }},
    {Fault::store_order, store_in_order},
    {Fault::weir,
     [](S s) noexcept {
         const RuleResult crest = number(s.weir.crest_m);
         return crest.holds ? not_negative(s.weir.coefficient_m15_s) : crest;
     }},
    {Fault::curve_points,
     [](S s) noexcept { return within(s.curve_points, points_least, curve_points_max); }},
    // The first point is the shut-off head, which decides whether a pump opens its check valve.
    {Fault::curve_begin, [](S s) noexcept { return within(s.curve[0].flow_m3s, 0, 0); }},
    {Fault::curve_order, curve_in_order},
    {Fault::curve_end, curve_end},
    {Fault::minimum_flow, minimum_flow},
    {Fault::branch_loss, [](S s) noexcept { return not_negative(s.branch_loss_s2m5); }},
    {Fault::main_points, [](S s) noexcept { return within(s.main_points, 0, main_points_max); }},
    {Fault::main_loss, main_loss_rises},
    {Fault::main_inertia, [](S s) noexcept { return not_negative(s.main_inertia_s2m2); }},
    {Fault::discharge_level, [](S s) noexcept { return number(s.discharge_level_m); }},
    {Fault::suction_level, [](S s) noexcept { return number(s.suction_level_m); }},
    // A tenth of the rated current tells a running motor: without one, every motor would seem to run.
    {Fault::rated_current, [](S s) noexcept { return positive(s.rated_current_a); }},
    {Fault::curve_current, curve_currents},
    {Fault::no_load_current, [](S s) noexcept { return not_negative(s.no_load_current_a); }},

    {Fault::line_frequency,
     [](S s) noexcept { return within(s.drive.line_frequency_hz, line_least_hz, line_most_hz); }},
    {Fault::line_voltage, [](S s) noexcept { return positive(s.drive.line_voltage_v); }},
    // A speed of twice the highest one counts as a register read amiss, and the line's frequency may not.
    {Fault::speed_max,
     [](S s) noexcept {
         const double highest_hz = s.drive.speed_max_hz;
         return RuleResult{2 * highest_hz > s.drive.line_frequency_hz && highest_hz <= speed_reference_max_hz,
                           0, highest_hz};
     }},
    {Fault::speed_min,
     [](S s) noexcept {
         const double lowest_hz = s.drive.speed_min_hz;
         return RuleResult{lowest_hz >= 0 && lowest_hz < s.drive.speed_max_hz, 0, lowest_hz};
     }},
    {Fault::ramp_up, [](S s) noexcept { return positive(s.drive.ramp_up_hz_s); }},
    {Fault::ramp_down, [](S s) noexcept { return positive(s.drive.ramp_down_hz_s); }},
    {Fault::speed_tolerance, [](S s) noexcept { return positive(s.drive.tolerance_hz); }},
    {Fault::rated_slip, [](S s) noexcept { return within(s.drive.rated_slip_ratio, 0, slip_most); }},
    {Fault::arrest, [](S s) noexcept { return positive(s.demand.arrest_s); }},
    {Fault::speed_rate, [](S s) noexcept { return positive(s.demand.rate_max_hz_s); }},
    {Fault::draw_speed, [](S s) noexcept { return draw_speeds(s); }},
    {Fault::wake_mark, [](S s) noexcept { return with_sleep(s, wake_mark(s)); }},
    {Fault::boost_mark, [](S s) noexcept { return with_sleep(s, boost_mark(s)); }},
    {Fault::flow_loss, [](S s) noexcept { return not_negative(s.flow_setpoint.loss_s2m5); }},
    {Fault::flow_rise, [](S s) noexcept { return rise(s, s.flow_setpoint.rise_max_m); }},
    {Fault::cheap_hours, [](S s) noexcept { return within(s.cheap.hours, 0, all_hours); }},
    {Fault::cheap_rise, [](S s) noexcept { return rise(s, s.cheap.rise_m); }},
    {Fault::utc_offset, [](S s) noexcept { return within(s.utc_offset_ms, -whole_day_ms, whole_day_ms); }},
    {Fault::draw_down_time, [](S s) noexcept { return timed(s.draw_down.time); }},
    {Fault::draw_down_level, [](S s) noexcept { return draw_down_level(s); }},
    {Fault::scour_time, [](S s) noexcept { return timed(s.scour.time); }},
    {Fault::scour_flow, [](S s) noexcept { return not_negative(s.scour.flow_m3s); }},
    {Fault::scour_lasts, [](S s) noexcept { return wait(s.scour.lasts_ms); }},

    {Fault::up_delay, [](S s) noexcept { return wait(s.staging.up_delay_ms); }},
    {Fault::down_delay, [](S s) noexcept { return wait(s.staging.down_delay_ms); }},
    {Fault::observer, [](S s) noexcept { return positive(s.staging.observer_s); }},
    {Fault::forecast_margin,
     [](S s) noexcept { return within(s.staging.forecast_margin, margin_least, farthest); }},
    {Fault::lag_count,
     [](S s) noexcept {
         const double count = s.staging.lag_count;
         return RuleResult{count == 0 || count + 1 == s.pump_count, 0, count};
     }},
    {Fault::lag_start, [](S s) noexcept { return lag_marks(s, &LagMarks::start_m, s.marks.start_m); }},
    {Fault::lag_stop, [](S s) noexcept { return lag_marks(s, &LagMarks::stop_m, s.marks.stop_m); }},

    {Fault::slip_max, [](S s) noexcept { return positive(s.sync.slip_max_hz); }},
    {Fault::voltage_max, [](S s) noexcept { return share(s.sync.voltage_max_ratio); }},
    {Fault::angle_max,
     [](S s) noexcept {
         const double angle_deg = s.sync.angle_max_deg;
         return RuleResult{angle_deg > 0 && angle_deg <= angle_most_deg, 0, angle_deg};
     }},
    {Fault::sync_hold, [](S s) noexcept { return wait(s.sync.hold_ms); }},
    {Fault::line_side_closing, [](S s) noexcept { return wait(s.sync.line_side_closing_ms); }},
    {Fault::drive_side_closing, [](S s) noexcept { return wait(s.sync.drive_side_closing_ms); }},
    {Fault::sync_age, [](S s) noexcept { return a_scan_or_more(s, s.sync.age_max_ms); }},

    {Fault::step_close, [](S s) noexcept { return a_scan_or_more(s, s.step.close_ms); }},
    {Fault::step_open, [](S s) noexcept { return a_scan_or_more(s, s.step.open_ms); }},
    {Fault::step_overlap, [](S s) noexcept { return a_scan_or_more(s, s.step.overlap_ms); }},
    {Fault::drive_start, [](S s) noexcept { return a_scan_or_more(s, s.step.drive_start_ms); }},
    {Fault::ramp_margin, [](S s) noexcept { return wait(s.step.ramp_margin_ms); }},
    {Fault::synchronise, [](S s) noexcept { return a_scan_or_more(s, s.step.synchronise_ms); }},
    {Fault::synchronise_expected, [](S s) noexcept { return wait(s.step.synchronise_expected_ms); }},
    {Fault::retry_pause, [](S s) noexcept { return wait(s.step.retry_pause_ms); }},
    {Fault::transfer_pause, [](S s) noexcept { return wait(s.step.transfer_pause_ms); }},
    {Fault::attempts_max, [](S s) noexcept { return positive(s.step.attempts_max); }},

    {Fault::rest_min, [](S s) noexcept { return wait(s.permissives.rest_min_ms); }},
    {Fault::run_min, [](S s) noexcept { return wait(s.permissives.run_min_ms); }},
    {Fault::starts_per_hour, [](S s) noexcept { return positive(s.permissives.starts_per_hour_max); }},
    {Fault::transfers_per_hour, [](S s) noexcept { return positive(s.permissives.transfers_per_hour_max); }},
    {Fault::trips_per_hour,
     [](S s) noexcept { return within(s.permissives.trips_per_hour_max, 1, hourly_max); }},
    {Fault::residual_voltage, [](S s) noexcept { return wait(s.permissives.residual_voltage_ms); }},
    {Fault::winding_temperature,
     [](S s) noexcept {
         return within(s.permissives.winding_temperature_max_k, winding_least_k, winding_most_k);
     }},
    {Fault::pumps_on_line, [](S s) noexcept { return positive(s.permissives.pumps_max_on_line); }},
    {Fault::current_loss, [](S s) noexcept { return wait(s.permissives.current_loss_ms); }},
    {Fault::pressure_max, [](S s) noexcept { return not_negative(s.permissives.discharge_pressure_max_m); }},
    {Fault::pressure_hold, [](S s) noexcept { return wait(s.permissives.discharge_pressure_hold_ms); }},
    {Fault::delivery_hold, [](S s) noexcept { return wait(s.delivery.hold_ms); }},
    {Fault::delivery_lost, [](S s) noexcept { return share(s.delivery.lost_max_ratio); }},

    // From warm a motor may be started no more often than from cold.
    {Fault::warm_starts,
     [](S s) noexcept {
         return with_succession(s, within(s.succession.warm_starts_max, 1, s.succession.cold_starts_max));
     }},
    {Fault::cool, [](S s) noexcept { return with_succession(s, long_time(s.succession.cool_ms)); }},
    // A motor may start again before it is cold, never after.
    {Fault::succession_rest,
     [](S s) noexcept {
         RuleResult rest = long_time(s.succession.rest_ms);
         rest.holds = rest.holds && s.succession.rest_ms <= s.succession.cool_ms;
         return with_succession(s, rest);
     }},
    {Fault::even_run, [](S s) noexcept { return with_succession(s, long_time(s.succession.even_run_ms)); }},

    {Fault::line_start_spacing, [](S s) noexcept { return wait(s.line_start.spacing_ms); }},
    {Fault::supply_dip, [](S s) noexcept { return share(s.line_start.supply_dip_max_ratio); }},
    {Fault::short_circuit, [](S s) noexcept { return not_negative(s.line_start.short_circuit_va); }},
    {Fault::locked_rotor_current,
     [](S s) noexcept {
         return within(s.line_start.locked_rotor_current_ratio, locked_rotor_least, farthest);
     }},
    {Fault::float_hold, [](S s) noexcept { return wait(s.floats.hold_ms); }},
    {Fault::float_run_on, [](S s) noexcept { return wait(s.floats.run_on_ms); }},
    {Fault::settle, [](S s) noexcept { return wait(s.restart.settle_ms); }},
    {Fault::start_spacing, [](S s) noexcept { return wait(s.restart.spacing_ms); }},
    {Fault::drive_wait, [](S s) noexcept { return wait(s.restart.drive_wait_ms); }},
    {Fault::voltage_min, [](S s) noexcept { return share(s.supply.voltage_min_ratio); }},
    {Fault::frequency_band, [](S s) noexcept { return share(s.supply.frequency_band_ratio); }},
    {Fault::supply_lost_hold, [](S s) noexcept { return wait(s.supply.lost_hold_ms); }},

    {Fault::rotation, [](S s) noexcept { return one_of(s.rotation, Rotation::order); }},
    {Fault::preference, preferences},
    {Fault::places, places},
    {Fault::exercise, [](S s) noexcept { return long_wait(s.exercise_ms); }},
    {Fault::run_longest, [](S s) noexcept { return long_wait(s.run_longest_ms); }},
    {Fault::initial_hours, initial_hours},
}};

consteval bool in_order() {
    for (std::size_t i = 0; i < rule_table.size(); ++i)
        if (static_cast<std::size_t>(rule_table[i].fault) != i + 1 || rule_table[i].judge == nullptr)
            return false;
    return true;
}
static_assert(in_order(), "every SettingsFault needs its rule, in order");

}  // namespace

std::span<const SettingsRule> settings_rules() noexcept {
    return rule_table;
}

SettingsFinding check(const Settings& settings) noexcept {
    for (const SettingsRule& rule : rule_table) {
        const RuleResult result = rule.judge(settings);
        if (!result.holds) return {rule.fault, result.index, result.value};
    }
    return {};
}

}  // namespace freshet::core
