// Every field of a controller's settings, inputs and advice, in one fixed order.
// One reason to change: a new or a removed field.
//
// The structured bindings name each field of a structure. A structure that gains a field does not compile
// here until the field is named.
#pragma once

#include <array>
#include <concepts>
#include <cstddef>
#include <type_traits>

#include "controller/core/advice.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"

namespace freshet::microcontroller {

template <class Given, class Wanted>
concept Is = std::same_as<std::remove_const_t<Given>, Wanted>;

/// A number, a flag or a code: `visit.word(field)` takes each of them.
template <class Field>
concept Scalar = std::is_arithmetic_v<Field> || std::is_enum_v<Field>;

/// Visits fields one after another. A structure or an array is visited part by part.
void each(auto& visit, auto&... fields) {
    const auto one = [&visit](auto& field) {
        using Field = std::remove_cvref_t<decltype(field)>;
        if constexpr (Scalar<Field>) {
            visit.word(field);
        } else if constexpr (requires { field.begin(); }) {
            for (auto& part : field) each(visit, part);
        } else {
            fields_of(visit, field);
        }
    };
    (one(fields), ...);
}

// Inputs.

void fields_of(auto& visit, Is<core::Analog> auto& analog) {
    auto& [value, age_ms, quality, cause] = analog;
    each(visit, value, age_ms, quality, cause);
}
void fields_of(auto& visit, Is<core::Digital> auto& digital) {
    auto& [age_ms, on, quality, cause] = digital;
    each(visit, age_ms, on, quality, cause);
}
void fields_of(auto& visit, Is<core::Transmitter> auto& transmitter) {
    auto& [reading, loop_ma] = transmitter;
    each(visit, reading, loop_ma);
}
void fields_of(auto& visit, Is<core::SelectorReading> auto& selector) {
    auto& [age_ms, position, quality, cause] = selector;
    each(visit, age_ms, position, quality, cause);
}
void fields_of(auto& visit, Is<core::PumpInputs> auto& pump) {
    auto& [drive_side, line_side, tripped, seal_leak, selector, current, winding] = pump;
    each(visit, drive_side, line_side, tripped, seal_leak, selector, current, winding);
}
void fields_of(auto& visit, Is<core::DriveInputs> auto& drive) {
    auto& [ready, running, tripped, in_sync, output, frequency, voltage, angle] = drive;
    each(visit, ready, running, tripped, in_sync, output, frequency, voltage, angle);
}
void fields_of(auto& visit, Is<core::LineInputs> auto& line) {
    auto& [voltage, frequency, on_generator] = line;
    each(visit, voltage, frequency, on_generator);
}
void fields_of(auto& visit, Is<core::OperatorInputs> auto& people) {
    auto& [acknowledge_all, order, alarm, pump, shelve_ms, reset] = people;
    each(visit, acknowledge_all, order, alarm, pump, shelve_ms, reset);
}
/// The signals, their ages and the orders of people. Counts that a caller may keep are not signals.
void fields_of(auto& visit, Is<core::Inputs> auto& inputs) {
    each(visit, inputs.time_ms, inputs.level, inputs.header_pressure, inputs.station_flow_m3s,
         inputs.high_float, inputs.low_float, inputs.emergency_stop, inputs.emergency_stop_reset,
         inputs.drive, inputs.line, inputs.pumps, inputs.people);
}

// Settings.

void fields_of(auto& visit, Is<core::CurvePoint> auto& point) {
    auto& [flow_m3s, head_m] = point;
    each(visit, flow_m3s, head_m);
}
void fields_of(auto& visit, Is<core::MainPoint> auto& point) {
    auto& [flow, loss] = point;
    each(visit, flow, loss);
}
void fields_of(auto& visit, Is<core::StorePoint> auto& point) {
    auto& [level_m, volume_m3] = point;
    each(visit, level_m, volume_m3);
}
void fields_of(auto& visit, Is<core::TransmitterSettings> auto& transmitter) {
    auto& [fitted, value_at_4ma_m, value_at_20ma_m] = transmitter;
    each(visit, fitted, value_at_4ma_m, value_at_20ma_m);
}
void fields_of(auto& visit, Is<core::Settings::Marks> auto& marks) {
    auto& [setpoint, deadband, start, stop, stage_up, stage_down, low_cutoff, high_alarm] = marks;
    each(visit, setpoint, deadband, start, stop, stage_up, stage_down, low_cutoff, high_alarm);
}
void fields_of(auto& visit, Is<core::Settings::SignalLimits> auto& signal) {
    auto& [selection, stale, fault_hold, rate_max, difference, difference_hold, freeze, recover] = signal;
    each(visit, selection, stale, fault_hold, rate_max, difference, difference_hold, freeze, recover);
}
void fields_of(auto& visit, Is<core::Settings::Drive> auto& drive) {
    auto& [frequency, voltage, speed_max, speed_min, ramp_up, ramp_down, tolerance, rated_slip] = drive;
    each(visit, frequency, voltage, speed_max, speed_min, ramp_up, ramp_down, tolerance, rated_slip);
}
void fields_of(auto& visit, Is<core::Settings::Demand> auto& demand) {
    auto& [arrest_s, rate_max_hz_s] = demand;
    each(visit, arrest_s, rate_max_hz_s);
}
void fields_of(auto& visit, Is<core::LagMarks> auto& marks) {
    auto& [start, stop] = marks;
    each(visit, start, stop);
}
void fields_of(auto& visit, Is<core::Settings::Draw> auto& draw) {
    auto& [wanted, speed] = draw;
    each(visit, wanted, speed);
}
void fields_of(auto& visit, Is<core::Settings::Sleep> auto& sleep) {
    auto& [wanted, wake, boost] = sleep;
    each(visit, wanted, wake, boost);
}
void fields_of(auto& visit, Is<core::Settings::FlowSetpoint> auto& flow_setpoint) {
    auto& [loss, rise_max] = flow_setpoint;
    each(visit, loss, rise_max);
}
void fields_of(auto& visit, Is<core::Settings::CheapHours> auto& cheap) {
    auto& [hours, rise] = cheap;
    each(visit, hours, rise);
}
void fields_of(auto& visit, Is<core::Settings::Timed> auto& time) {
    auto& [days, at, within] = time;
    each(visit, days, at, within);
}
void fields_of(auto& visit, Is<core::Settings::DrawDown> auto& draw_down) {
    auto& [time, level] = draw_down;
    each(visit, time, level);
}
void fields_of(auto& visit, Is<core::Settings::Scour> auto& scour) {
    auto& [time, flow, lasts] = scour;
    each(visit, time, flow, lasts);
}
void fields_of(auto& visit, Is<core::Settings::Staging> auto& staging) {
    auto& [up_delay, down_delay, forecast, observer, margin, lag, lag_count] = staging;
    each(visit, up_delay, down_delay, forecast, observer, margin, lag, lag_count);
}
void fields_of(auto& visit, Is<core::Settings::SyncCheck> auto& sync) {
    auto& [slip, voltage, angle, hold, line_side, drive_side, age] = sync;
    each(visit, slip, voltage, angle, hold, line_side, drive_side, age);
}
void fields_of(auto& visit, Is<core::Settings::StepLimits> auto& step) {
    auto& [close, open, overlap, drive_start, ramp, synchronise, expected, pause, transfer_pause, attempts] =
        step;
    each(visit, close, open, overlap, drive_start, ramp, synchronise, expected, pause, attempts);
}
void fields_of(auto& visit, Is<core::Settings::Permissives> auto& permissives) {
    auto& [rest, run, starts, transfers, trips, residual, winding, on_line, on_generator, current_loss,
           pressure, pressure_hold] = permissives;
    each(visit, rest, run, starts, transfers, trips, residual, winding, on_line, on_generator, current_loss,
         pressure, pressure_hold);
}
void fields_of(auto& visit, Is<core::Settings::Delivery> auto& delivery) {
    auto& [hold, lost_max] = delivery;
    each(visit, hold, lost_max);
}
void fields_of(auto& visit, Is<core::Settings::Weir> auto& weir) {
    auto& [crest, coefficient] = weir;
    each(visit, crest, coefficient);
}
void fields_of(auto& visit, Is<core::Settings::Succession> auto& succession) {
    auto& [cold, warm, cool, rest, even_run, drive_starts_count] = succession;
    each(visit, cold, warm, cool, rest, even_run, drive_starts_count);
}
void fields_of(auto& visit, Is<core::Settings::LineStart> auto& line_start) {
    auto& [allowed, spacing, dip, short_circuit, locked_rotor] = line_start;
    each(visit, allowed, spacing, dip, short_circuit, locked_rotor);
}
void fields_of(auto& visit, Is<core::Settings::Floats> auto& floats) {
    auto& [fitted, hold, run_on] = floats;
    each(visit, fitted, hold, run_on);
}
void fields_of(auto& visit, Is<core::Settings::Restart> auto& restart) {
    auto& [settle, spacing, drive_wait] = restart;
    each(visit, settle, spacing, drive_wait);
}
void fields_of(auto& visit, Is<core::Settings::Supply> auto& supply) {
    auto& [voltage, band, lost_hold] = supply;
    each(visit, voltage, band, lost_hold);
}
void fields_of(auto& visit, Is<core::Settings> auto& settings) {
    auto& [pump_count, scan_ms, action, measured, marks, level_transmitter, pressure_transmitter, signal,
           store, store_points, weir, curve, curve_points, minimum_flow, branch_loss, main, main_points,
           main_inertia, discharge_level, suction_level, rated_current, curve_current, no_load_current, drive,
           demand, draw, sleep, flow_setpoint, cheap, utc_offset, draw_down, scour, staging, sync, step,
           permissives, delivery, succession, line_start, floats, restart, supply, rotation, preference,
           place, exercise, run_longest, run_initial, starts_initial] = settings;
    each(visit, pump_count, scan_ms, action, measured, marks, level_transmitter, pressure_transmitter, signal,
         store, store_points, weir, curve, curve_points, minimum_flow, branch_loss, main, main_points,
         main_inertia, discharge_level, suction_level, rated_current, curve_current, no_load_current, drive,
         demand, draw, sleep, flow_setpoint, cheap, utc_offset, draw_down, scour, staging, sync, step,
         permissives, delivery, succession, line_start, floats, restart, supply, rotation, preference, place,
         exercise, run_longest, run_initial, starts_initial);
}

// Advice.

void fields_of(auto& visit, Is<core::PumpAdvice> auto& pump) {
    auto& [drive_side_close, line_side_close, state] = pump;
    each(visit, drive_side_close, line_side_close, state);
}
void fields_of(auto& visit, Is<core::NextAction> auto& next) {
    auto& [intention, pump, countdown_ms, reason] = next;
    each(visit, intention, pump, countdown_ms, reason);
}
void fields_of(auto& visit, Is<core::PumpFigures> auto& figures) {
    auto& [run_ms, starts, line_starts, starts_last_hour] = figures;
    each(visit, run_ms, starts, line_starts, starts_last_hour);
}
void fields_of(auto& visit, Is<core::AlarmMarks> auto& marks) {
    auto& [shelved, out_of_service, suppressed, first_out] = marks;
    each(visit, shelved, out_of_service, suppressed, first_out);
}
void fields_of(auto& visit, Is<core::TransmitterState> auto& transmitter) {
    auto& [quality, cause] = transmitter;
    each(visit, quality, cause);
}
void fields_of(auto& visit, Is<core::Event> auto& event) {
    auto& [number, cause_number, values, what, detail, pump, why] = event;
    each(visit, number, cause_number, values, what, detail, pump, why);
}
/// Only the events that the scan has noted. The other places of the array have no meaning.
void fields_of(auto& visit, Is<core::Advice> auto& advice) {
    auto& [time_ms, scan_count, drive_run, speed, synchronise, output_close, pumps, sequence, step,
           sequence_pump, drive_pump, pumps_on_line, next, service, measured, measured_quality,
           measured_cause, transmitters, setpoint, demand, minimum_flow, inflow, pumped, station_alarms,
           station_unacknowledged, pump_alarms, pump_unacknowledged, station_marks, pump_marks, figures,
           events, event_count, events_lost] = advice;
    each(visit, time_ms, scan_count, drive_run, speed, synchronise, output_close, pumps, sequence, step,
         sequence_pump, drive_pump, pumps_on_line, next, service, measured, measured_quality, measured_cause,
         transmitters, setpoint, demand, minimum_flow, inflow, pumped, station_alarms, station_unacknowledged,
         pump_alarms, pump_unacknowledged, station_marks, pump_marks, figures, event_count, events_lost);
    for (std::size_t i = 0; i < event_count; ++i) each(visit, events[i]);
}

}  // namespace freshet::microcontroller
