// Words for faults of settings: each with its name and the sentence that says it.
// One reason to change: a fault of settings_check.hpp that comes, goes or is better said.
#pragma once

#include <string>

#include "controller/core/settings_check.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

/// `text` says what is wrong and what was expected. "{value}" stands for the refused value, "{index}" for the
/// point, transmitter or pump, counted from one.
inline constexpr std::array<Word<core::SettingsFault>, static_cast<std::size_t>(core::SettingsFault::count)>
    settings_faults{{
        {core::SettingsFault::none, "none", "the settings make sense"},
        {core::SettingsFault::pump_count, "pump_count", "pump_count is {value}; 2 to 8 pumps were expected"},
        {core::SettingsFault::scan, "scan", "scan_ms is {value} ms; 20 to 1000 ms were expected"},
        {core::SettingsFault::action, "action",
         "action has the code {value}; the code of direct or reverse was expected"},
        {core::SettingsFault::measured, "measured",
         "measured has the code {value}; the code of level or header_pressure was expected"},
        {core::SettingsFault::stop_mark, "stop_mark",
         "the stop mark is {value} m; a mark that asks for more pumping than low_cutoff was expected"},
        {core::SettingsFault::stage_down_mark, "stage_down_mark",
         "the stage_down mark is {value} m; a mark that asks for more pumping than stop was expected"},
        {core::SettingsFault::start_mark, "start_mark",
         "the start mark is {value} m; a mark that asks for more pumping than stop was expected"},
        {core::SettingsFault::setpoint_mark, "setpoint_mark",
         "the setpoint is {value} m; a mark that asks for more pumping than stage_down was expected"},
        {core::SettingsFault::stage_up_mark, "stage_up_mark",
         "the stage_up mark is {value} m; a mark that asks for more pumping than the setpoint was expected"},
        {core::SettingsFault::start_past_stage_up, "start_past_stage_up",
         "the start mark is {value} m; a mark that asks for no more pumping than stage_up was expected"},
        {core::SettingsFault::high_alarm_mark, "high_alarm_mark",
         "the high_alarm mark is {value} m; a mark that asks for more pumping than stage_up was expected"},
        {core::SettingsFault::deadband, "deadband",
         "the deadband is {value} m; at least 0 m, and less than from the setpoint to stage_up and to "
         "stage_down, was expected"},
        {core::SettingsFault::level_range, "level_range",
         "level transmitter {index} reads {value} m at 20 mA; a finite value that differs from the value at "
         "4 mA was expected"},
        {core::SettingsFault::level_not_measured, "level_not_measured",
         "neither a level transmitter nor floats are fitted; one of the two was expected, because the duty "
         "goes by a level"},
        {core::SettingsFault::pressure_range, "pressure_range",
         "the header's pressure transmitter reads {value} m at 20 mA; a finite value that differs from the "
         "value at 4 mA was expected"},
        {core::SettingsFault::pressure_not_measured, "pressure_not_measured",
         "the header's pressure transmitter is not fitted; one was expected, because the duty or the limit "
         "of the discharge pressure needs one"},
        {core::SettingsFault::selection, "selection",
         "selection has the code {value}; the code of average, higher or by_quality was expected"},
        {core::SettingsFault::stale, "stale", "stale_ms is {value} ms; one scan to one week was expected"},
        {core::SettingsFault::fault_hold, "fault_hold",
         "fault_hold_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::value_rate, "value_rate",
         "rate_max_m_s is {value} m/s; more than 0 m/s was expected"},
        {core::SettingsFault::disagreement, "disagreement",
         "disagreement_m is {value} m; more than 0 m was expected"},
        {core::SettingsFault::disagreement_hold, "disagreement_hold",
         "disagreement_hold_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::freeze, "freeze",
         "freeze_ms is {value} ms; 0 ms (not judged) to one week was expected"},
        {core::SettingsFault::recover, "recover", "recover_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::store_points, "store_points",
         "the store has {value} points; 2 to 16 were expected"},
        {core::SettingsFault::store_order, "store_order",
         "point {index} of the store has a level of {value} m; finite levels and volumes that rise from "
         "point to point were expected"},
        {core::SettingsFault::curve_points, "curve_points",
         "the pump's curve has {value} points; 2 to 12 were expected"},
        {core::SettingsFault::curve_begin, "curve_begin",
         "the pump's curve begins at {value} m3/s; 0 m3/s, the shut-off point, was expected"},
        {core::SettingsFault::curve_order, "curve_order",
         "point {index} of the pump's curve has a flow of {value} m3/s; finite flows that rise and heads "
         "that fall from point to point were expected"},
        {core::SettingsFault::curve_end, "curve_end",
         "the pump's curve ends at a head of {value} m; at least 0 m was expected"},
        {core::SettingsFault::minimum_flow, "minimum_flow",
         "minimum_flow_m3s is {value} m3/s; at least 0 m3/s and less than the last flow of the curve was "
         "expected"},
        {core::SettingsFault::branch_loss, "branch_loss",
         "branch_loss_s2m5 is {value} s2/m5; at least 0 s2/m5 was expected"},
        {core::SettingsFault::main_loss, "main_loss",
         "main_loss_s2m5 is {value} s2/m5; at least 0 s2/m5 was expected"},
        {core::SettingsFault::discharge_level, "discharge_level",
         "discharge_level_m is {value} m; a finite level was expected"},
        {core::SettingsFault::rated_current, "rated_current",
         "rated_current_a is {value} A; more than 0 A was expected"},
        {core::SettingsFault::line_frequency, "line_frequency",
         "line_frequency_hz is {value} Hz; 10 to 400 Hz were expected"},
        {core::SettingsFault::line_voltage, "line_voltage",
         "line_voltage_v is {value} V; more than 0 V was expected"},
        {core::SettingsFault::speed_max, "speed_max",
         "speed_max_hz is {value} Hz; more than half of the line frequency, and at most 650 Hz, was "
         "expected"},
        {core::SettingsFault::speed_min, "speed_min",
         "speed_min_hz is {value} Hz; at least 0 Hz and less than speed_max_hz was expected"},
        {core::SettingsFault::ramp_up, "ramp_up",
         "ramp_up_hz_s is {value} Hz/s; more than 0 Hz/s was expected"},
        {core::SettingsFault::ramp_down, "ramp_down",
         "ramp_down_hz_s is {value} Hz/s; more than 0 Hz/s was expected"},
        {core::SettingsFault::speed_tolerance, "speed_tolerance",
         "tolerance_hz is {value} Hz; more than 0 Hz was expected"},
        {core::SettingsFault::arrest, "arrest", "arrest_s is {value} s; more than 0 s was expected"},
        {core::SettingsFault::speed_rate, "speed_rate",
         "the demand's rate_max_hz_s is {value} Hz/s; more than 0 Hz/s was expected"},
        {core::SettingsFault::up_delay, "up_delay",
         "up_delay_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::down_delay, "down_delay",
         "down_delay_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::observer, "observer", "observer_s is {value} s; more than 0 s was expected"},
        {core::SettingsFault::forecast_margin, "forecast_margin",
         "forecast_margin is {value}; at least 1 was expected"},
        {core::SettingsFault::slip_max, "slip_max", "slip_max_hz is {value} Hz; more than 0 Hz was expected"},
        {core::SettingsFault::voltage_max, "voltage_max",
         "voltage_max_ratio is {value}; more than 0 and at most 1 was expected"},
        {core::SettingsFault::angle_max, "angle_max",
         "angle_max_deg is {value} deg; more than 0 deg and at most 60 deg was expected"},
        {core::SettingsFault::sync_hold, "sync_hold",
         "the sync check's hold_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::line_side_closing, "line_side_closing",
         "line_side_closing_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::drive_side_closing, "drive_side_closing",
         "drive_side_closing_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::sync_age, "sync_age",
         "age_max_ms is {value} ms; one scan to one week was expected"},
        {core::SettingsFault::step_close, "step_close",
         "close_ms is {value} ms; one scan to one week was expected"},
        {core::SettingsFault::step_open, "step_open",
         "open_ms is {value} ms; one scan to one week was expected"},
        {core::SettingsFault::step_overlap, "step_overlap",
         "overlap_ms is {value} ms; one scan to one week was expected"},
        {core::SettingsFault::drive_start, "drive_start",
         "drive_start_ms is {value} ms; one scan to one week was expected"},
        {core::SettingsFault::ramp_margin, "ramp_margin",
         "ramp_margin_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::synchronise, "synchronise",
         "synchronise_ms is {value} ms; one scan to one week was expected"},
        {core::SettingsFault::synchronise_expected, "synchronise_expected",
         "synchronise_expected_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::retry_pause, "retry_pause",
         "retry_pause_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::attempts_max, "attempts_max",
         "attempts_max is {value}; at least 1 was expected"},
        {core::SettingsFault::rest_min, "rest_min",
         "rest_min_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::run_min, "run_min", "run_min_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::starts_per_hour, "starts_per_hour",
         "starts_per_hour_max is {value}; at least 1 was expected"},
        {core::SettingsFault::transfers_per_hour, "transfers_per_hour",
         "transfers_per_hour_max is {value}; at least 1 was expected"},
        {core::SettingsFault::residual_voltage, "residual_voltage",
         "residual_voltage_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::winding_temperature, "winding_temperature",
         "winding_temperature_max_k is {value} K; 273 to 573 K were expected"},
        {core::SettingsFault::pumps_on_line, "pumps_on_line",
         "pumps_max_on_line is {value}; at least 1 was expected"},
        {core::SettingsFault::current_loss, "current_loss",
         "current_loss_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::pressure_max, "pressure_max",
         "discharge_pressure_max_m is {value} m; at least 0 m (0 m: not judged) was expected"},
        {core::SettingsFault::pressure_hold, "pressure_hold",
         "discharge_pressure_hold_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::warm_starts, "warm_starts",
         "warm_starts_max is {value}; at least 1, and no more than cold_starts_max, was expected"},
        {core::SettingsFault::cool, "cool",
         "cool_ms is {value} ms; more than 0 ms and at most a century was expected"},
        {core::SettingsFault::succession_rest, "succession_rest",
         "the succession's rest_ms is {value} ms; more than 0 ms and at most cool_ms was expected"},
        {core::SettingsFault::even_run, "even_run",
         "even_run_ms is {value} ms; more than 0 ms and at most a century was expected"},
        {core::SettingsFault::line_start_spacing, "line_start_spacing",
         "the line start's spacing_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::supply_dip, "supply_dip",
         "supply_dip_max_ratio is {value}; more than 0 and at most 1 was expected"},
        {core::SettingsFault::short_circuit, "short_circuit",
         "short_circuit_va is {value} VA; at least 0 VA was expected"},
        {core::SettingsFault::locked_rotor_current, "locked_rotor_current",
         "locked_rotor_current_ratio is {value}; at least 1 was expected"},
        {core::SettingsFault::float_hold, "float_hold",
         "the floats' hold_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::float_run_on, "float_run_on",
         "run_on_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::settle, "settle", "settle_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::start_spacing, "start_spacing",
         "the restart's spacing_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::voltage_min, "voltage_min",
         "voltage_min_ratio is {value}; more than 0 and at most 1 was expected"},
        {core::SettingsFault::frequency_band, "frequency_band",
         "frequency_band_ratio is {value}; more than 0 and at most 1 was expected"},
        {core::SettingsFault::supply_lost_hold, "supply_lost_hold",
         "lost_hold_ms is {value} ms; 0 ms to one week was expected"},
        {core::SettingsFault::rotation, "rotation",
         "rotation has the code {value}; the code of hours, starts or fixed was expected"},
        {core::SettingsFault::preference, "preference",
         "the preference of pump {index} has the code {value}; the code of normal, preferred or last was "
         "expected"},
        {core::SettingsFault::exercise, "exercise",
         "exercise_ms is {value} ms; 0 ms (never) to a century was expected"},
        {core::SettingsFault::initial_hours, "initial_hours",
         "run_ms_initial of pump {index} is {value} ms; 0 ms to a century was expected"},
    }};
static_assert(complete(settings_faults, static_cast<std::size_t>(core::SettingsFault::count)),
              "every SettingsFault needs its word, in order");

/// True when every "{" of a text begins "{value}" or "{index}".
consteval bool fills_in(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i) {
        const std::string_view rest = text.substr(i);
        if (rest.front() == '{' && !rest.starts_with("{value}") && !rest.starts_with("{index}")) return false;
    }
    return true;
}
consteval bool all_fill_in() {
    for (const Word<core::SettingsFault>& fault : settings_faults)
        if (!fills_in(fault.text)) return false;
    return true;
}
static_assert(all_fill_in(), "a text of a fault names something that a finding does not have");

constexpr const Word<core::SettingsFault>& word(core::SettingsFault code) {
    return entry_of(settings_faults, code);
}

/// The finding as a clause: "pump_count is 9; 2 to 8 pumps were expected". A value that is not finite is
/// "not a finite number".
std::string clause(const core::SettingsFinding& finding);

}  // namespace freshet::words
