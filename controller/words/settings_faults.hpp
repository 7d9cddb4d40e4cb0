// Words for faults of settings, with a name and a sentence for each.
// One reason to change: a fault of settings_check.hpp that comes, goes or is better worded.
#pragma once

#include <string>

#include "controller/core/settings_check.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

/// `text` says what is wrong and what is expected. The refused value replaces "{value}". The number of the
/// point, transmitter or pump, counted from one, replaces "{index}".
inline constexpr std::array<Word<core::SettingsFault>, static_cast<std::size_t>(core::SettingsFault::count)>
    settings_faults{{
        {core::SettingsFault::none, "none", "the settings make sense"},
        {core::SettingsFault::pump_count, "pump_count", "pump_count is {value}; expected 2 to 8 pumps"},
        {core::SettingsFault::scan, "scan", "scan_ms is {value} ms; expected 20 to 1000 ms"},
        {core::SettingsFault::action, "action",
         "action has the code {value}; expected the code of direct or reverse"},
        {core::SettingsFault::measured, "measured",
         "measured has the code {value}; expected the code of level or header_pressure"},
        {core::SettingsFault::stop_mark, "stop_mark",
         "the stop mark is {value} m; expected a mark where the station needs more pumping than at "
         "low_cutoff"},
        {core::SettingsFault::stage_down_mark, "stage_down_mark",
         "the stage_down mark is {value} m; expected a mark where the station needs more pumping than at "
         "stop"},
        {core::SettingsFault::start_mark, "start_mark",
         "the start mark is {value} m; expected a mark where the station needs more pumping than at stop"},
        {core::SettingsFault::setpoint_mark, "setpoint_mark",
         "the setpoint is {value} m; expected a mark where the station needs more pumping than at "
         "stage_down"},
        {core::SettingsFault::stage_up_mark, "stage_up_mark",
         "the stage_up mark is {value} m; expected a mark where the station needs more pumping than at the "
         "setpoint"},
        {core::SettingsFault::start_past_stage_up, "start_past_stage_up",
         "the start mark is {value} m; expected a mark where the station needs no more pumping than at "
         "stage_up"},
        {core::SettingsFault::high_alarm_mark, "high_alarm_mark",
         "the high_alarm mark is {value} m; expected a mark where the station needs more pumping than at "
         "stage_up"},
        {core::SettingsFault::deadband, "deadband",
         "the deadband is {value} m; expected at least 0 m, and less than from the setpoint to stage_up and "
         "to stage_down"},
        {core::SettingsFault::level_range, "level_range",
         "level transmitter {index} reads {value} m at 20 mA; expected a finite value that differs from the "
         "value at 4 mA"},
        {core::SettingsFault::level_not_measured, "level_not_measured",
         "neither a level transmitter nor floats are fitted; expected a level transmitter or floats, because "
         "the duty holds a level"},
        {core::SettingsFault::pressure_range, "pressure_range",
         "the header's pressure transmitter reads {value} m at 20 mA; expected a finite value that differs "
         "from the value at 4 mA"},
        {core::SettingsFault::pressure_not_measured, "pressure_not_measured",
         "the header's pressure transmitter is not fitted; expected a transmitter, because the duty or the "
         "limit of the discharge pressure needs the header pressure"},
        {core::SettingsFault::selection, "selection",
         "selection has the code {value}; expected the code of average, higher or by_quality"},
        {core::SettingsFault::stale, "stale", "stale_ms is {value} ms; expected one scan to one week"},
        {core::SettingsFault::fault_hold, "fault_hold",
         "fault_hold_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::value_rate, "value_rate",
         "rate_max_m_s is {value} m/s; expected more than 0 m/s"},
        {core::SettingsFault::disagreement, "disagreement",
         "disagreement_m is {value} m; expected more than 0 m"},
        {core::SettingsFault::disagreement_hold, "disagreement_hold",
         "disagreement_hold_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::freeze, "freeze",
         "freeze_ms is {value} ms; expected 0 ms (switched off) to one week"},
        {core::SettingsFault::recover, "recover", "recover_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::store_points, "store_points", "the store has {value} points; expected 2 to 16"},
        {core::SettingsFault::store_order, "store_order",
         "point {index} of the store has a level of {value} m; expected finite levels and volumes that rise "
         "from point to point"},
        {core::SettingsFault::weir, "weir",
         "the weir has a value of {value}; expected a finite crest and a coefficient of at least 0 m1.5/s"},
        {core::SettingsFault::curve_points, "curve_points",
         "the pump's curve has {value} points; expected 2 to 64"},
        {core::SettingsFault::curve_begin, "curve_begin",
         "the pump's curve begins at {value} m3/s; expected 0 m3/s, the shut-off point"},
        {core::SettingsFault::curve_order, "curve_order",
         "point {index} of the pump's curve has a flow of {value} m3/s; expected finite flows that rise and "
         "heads that fall from point to point"},
        {core::SettingsFault::curve_end, "curve_end",
         "the pump's curve ends at a head of {value} m; expected at least 0 m"},
        {core::SettingsFault::minimum_flow, "minimum_flow",
         "minimum_flow_m3s is {value} m3/s; expected at least 0 m3/s and less than the last flow of the "
         "curve"},
        {core::SettingsFault::branch_loss, "branch_loss",
         "branch_loss_s2m5 is {value} s2/m5; expected at least 0 s2/m5"},
        {core::SettingsFault::main_points, "main_points",
         "the main's loss has {value} points; expected 0 to 24"},
        {core::SettingsFault::main_loss, "main_loss",
         "point {index} of the main's loss has a flow of {value} m3/s; expected flows of at least 0 m3/s "
         "that rise from point to point, and a loss of head that does not fall as the flow rises"},
        {core::SettingsFault::main_inertia, "main_inertia",
         "main_inertia_s2m2 is {value} s2/m2; expected at least 0 s2/m2"},
        {core::SettingsFault::discharge_level, "discharge_level",
         "discharge_level_m is {value} m; expected a finite level"},
        {core::SettingsFault::suction_level, "suction_level",
         "suction_level_m is {value} m; expected a finite level"},
        {core::SettingsFault::rated_current, "rated_current",
         "rated_current_a is {value} A; expected more than 0 A"},
        {core::SettingsFault::curve_current, "curve_current",
         "the current at point {index} of the curve is {value} A; expected at least 0 A"},
        {core::SettingsFault::no_load_current, "no_load_current",
         "no_load_current_a is {value} A; expected at least 0 A"},
        {core::SettingsFault::line_frequency, "line_frequency",
         "line_frequency_hz is {value} Hz; expected 10 to 400 Hz"},
        {core::SettingsFault::line_voltage, "line_voltage",
         "line_voltage_v is {value} V; expected more than 0 V"},
        {core::SettingsFault::speed_max, "speed_max",
         "speed_max_hz is {value} Hz; expected more than half of the line frequency, and at most 650 Hz"},
        {core::SettingsFault::speed_min, "speed_min",
         "speed_min_hz is {value} Hz; expected at least 0 Hz and less than speed_max_hz"},
        {core::SettingsFault::ramp_up, "ramp_up", "ramp_up_hz_s is {value} Hz/s; expected more than 0 Hz/s"},
        {core::SettingsFault::ramp_down, "ramp_down",
         "ramp_down_hz_s is {value} Hz/s; expected more than 0 Hz/s"},
        {core::SettingsFault::speed_tolerance, "speed_tolerance",
         "tolerance_hz is {value} Hz; expected more than 0 Hz"},
        {core::SettingsFault::rated_slip, "rated_slip", "rated_slip_ratio is {value}; expected 0 to 0.2"},
        {core::SettingsFault::arrest, "arrest", "arrest_s is {value} s; expected more than 0 s"},
        {core::SettingsFault::speed_rate, "speed_rate",
         "the demand's rate_max_hz_s is {value} Hz/s; expected more than 0 Hz/s"},
        {core::SettingsFault::draw_speed, "draw_speed",
         "number {index} of the draw's speeds is {value} Hz; expected 0 Hz, or speed_min_hz to speed_max_hz"},
        {core::SettingsFault::wake_mark, "wake_mark",
         "the sleep's wake_m is {value} m; expected a value from start_m to high_alarm_m"},
        {core::SettingsFault::boost_mark, "boost_mark",
         "the sleep's boost_m is {value} m; expected a value between stop_m and low_cutoff_m"},
        {core::SettingsFault::flow_loss, "flow_loss",
         "the flow setpoint's loss_s2m5 is {value} s2/m5; expected at least 0 s2/m5"},
        {core::SettingsFault::flow_rise, "flow_rise",
         "the flow setpoint's rise_max_m is {value} m; expected at least 0 m, and a stop mark within the "
         "cut-off"},
        {core::SettingsFault::cheap_hours, "cheap_hours",
         "the cheap hours have the mask {value}; expected a bit for each hour of the day"},
        {core::SettingsFault::cheap_rise, "cheap_rise",
         "the cheap hours' rise_m is {value} m; expected at least 0 m, and a stop mark within the cut-off"},
        {core::SettingsFault::utc_offset, "utc_offset",
         "utc_offset_ms is {value} ms; expected at most a day either way"},
        {core::SettingsFault::draw_down_time, "draw_down_time",
         "the draw-down begins at {value} ms; expected days of the week, a time of day and less than a day"},
        {core::SettingsFault::draw_down_level, "draw_down_level",
         "the draw-down's level_m is {value} m; expected a level between low_cutoff_m and stop_m"},
        {core::SettingsFault::scour_time, "scour_time",
         "the scour begins at {value} ms; expected days of the week, a time of day and less than a day"},
        {core::SettingsFault::scour_flow, "scour_flow",
         "the scour's flow_m3s is {value} m3/s; expected at least 0 m3/s"},
        {core::SettingsFault::scour_lasts, "scour_lasts",
         "the scour's lasts_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::up_delay, "up_delay", "up_delay_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::down_delay, "down_delay",
         "down_delay_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::observer, "observer", "observer_s is {value} s; expected more than 0 s"},
        {core::SettingsFault::forecast_margin, "forecast_margin",
         "forecast_margin is {value}; expected at least 1"},
        {core::SettingsFault::lag_count, "lag_count",
         "lag_count is {value}; expected 0, or one pair of marks for each pump but the first"},
        {core::SettingsFault::lag_start, "lag_start",
         "the start mark of lag pump {index} is {value} m; expected the start mark of the pump ahead of "
         "it, or a mark from there to the high alarm mark"},
        {core::SettingsFault::lag_stop, "lag_stop",
         "the stop mark of lag pump {index} is {value} m; expected the stop mark of the pump ahead of it, "
         "or a mark from there to its own start mark"},
        {core::SettingsFault::slip_max, "slip_max", "slip_max_hz is {value} Hz; expected more than 0 Hz"},
        {core::SettingsFault::voltage_max, "voltage_max",
         "voltage_max_ratio is {value}; expected more than 0 and at most 1"},
        {core::SettingsFault::angle_max, "angle_max",
         "angle_max_deg is {value} deg; expected more than 0 deg and at most 60 deg"},
        {core::SettingsFault::sync_hold, "sync_hold",
         "the sync check's hold_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::line_side_closing, "line_side_closing",
         "line_side_closing_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::drive_side_closing, "drive_side_closing",
         "drive_side_closing_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::sync_age, "sync_age",
         "age_max_ms is {value} ms; expected one scan to one week"},
        {core::SettingsFault::step_close, "step_close",
         "close_ms is {value} ms; expected one scan to one week"},
        {core::SettingsFault::step_open, "step_open", "open_ms is {value} ms; expected one scan to one week"},
        {core::SettingsFault::step_overlap, "step_overlap",
         "overlap_ms is {value} ms; expected one scan to one week"},
        {core::SettingsFault::drive_start, "drive_start",
         "drive_start_ms is {value} ms; expected one scan to one week"},
        {core::SettingsFault::ramp_margin, "ramp_margin",
         "ramp_margin_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::synchronise, "synchronise",
         "synchronise_ms is {value} ms; expected one scan to one week"},
        {core::SettingsFault::synchronise_expected, "synchronise_expected",
         "synchronise_expected_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::retry_pause, "retry_pause",
         "retry_pause_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::transfer_pause, "transfer_pause",
         "transfer_pause_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::attempts_max, "attempts_max", "attempts_max is {value}; expected at least 1"},
        {core::SettingsFault::rest_min, "rest_min", "rest_min_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::run_min, "run_min", "run_min_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::starts_per_hour, "starts_per_hour",
         "starts_per_hour_max is {value}; expected at least 1"},
        {core::SettingsFault::transfers_per_hour, "transfers_per_hour",
         "transfers_per_hour_max is {value}; expected at least 1"},
        {core::SettingsFault::trips_per_hour, "trips_per_hour",
         "trips_per_hour_max is {value}; expected 1 to 12"},
        {core::SettingsFault::residual_voltage, "residual_voltage",
         "residual_voltage_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::winding_temperature, "winding_temperature",
         "winding_temperature_max_k is {value} K; expected 273 to 573 K"},
        {core::SettingsFault::pumps_on_line, "pumps_on_line",
         "pumps_max_on_line is {value}; expected at least 1"},
        {core::SettingsFault::current_loss, "current_loss",
         "current_loss_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::pressure_max, "pressure_max",
         "discharge_pressure_max_m is {value} m; expected at least 0 m (0 m switches the limit off)"},
        {core::SettingsFault::pressure_hold, "pressure_hold",
         "discharge_pressure_hold_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::delivery_hold, "delivery_hold",
         "delivery.hold_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::delivery_lost, "delivery_lost",
         "delivery.lost_max_ratio is {value}; expected more than 0 and at most 1"},
        {core::SettingsFault::warm_starts, "warm_starts",
         "warm_starts_max is {value}; expected at least 1, and no more than cold_starts_max"},
        {core::SettingsFault::cool, "cool",
         "cool_ms is {value} ms; expected more than 0 ms and at most a century"},
        {core::SettingsFault::succession_rest, "succession_rest",
         "the succession's rest_ms is {value} ms; expected more than 0 ms and at most cool_ms"},
        {core::SettingsFault::even_run, "even_run",
         "even_run_ms is {value} ms; expected more than 0 ms and at most a century"},
        {core::SettingsFault::line_start_spacing, "line_start_spacing",
         "the line start's spacing_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::supply_dip, "supply_dip",
         "supply_dip_max_ratio is {value}; expected more than 0 and at most 1"},
        {core::SettingsFault::short_circuit, "short_circuit",
         "short_circuit_va is {value} VA; expected at least 0 VA"},
        {core::SettingsFault::locked_rotor_current, "locked_rotor_current",
         "locked_rotor_current_ratio is {value}; expected at least 1"},
        {core::SettingsFault::float_hold, "float_hold",
         "the floats' hold_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::float_run_on, "float_run_on",
         "run_on_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::settle, "settle", "settle_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::start_spacing, "start_spacing",
         "the restart's spacing_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::drive_wait, "drive_wait",
         "drive_wait_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::voltage_min, "voltage_min",
         "voltage_min_ratio is {value}; expected more than 0 and at most 1"},
        {core::SettingsFault::frequency_band, "frequency_band",
         "frequency_band_ratio is {value}; expected more than 0 and at most 1"},
        {core::SettingsFault::supply_lost_hold, "supply_lost_hold",
         "lost_hold_ms is {value} ms; expected 0 ms to one week"},
        {core::SettingsFault::rotation, "rotation",
         "rotation has the code {value}; expected the code of hours, starts, fixed, alternation or "
         "order"},
        {core::SettingsFault::preference, "preference",
         "the preference of pump {index} has the code {value}; expected the code of normal, preferred or "
         "last"},
        {core::SettingsFault::places, "places",
         "pump {index} has the place {value} in the operator's order; expected for each pump a place of "
         "its own from 0 to pump_count - 1, and no preference"},
        {core::SettingsFault::exercise, "exercise",
         "exercise_ms is {value} ms; expected 0 ms (never) to a century"},
        {core::SettingsFault::run_longest, "run_longest",
         "run_longest_ms is {value} ms; expected 0 ms (never) to a century"},
        {core::SettingsFault::initial_hours, "initial_hours",
         "run_ms_initial of pump {index} is {value} ms; expected 0 ms to a century"},
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

/// The finding as a clause: "pump_count is 9; expected 2 to 8 pumps". A value that is not finite is
/// "not a finite number".
std::string clause(const core::SettingsFinding& finding);

}  // namespace freshet::words
