// Words for reasons: the clause after "because", with the names and units of the values in it.
// One reason to change: a reason of reasons.hpp that comes, goes, carries other values or is better worded.
#pragma once

#include "controller/core/reasons.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

/// What a value of a reason is; numbers by unit, then codes that stand for a word.
enum class Unit : std::uint8_t {
    m,
    m3,
    m3s,
    hz,
    a,
    deg,
    ratio,
    h,
    s,
    ms,
    count,
    contact,
    permissive,
    quality_cause
};

struct Value {
    std::string_view name;  ///< as in the journal, unit last; empty: no such value
    Unit unit = Unit::count;
};

/// `text` completes "because ...". The values with their units replace "{0}" to "{3}".
struct ReasonWord {
    core::Reason code;
    std::string_view name;
    std::string_view text;
    std::array<Value, 4> values{};
    std::string_view bare{};  ///< the clause when the values are not known
};

inline constexpr std::array<ReasonWord, static_cast<std::size_t>(core::Reason::count)> reasons{{
    {core::Reason::none, "none", "no reason is known"},
    // reading the picture at start
    {core::Reason::picture_consistent,
     "picture_consistent",
     "the readings of contactors and drive had been free of contradictions for {0}",
     {{{"settled_ms", Unit::ms}}}},
    {core::Reason::found_on_line, "found_on_line", "the pump was found running on the line"},
    {core::Reason::found_on_drive, "found_on_drive", "the pump was found on the drive"},
    {core::Reason::found_off, "found_off", "the pump was found off"},
    {core::Reason::found_both_closed, "found_both_closed", "both contactors of the pump were found closed"},
    // staging
    {core::Reason::value_past_start,
     "value_past_start",
     "the measured value {0} had passed the start mark {1}",
     {{{"value_m", Unit::m}, {"start_m", Unit::m}}}},
    {core::Reason::demand_at_top,
     "demand_at_top",
     "the drive pump had run at the top of its speed range ({0}) for {3}, and the measured value {1} was "
     "past the stage-up mark {2}",
     {{{"speed_hz", Unit::hz}, {"value_m", Unit::m}, {"stage_up_m", Unit::m}, {"held_ms", Unit::ms}}}},
    {core::Reason::forecast_short,
     "forecast_short",
     "at an inflow of {0} with {1} pumped, the measured value would reach the next mark in {2}, and starting "
     "another pump takes {3}",
     {{{"inflow_m3s", Unit::m3s},
       {"pumped_m3s", Unit::m3s},
       {"time_to_mark_s", Unit::s},
       {"time_needed_s", Unit::s}}}},
    {core::Reason::demand_at_bottom,
     "demand_at_bottom",
     "the drive pump had run at minimum-flow speed ({0}) for {3}, and the measured value {1} was past the "
     "stage-down mark {2}",
     {{{"speed_hz", Unit::hz}, {"value_m", Unit::m}, {"stage_down_m", Unit::m}, {"held_ms", Unit::ms}}}},
    {core::Reason::value_past_stop,
     "value_past_stop",
     "the measured value {0} had passed the stop mark {1}",
     {{{"value_m", Unit::m}, {"stop_m", Unit::m}}}},
    {core::Reason::band_ridden,
     "band_ridden",
     "a stage-down had freed the drive, and the drive takes a line pump back (measured value {0}, stage-down "
     "mark {1})",
     {{{"value_m", Unit::m}, {"stage_down_m", Unit::m}}}},
    {core::Reason::exercise_due, "exercise_due", "the pump had not run for {0}", {{{"idle_h", Unit::h}}}},
    // progress
    {core::Reason::confirmed,
     "confirmed",
     "the step before was confirmed after {0}",
     {{{"elapsed_ms", Unit::ms}}}},
    {core::Reason::in_sync,
     "in_sync",
     "the drive reported in sync and the sync check agreed for {3} (slip {0}, voltage difference {1}, angle "
     "at the closing {2})",
     {{{"slip_hz", Unit::hz},
       {"voltage_ratio", Unit::ratio},
       {"angle_at_closing_deg", Unit::deg},
       {"held_ms", Unit::ms}}}},
    // failure
    {core::Reason::timed_out,
     "timed_out",
     "no confirmation came within {1} (waited {0}, attempt {2})",
     {{{"elapsed_ms", Unit::ms}, {"limit_ms", Unit::ms}, {"attempt", Unit::count}}},
     "no confirmation came within the time limit"},
    {core::Reason::sync_lost,
     "sync_lost",
     "the drive fell out of sync with the line (slip {0}, voltage difference {1}, angle at the closing {2})",
     {{{"slip_hz", Unit::hz}, {"voltage_ratio", Unit::ratio}, {"angle_at_closing_deg", Unit::deg}}}},
    {core::Reason::sync_disagrees,
     "sync_disagrees",
     "the drive reported in sync but the sync check did not agree (slip {0}, voltage difference {1}, angle "
     "at the closing {2})",
     {{{"slip_hz", Unit::hz}, {"voltage_ratio", Unit::ratio}, {"angle_at_closing_deg", Unit::deg}}},
     "the drive reported in sync but the sync check did not agree"},
    {core::Reason::contact_contradicts,
     "contact_contradicts",
     "a contactor was reported {1}, but the advice was {0}",
     {{{"advised", Unit::contact}, {"confirmed", Unit::contact}}},
     "a contactor was not reported as advised"},
    {core::Reason::current_missing,
     "current_missing",
     "the motor current was only {0} for {1}",
     {{{"current_a", Unit::a}, {"held_ms", Unit::ms}}},
     "the motor current was missing"},
    {core::Reason::drive_tripped, "drive_tripped", "the drive had tripped"},
    {core::Reason::drive_not_ready, "drive_not_ready", "the drive was not ready"},
    {core::Reason::drive_lost, "drive_lost", "the drive stopped running or could not be used"},
    {core::Reason::pump_tripped, "pump_tripped", "the pump had tripped"},
    {core::Reason::attempts_spent,
     "attempts_spent",
     "{0} attempts in a row had failed",
     {{{"attempts", Unit::count}}},
     "too many attempts in a row had failed"},
    // protection and people
    {core::Reason::low_cutoff,
     "low_cutoff",
     "the measured value {0} was below the low cut-off {1}",
     {{{"value_m", Unit::m}, {"low_cutoff_m", Unit::m}}}},
    {core::Reason::low_float, "low_float", "the low float had dropped"},
    {core::Reason::high_float, "high_float", "the high float had risen"},
    {core::Reason::emergency_stop, "emergency_stop", "the emergency stop was operated"},
    {core::Reason::selector_off, "selector_off", "the selector was put to Off"},
    {core::Reason::selector_hand, "selector_hand", "the selector was put to Hand"},
    {core::Reason::selector_automatic, "selector_automatic", "the selector was put to Auto"},
    {core::Reason::permission_lost,
     "permission_lost",
     "{0}",
     {{{"permissive", Unit::permissive}}},
     "a condition for running was not met"},
    {core::Reason::supply_lost, "supply_lost", "the supply was lost"},
    {core::Reason::pumps_max_reached, "pumps_max_reached", "more pumps ran than the supply allows"},
    // data
    {core::Reason::data_good,
     "data_good",
     "the measured value {0} passed every check (reading {1} old)",
     {{{"value_m", Unit::m}, {"age_ms", Unit::ms}, {"quality_cause", Unit::quality_cause}}}},
    {core::Reason::data_uncertain,
     "data_uncertain",
     "the measured value {0} was uncertain ({2}; reading {1} old)",
     {{{"value_m", Unit::m}, {"age_ms", Unit::ms}, {"quality_cause", Unit::quality_cause}}}},
    {core::Reason::data_bad,
     "data_bad",
     "the measured value {0} was bad ({2}; reading {1} old)",
     {{{"value_m", Unit::m}, {"age_ms", Unit::ms}, {"quality_cause", Unit::quality_cause}}},
     "the reading was bad"},
    {core::Reason::transmitters_disagree,
     "transmitters_disagree",
     "the transmitters disagreed ({0} and {1})",
     {{{"value_1_m", Unit::m}, {"value_2_m", Unit::m}}}},
    {core::Reason::service_better, "service_better", "a better service was possible again"},
    {core::Reason::service_worse, "service_worse", "the better service was no longer possible"},
    {core::Reason::value_high,
     "value_high",
     "the measured value {0} had passed the high alarm mark {1}",
     {{{"value_m", Unit::m}, {"high_alarm_m", Unit::m}}}},
    {core::Reason::returned_normal, "returned_normal", "its condition ended"},
    {core::Reason::acknowledged, "acknowledged", "somebody acknowledged the alarm"},
    {core::Reason::time_back, "time_back", "station time went backwards, and the controller refused it"},
    {core::Reason::forecast_empty,
     "forecast_empty",
     "at an inflow of {0} with {1} pumped at minimum-flow speed, the measured value would reach the stop "
     "mark in {2}, and taking a line pump back takes {3}",
     {{{"inflow_m3s", Unit::m3s},
       {"pumped_m3s", Unit::m3s},
       {"time_to_mark_s", Unit::s},
       {"time_needed_s", Unit::s}}}},
    {core::Reason::shelved, "shelved", "somebody shelved the alarm for {0}", {{{"shelved_s", Unit::s}}}},
    {core::Reason::shelving_over, "shelving_over", "the shelving time was over"},
    {core::Reason::asked_for, "asked_for", "somebody gave the order"},
    {core::Reason::picture_unread, "picture_unread", "contactors or drive signals were not read"},
    {core::Reason::pressure_high,
     "pressure_high",
     "the discharge pressure {0} had reached its limit {1}",
     {{{"pressure_m", Unit::m}, {"limit_m", Unit::m}}}},
    {core::Reason::no_pump_left, "no_pump_left", "no pump was left to start"},
    {core::Reason::refused,
     "refused",
     "{0} (time left {1})",
     {{{"permissive", Unit::permissive}, {"wait_ms", Unit::ms}}},
     "a limit refused"},
    {core::Reason::limit_yields,
     "limit_yields",
     "the water was in danger, and keeping the water in comes before this limit: {0}",
     {{{"permissive", Unit::permissive}}},
     "the water was in danger, and keeping the water in comes before the limit"},
    {core::Reason::reset_awaited, "reset_awaited",
     "the emergency stop was released, and no pump starts before a person resets it"},
    {core::Reason::reset_at_controller, "reset_at_controller", "somebody gave the reset at the controller"},
    {core::Reason::reset_at_station, "reset_at_station", "somebody pressed the reset button at the station"},
    {core::Reason::emergency_stop_unread, "emergency_stop_unread", "the emergency stop was not read"},
    {core::Reason::drive_awaited,
     "drive_awaited",
     "the drive was expected back within {0}",
     {{{"left_ms", Unit::ms}}},
     "the drive was expected back soon"},
    // what a pump delivers
    {core::Reason::no_delivery,
     "no_delivery",
     "the pump did not deliver what its curve gives (flow {0}, by the curve {1}; motor current {2}, by the "
     "curve {3})",
     {{{"flow_m3s", Unit::m3s},
       {"expected_m3s", Unit::m3s},
       {"current_a", Unit::a},
       {"expected_a", Unit::a}}}},
    {core::Reason::flow_back,
     "flow_back",
     "only {0} left the station, although the running pumps delivered {1} by their curves and motor currents",
     {{{"flow_m3s", Unit::m3s}, {"expected_m3s", Unit::m3s}}}},
    {core::Reason::flow_lost,
     "flow_lost",
     "the pump had delivered {0} less than its curve while it ran alone ({1} of {2})",
     {{{"lost_ratio", Unit::ratio}, {"flow_m3s", Unit::m3s}, {"expected_m3s", Unit::m3s}}}},
    // what the duty asks of the water
    {core::Reason::draw_saves_energy,
     "draw_saves_energy",
     "the inflow {0} was less than the {1} that the pumps carry at the speed of least energy ({2})",
     {{{"inflow_m3s", Unit::m3s}, {"drawn_m3s", Unit::m3s}, {"speed_hz", Unit::hz}}}},
    {core::Reason::draw_too_small,
     "draw_too_small",
     "the inflow {0} was outside of what fill and draw carries (up to {1})",
     {{{"inflow_m3s", Unit::m3s}, {"drawn_m3s", Unit::m3s}}}},
    {core::Reason::draw_not_possible, "draw_not_possible",
     "the flow of the water was not known, or the measured value was bad"},
    {core::Reason::drawn_down,
     "drawn_down",
     "the drive pump had moved the water from mark to mark at the speed of least energy ({2}), and the "
     "measured value {0} had passed the mark {1}",
     {{{"value_m", Unit::m}, {"mark_m", Unit::m}, {"speed_hz", Unit::hz}}}},
    {core::Reason::demand_below_minimum,
     "demand_below_minimum",
     "the demand {0} was less than the minimum flow of one pump ({1})",
     {{{"demand_m3s", Unit::m3s}, {"minimum_flow_m3s", Unit::m3s}}}},
    {core::Reason::demand_above_minimum,
     "demand_above_minimum",
     "the demand {0} was not less than the minimum flow of one pump ({1}), or a pump ran on the line",
     {{{"demand_m3s", Unit::m3s}, {"minimum_flow_m3s", Unit::m3s}}}},
    {core::Reason::vessel_charged,
     "vessel_charged",
     "the pressure {0} had reached the boost mark {1}",
     {{{"value_m", Unit::m}, {"boost_m", Unit::m}}}},
    {core::Reason::cheap_hours_begun,
     "cheap_hours_begun",
     "cheap hours began, and the marks may rise by {0}",
     {{{"rise_m", Unit::m}}}},
    {core::Reason::cheap_hours_over,
     "cheap_hours_over",
     "the cheap hours were over, and the marks fell by {0}",
     {{{"rise_m", Unit::m}}}},
    {core::Reason::time_of_day, "time_of_day", "the stated time of day had come"},
    {core::Reason::water_awaited,
     "water_awaited",
     "the stated time of day had come, and the measured value {0} had not reached the start mark {1}",
     {{{"value_m", Unit::m}, {"start_m", Unit::m}}}},
    {core::Reason::water_there,
     "water_there",
     "the water was there (measured value {0}) for {1} during {2}",
     {{{"value_m", Unit::m}, {"flow_m3s", Unit::m3s}, {"lasts_s", Unit::s}}}},
    {core::Reason::well_drawn_down,
     "well_drawn_down",
     "the measured value {0} had reached the level of the draw-down {1}",
     {{{"value_m", Unit::m}, {"level_m", Unit::m}}}},
    {core::Reason::main_scoured,
     "main_scoured",
     "the main had been scoured with {0} for {1}",
     {{{"flow_m3s", Unit::m3s}, {"lasts_s", Unit::s}}}},
    {core::Reason::pumps_needed,
     "pumps_needed",
     "the pumps were needed for the inflow {0} (one pump carries {1} with a reserve), so that the cleaning "
     "was "
     "given up",
     {{{"inflow_m3s", Unit::m3s}, {"carried_m3s", Unit::m3s}}}},
    {core::Reason::time_over,
     "time_over",
     "the time for the cleaning ({0}) was over, so that the cleaning was given up",
     {{{"within_s", Unit::s}}}},
    {core::Reason::water_too_little,
     "water_too_little",
     "the scour needs {0} of water and the store has {1}, so that the cleaning was given up",
     {{{"needed_m3", Unit::m3}, {"stored_m3", Unit::m3}}}},
}};
static_assert(complete(reasons, static_cast<std::size_t>(core::Reason::count)),
              "every Reason needs its word, in order");

/// True when every "{n}" of a text names a value that the reason has, and the values leave no gap.
consteval bool placeholders_agree(const ReasonWord& reason) {
    for (std::size_t i = 1; i < reason.values.size(); ++i) {
        if (!reason.values[i].name.empty() && reason.values[i - 1].name.empty()) return false;
    }
    for (std::size_t i = 0; i < reason.text.size(); ++i) {
        if (reason.text[i] != '{') continue;
        if (i + 2 >= reason.text.size() || reason.text[i + 2] != '}') return false;
        const auto index = static_cast<std::size_t>(reason.text[i + 1] - '0');
        if (index >= reason.values.size() || reason.values[index].name.empty()) return false;
    }
    return true;
}
consteval bool placeholders_agree() {
    for (const ReasonWord& reason : reasons) {
        if (!placeholders_agree(reason)) return false;
    }
    return true;
}
static_assert(placeholders_agree(), "a reason's text names a value that it does not have");

constexpr const ReasonWord& word(core::Reason code) {
    return entry_of(reasons, code);
}

}  // namespace freshet::words
