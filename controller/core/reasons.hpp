// The codes of sequences, steps, reasons, alarms and events. controller/words holds their words.
// One reason to change: a new event, or a new reason for an event.
#pragma once

#include <array>
#include <cstdint>

namespace freshet::core {

/// The pump number that names no pump.
inline constexpr std::uint8_t no_pump = 0xFF;

/// The sequences of a pump.
enum class Sequence : std::uint8_t {
    none,
    start_on_drive,
    hand_over,
    take_back,
    stop_on_drive,
    stop_from_line,
    line_start,
    count
};

/// Steps of all sequences; controller/core/sequences.hpp says what each advises and waits for.
enum class Step : std::uint8_t {
    idle,
    // start on drive
    start_close_drive_side,
    start_close_output,
    start_run,
    // hand-over
    over_line_frequency,
    over_synchronise,
    over_close_line_side,
    over_open_output,
    over_open_drive_side,
    over_withdraw_line_side,
    over_fallback_drive_side,
    // take-back
    back_close_output,
    back_line_frequency,
    back_synchronise,
    back_close_drive_side,
    back_open_line_side,
    back_withdraw_drive_side,
    back_withdraw_stop,
    back_withdraw_output,
    // stop on drive; also the way out of a failed start and of a lost drive
    stop_ramp,
    stop_drive,
    stop_open_output,
    stop_open_drive_side,
    // stop from line
    line_stop_open,
    // line start
    line_start_close,
    line_start_withdraw,
    count
};

/// Why something changed. The comment at a reason names its values, in order and with units.
enum class Reason : std::uint8_t {
    none,
    // reading the picture at start
    picture_consistent,  // settled_ms
    found_on_line,
    found_on_drive,
    found_off,
    found_both_closed,
    // staging
    value_past_start,  // value_m, start_m
    demand_at_top,     // speed_hz, value_m, stage_up_m, held_ms
    forecast_short,    // inflow_m3s, pumped_m3s, time_to_mark_s, time_needed_s
    demand_at_bottom,  // speed_hz, value_m, stage_down_m, held_ms
    value_past_stop,   // value_m, stop_m
    band_ridden,       // value_m, stage_down_m; the drive is free and takes the next pump back
    exercise_due,      // idle_h
    // progress
    confirmed,  // elapsed_ms
    in_sync,    // slip_hz, voltage_ratio, angle_at_closing_deg, held_ms
    // failure
    timed_out,            // elapsed_ms, limit_ms, attempt
    sync_lost,            // slip_hz, voltage_ratio, angle_at_closing_deg
    sync_disagrees,       // slip_hz, voltage_ratio, angle_at_closing_deg; only the drive reports synchronism
    contact_contradicts,  // advised, confirmed
    current_missing,      // current_a, held_ms
    drive_tripped,
    drive_not_ready,
    drive_lost,
    pump_tripped,
    attempts_spent,  // attempts
    // protection and people
    low_cutoff,  // value_m, low_cutoff_m
    low_float,
    high_float,
    emergency_stop,
    selector_off,
    selector_hand,
    selector_automatic,
    permission_lost,  // permissive code
    supply_lost,
    pumps_max_reached,
    // data
    data_good,
    data_uncertain,
    data_bad,               // value_m, age_ms, cause
    transmitters_disagree,  // value_1_m, value_2_m
    service_better,
    service_worse,
    value_high,  // value_m, high_alarm_m
    returned_normal,
    acknowledged,
    time_back,       // the time went back, so the scan was refused
    forecast_empty,  // inflow_m3s, pumped_m3s, time_to_mark_s, time_needed_s
    // people and alarms
    shelved,  // shelved_s
    shelving_over,
    asked_for,
    picture_unread,
    pressure_high,  // pressure_m, limit_m
    no_pump_left,
    refused,       // permissive code, wait_ms; more pumping is wanted, but a limit refuses
    limit_yields,  // permissive code; a limit gives way, because the water is in danger
    // return after an outage
    reset_awaited,  // the emergency stop was released, and nobody has reset it yet
    reset_at_controller,
    reset_at_station,
    emergency_stop_unread,
    drive_awaited,  // left_ms; until then no pump starts on the line
    // what a pump delivers; a value that is not measured is NaN
    no_delivery,           // flow_m3s, expected_m3s, current_a, expected_a
    flow_back,             // flow_m3s, expected_m3s
    flow_lost,             // lost_ratio, flow_m3s, expected_m3s
    witnesses_contradict,  // vote code, contradiction code, value_m
    last_inflow,           // inflow_m3s, running_m3s, age_s; no transmitter is believed
    hold_over,             // allowed_s, inflow_m3s, outflow_m3s; nothing is read any more
    trips_spent,           // trips; within an hour
    opened_late,           // attempts; a contactor was read open soon after its time limit
    // why the staging chose a pump among those free to start; next_pump is the next in the order, from 1
    only_pump_free,
    preferred,  // next_pump
    // and `pumps` is how many free pumps were equal in everything that comes before
    fewest_starts_in_hour,  // starts, next_starts, next_pump, pumps
    fewest_hours,           // run_h, next_run_h, next_pump, pumps
    fewest_starts,          // starts, next_starts, next_pump, pumps
    next_in_alternation,    // last_pump, next_pump, pumps; last_pump started last
    first_in_order,         // place, next_place, next_pump, pumps; places from 1
    lowest_number,          // next_pump, pumps
    idle_longest,           // idle_h, next_idle_h, next_pump, pumps; its exercise is due
    can_be_handed_over,     // passed_pump; this pump comes before, but cannot be handed over
    run_longest,            // run_h; the pump makes room for another after a long run
    // what the duty asks of the water
    draw_saves_energy,     // inflow_m3s, drawn_m3s, speed_hz
    draw_too_small,        // inflow_m3s, drawn_m3s; the draw does not carry the inflow
    draw_not_possible,     // the inflow is not known, no transmitter is believed, or the drive is lost
    drawn_down,            // value_m, mark_m, speed_hz
    demand_below_minimum,  // demand_m3s, minimum_flow_m3s
    demand_above_minimum,  // demand_m3s, minimum_flow_m3s
    vessel_charged,        // value_m, boost_m
    cheap_hours_begun,     // rise_m
    cheap_hours_over,      // rise_m
    time_of_day,           // a task at a stated time begins
    water_awaited,         // value_m, start_m; the scour waits for water
    water_there,           // value_m, flow_m3s, lasts_s
    well_drawn_down,       // value_m, level_m
    main_scoured,          // flow_m3s, lasts_s
    pumps_needed,          // inflow_m3s, carried_m3s; a task at a stated time is given up
    time_over,             // within_s; a task at a stated time is given up
    water_too_little,      // needed_m3, stored_m3; the scour is given up
    scour_cut_short,       // lasted_s, lasts_s; the pump has stopped, and the scour is given up
    count
};

/// Why a pump may not start (or must stop).
enum class Permissive : std::uint8_t {
    none,
    not_automatic,
    tripped,
    seal_leak,
    winding_hot,
    resting,
    starts_limit,
    residual_voltage,
    locked_out,
    contact_contradiction,
    emergency_stop,
    low_cutoff,
    data_bad,
    supply,
    transfers_limit,
    drive,
    spacing,
    pumps_limit,
    settling,
    minimum_run,
    succession,
    pressure_high,
    retry_pause,
    reset_awaited,
    drive_awaited,
    count
};

/// Alarms of the station; a bit each.
enum class StationAlarm : std::uint8_t {
    value_high,
    high_float,
    value_low_cutoff,
    low_float,
    transmitter_1,
    transmitter_2,
    transmitters_disagree,
    value_bad,
    drive_tripped,
    drive_not_ready,
    drive_locked_out,
    output_does_not_close,
    output_does_not_open,
    drive_does_not_run,
    drive_does_not_stop,
    not_in_sync,
    sync_check_disagrees,
    link_lost,
    supply,
    emergency_stop,
    all_pumps_running,
    no_pump_available,
    fixed_speed_service,
    witnesses_contradict,
    restarted_in_transfer,
    picture_inconsistent,
    discharge_pressure_high,
    discharge_pressure_unknown,
    limit_refuses,
    limit_yields,
    reset_awaited,
    count
};

/// Alarms of a pump; a bit each.
enum class PumpAlarm : std::uint8_t {
    tripped,
    drive_side_does_not_close,
    drive_side_does_not_open,
    line_side_does_not_close,
    line_side_does_not_open,
    not_running,
    locked_out,
    starts_limit,
    seal_leak,
    winding_hot,
    runs_unadvised,
    hand_over_failed,
    take_back_failed,
    no_delivery,
    flow_back,
    flow_lost,
    count
};

/// How soon people must answer an alarm.
enum class AlarmPriority : std::uint8_t { low, medium, high, count };

/// Groups of alarms that tend to come together. The first alarm of a group is marked.
enum class AlarmGroup : std::uint8_t { water, measurement, drive, transfer, power, pump, count };

/// What the duty asks of the water.
enum class WaterMode : std::uint8_t {
    hold,           ///< the value is held at the setpoint
    fill_and_draw,  ///< the drive pump draws the store down, stops, and lets the store fill
    sleep,          ///< the pump charges the vessel and stops, and the vessel supplies the demand
    cheap_fill,     ///< the marks rise towards a fuller store, because the energy is cheap now
    draw_down,      ///< a pump draws the well down to a stated level
    scour_wait,     ///< the store fills for a scour
    scour,          ///< a pump scours the main at a stated flow
    count
};

/// What an event reports. The comment names the enum of its detail.
enum class EventKind : std::uint8_t {
    sequence_begun,      // sequence
    step_entered,        // step
    sequence_done,       // sequence
    sequence_withdrawn,  // sequence
    pump_state,          // PumpState
    service,             // Service
    measured_quality,    // Quality
    alarm_raised,
    alarm_returned,   // StationAlarm, or PumpAlarm when a pump is named
    protective_stop,  // Permissive
    // orders of people about an alarm; detail as in alarm_returned
    alarm_acknowledged,
    alarm_shelved,
    alarm_unshelved,
    alarm_out_of_service,
    alarm_in_service,
    // decisions of the staging; detail is a Permissive
    refused,
    limit_yielded,
    // the reset of people after an emergency stop
    emergency_stop_reset,  // Permissive::none
    reset_refused,         // Permissive
    pump_chosen,           // sequence; which pump starts, and why this pump
    water_mode,            // WaterMode
    count
};

/// One change and its reason. The events of a controller are numbered from 1 without a gap.
struct Event {
    std::uint32_t number = 0;
    std::uint32_t cause_number = 0;  ///< the event that led to this one; 0: none
    std::array<double, 4> values{};  ///< listed at Reason; NaN: not known
    EventKind what = EventKind::step_entered;
    std::uint8_t detail = 0;      ///< a value of the enum that EventKind names
    std::uint8_t pump = no_pump;  ///< counts from zero
    Reason why = Reason::none;
};

}  // namespace freshet::core
