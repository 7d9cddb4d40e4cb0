// Whether settings make sense, before a controller builds anything on them.
// One reason to change: a setting that comes or goes, or the range in which it makes sense.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "controller/core/settings.hpp"

namespace freshet::core {

/// What can be wrong with settings: one fault for each rule, in the order of settings.hpp.
enum class SettingsFault : std::uint8_t {
    none,
    pump_count,
    scan,
    action,
    measured,
    // marks
    stop_mark,
    stage_down_mark,
    start_mark,
    setpoint_mark,
    stage_up_mark,
    start_past_stage_up,
    high_alarm_mark,
    deadband,
    // transmitters
    level_range,
    level_not_measured,
    pressure_range,
    pressure_not_measured,
    selection,
    stale,
    fault_hold,
    value_rate,
    disagreement,
    disagreement_hold,
    freeze,
    recover,
    // store, pump and main
    store_points,
    store_order,
    weir,
    curve_points,
    curve_begin,
    curve_order,
    curve_end,
    minimum_flow,
    branch_loss,
    main_points,
    main_loss,
    main_inertia,
    discharge_level,
    suction_level,
    rated_current,
    curve_current,
    no_load_current,
    // drive and demand
    line_frequency,
    line_voltage,
    speed_max,
    speed_min,
    ramp_up,
    ramp_down,
    speed_tolerance,
    rated_slip,
    arrest,
    speed_rate,
    draw_speed,
    wake_mark,
    boost_mark,
    flow_loss,
    flow_rise,
    cheap_hours,
    cheap_rise,
    utc_offset,
    draw_down_time,
    draw_down_level,
    scour_time,
    scour_flow,
    scour_lasts,
    // staging
    up_delay,
    down_delay,
    observer,
    forecast_margin,
    lag_count,
    lag_start,
    lag_stop,
    // sync check
    slip_max,
    voltage_max,
    angle_max,
    sync_hold,
    line_side_closing,
    drive_side_closing,
    sync_age,
    // limits of steps
    step_close,
    step_open,
    step_overlap,
    drive_start,
    ramp_margin,
    synchronise,
    synchronise_expected,
    retry_pause,
    transfer_pause,
    attempts_max,
    // permissives
    rest_min,
    run_min,
    starts_per_hour,
    transfers_per_hour,
    trips_per_hour,
    residual_voltage,
    winding_temperature,
    pumps_on_line,
    current_loss,
    pressure_max,
    pressure_hold,
    // delivery
    delivery_hold,
    delivery_lost,
    // starts in succession
    warm_starts,
    cool,
    succession_rest,
    even_run,
    // starts on the line, floats, restart, supply
    line_start_spacing,
    supply_dip,
    short_circuit,
    locked_rotor_current,
    float_hold,
    float_run_on,
    settle,
    start_spacing,
    drive_wait,
    voltage_min,
    frequency_band,
    supply_lost_hold,
    // rotation
    rotation,
    preference,
    places,
    exercise,
    run_longest,
    initial_hours,
    count
};

/// What a check found. `index` counts from zero and says which point, transmitter or pump is meant, where a
/// setting has several. `value` is the refused value in the setting's own unit.
struct SettingsFinding {
    SettingsFault fault = SettingsFault::none;
    std::uint8_t index = 0;
    double value = 0;
    bool sound() const noexcept { return fault == SettingsFault::none; }
};

/// What one rule says of settings: whether the rule holds, and which value decided.
struct RuleResult {
    bool holds = true;
    std::uint8_t index = 0;
    double value = 0;
};

/// One rule. Each is defined for any bytes of settings: no rule relies on another one.
struct SettingsRule {
    SettingsFault fault;
    RuleResult (*judge)(const Settings& settings) noexcept;
};

/// All rules, one for each fault after `none`, in the order of SettingsFault.
std::span<const SettingsRule> settings_rules() noexcept;

/// The first rule that settings break; sound() when they break none. Never allocates or throws. A Controller
/// built on sound settings has no undefined behaviour. Whether pumps, main and store suit each other is
/// another question, which the core does not ask.
SettingsFinding check(const Settings& settings) noexcept;

}  // namespace freshet::core
