// The alarms of the station and of a pump in words, one row for each: name, text, likely cause, what follows
// if nobody answers, and what to do (the rationalisation of ISA-18.2 / IEC 62682). Delays, group, priority
// and what an alarm follows from stand in controller/core/alarms.hpp, code for code. One reason to change: an
// alarm of reasons.hpp that comes, goes or is better worded.
//
// A response never asks anybody to operate equipment from a distance. A response sends people to look, under
// their own rules.
#pragma once

#include "controller/core/reasons.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

/// What raises an alarm: its condition, or the failure of the last attempt that may fail in a row. The second
/// kind are the time-out of a step that waits for synchronism, and the alarms that a count of attempts ends
/// in (controller/core/sequences.hpp).
enum class RaisedBy : std::uint8_t { condition, last_attempt };

template <class Code>
struct AlarmWord {
    Code code;
    std::string_view name, text;
    std::string_view cause, consequence, response;
    RaisedBy raised_by = RaisedBy::condition;
};

template <class Code>
inline constexpr std::size_t alarms_of = static_cast<std::size_t>(Code::count);

inline constexpr std::array<AlarmWord<core::StationAlarm>, alarms_of<core::StationAlarm>> station_alarms{{
    {core::StationAlarm::value_high, "value_high", "measured value past its high mark",
     "more flows in, or is drawn, than is pumped; or a pump delivers too little",
     "a well goes on to its high float and to overflow; a tank runs empty; a pressure falls away",
     "look which pumps run and whether each delivers; see why the others do not start"},
    {core::StationAlarm::high_float, "high_float", "high float",
     "the water has reached the high float, or the float is stuck",
     "a well overflows within the time that it has left; a tank is full, and its pumps are stopped by the "
     "float",
     "compare the float with the measured value; make ready for overflow by the station's plan; at a well "
     "find what keeps pumps from running, at a tank look for a pump that did not stop"},
    {core::StationAlarm::value_low_cutoff, "value_low_cutoff", "measured value below the low cut-off",
     "more was pumped than flowed in, or was drawn, or the measured value is wrong: a well is nearly dry, a "
     "tank nearly full, a pressure too high",
     "every pump is stopped until the value is back",
     "compare the measured value with the store or the gauge itself; look for a pump that did not stop"},
    {core::StationAlarm::low_float, "low_float", "low float: nearly dry",
     "the water is below the low float, or the float is stuck",
     "at a well every pump is stopped until the float is wet again; a tank runs empty within the time that "
     "it has left",
     "compare the float with the measured value; at a well look for a pump that did not stop, at a tank find "
     "what keeps pumps from running"},
    {core::StationAlarm::transmitter_1, "transmitter_1", "first transmitter bad",
     "transmitter, its loop or its supply has failed, or its echo is lost",
     "the other transmitter or the floats carry the station; a second failure costs speed control",
     "test the loop at the transmitter; repair before the next storm"},
    {core::StationAlarm::transmitter_2, "transmitter_2", "second transmitter bad",
     "transmitter, its loop or its supply has failed, or its echo is lost",
     "the other transmitter or the floats carry the station; a second failure costs speed control",
     "test the loop at the transmitter; repair before the next storm"},
    {core::StationAlarm::transmitters_disagree, "transmitters_disagree", "transmitters disagree",
     "one of the two drifts, sticks, or sees something else",
     "the higher of the two is believed: at a well pumps may start early and stop late, at a tank start late "
     "and stop early",
     "measure the level by hand and put right the transmitter that is off"},
    {core::StationAlarm::value_bad, "value_bad", "no trustworthy measured value",
     "every transmitter of the measured value is bad, stale or implausible",
     "the floats alone serve a level; without them, and where a pressure is held, what runs runs on and "
     "nothing is started",
     "restore one transmitter; watch the level or the pressure by hand until then"},
    {core::StationAlarm::drive_tripped, "drive_tripped", "drive tripped", "the drive's own protection acted",
     "no speed control and no transfer; the line serves where the station allows line starts",
     "read the drive's fault record; reset at the drive only when the cause is known"},
    {core::StationAlarm::drive_not_ready, "drive_not_ready", "drive not ready",
     "the drive is off, in local, or without its auxiliary supply", "no speed control and no transfer",
     "see at the drive what it waits for"},
    {core::StationAlarm::drive_locked_out, "drive_locked_out", "drive locked out after repeated failure",
     "attempts with the drive failed in a row",
     "the drive is used no more until it has been reset at the drive",
     "find what failed in the journal; repair, then reset at the drive", RaisedBy::last_attempt},
    {core::StationAlarm::output_does_not_close, "output_does_not_close",
     "drive output contactor does not close",
     "drive output contactor, its control circuit or its auxiliary contact",
     "no pump can be brought onto the drive", "have the contactor and its auxiliary contact examined"},
    {core::StationAlarm::output_does_not_open, "output_does_not_open", "drive output contactor does not open",
     "contactor welded or held, or its auxiliary contact lies",
     "the drive cannot be freed, and its bus may be met by the line at the next transfer",
     "isolate and examine the contactor before the drive is used again"},
    {core::StationAlarm::drive_does_not_run, "drive_does_not_run", "drive does not run when advised",
     "drive blocked, reference or run command lost, or its running signal stuck",
     "the start or the take-back is withdrawn and tried again after a pause; after repeated failures of the "
     "drive, in starts, hand-overs, take-backs and stops alike, it is locked out",
     "see at the drive whether it received the command and what holds it"},
    {core::StationAlarm::drive_does_not_stop, "drive_does_not_stop", "drive does not stop when advised",
     "drive in local, or its running signal stuck", "the drive cannot take a motor",
     "see at the drive whether it really runs; stop it there"},
    {core::StationAlarm::not_in_sync, "not_in_sync", "drive does not come in sync with the line",
     "unsteady line, wrong settings of the synchroniser, or a drive that does not reach the line's frequency "
     "or voltage",
     "no hand-over or take-back: the pump stays where it is, and the transfer is tried again after each "
     "pause",
     "compare line and drive voltage and frequency", RaisedBy::last_attempt},
    {core::StationAlarm::sync_check_disagrees, "sync_check_disagrees",
     "drive claims to be in sync, the sync check does not agree",
     "the drive's claim to be in sync or one of the measurements is wrong",
     "nothing is closed while they disagree: the pump stays where it is, and the transfer is tried again "
     "after each pause",
     "have synchroniser and measuring transformers tested; do not override the check",
     RaisedBy::last_attempt},
    {core::StationAlarm::link_lost, "link_lost", "link to the station lost",
     "network, device or supply of the station's Modbus link",
     "nothing is known of the station: what runs steadily is advised to run on, a sequence under way is "
     "withdrawn as its time limits end, and nothing is started",
     "restore the link; attend the station meanwhile"},
    {core::StationAlarm::supply, "supply", "line supply lost or out of limits",
     "the line is lost or out of limits", "every pump is taken off; restart is staged when the line is back",
     "ask the utility; see whether the generator took over"},
    {core::StationAlarm::emergency_stop, "emergency_stop", "emergency stop operated",
     "somebody operated the emergency stop, or its circuit is open",
     "every pump is off until it is released at the station",
     "find out why before anybody releases it; nobody restarts from afar"},
    {core::StationAlarm::all_pumps_running, "all_pumps_running", "every pump runs and more is asked for",
     "more flows in, or is drawn, than the pumps that may run can carry; or they deliver too little",
     "the value goes on past its marks with nothing left to start",
     "see flow and currents of each pump; make ready for overflow, or for a supply that falls short"},
    {core::StationAlarm::no_pump_available, "no_pump_available", "no pump is available",
     "every pump has its selector off automatic, is tripped or locked out, leaks, is hot, or has a contactor "
     "that is not seen open",
     "pumping is asked for, no pump runs and none may be started",
     "go to the station; free at least one pump"},
    {core::StationAlarm::fixed_speed_service, "fixed_speed_service", "fixed-speed service without the drive",
     "the drive is not to be had",
     "where the station allows line starts, pumps start across the line, with dips and more starts, and the "
     "value is held coarsely; elsewhere nothing more is started",
     "restore the drive; watch the starts per hour"},
    {core::StationAlarm::low_float_contradicts, "low_float_contradicts",
     "a float and the measured value contradict each other",
     "the float that stops the pumps (low at a well, high at a tank) is stuck or its circuit open while the "
     "measured value is good",
     "the float is not believed: the backup that stops the pumps is missing",
     "test the float and its circuit"},
    {core::StationAlarm::restarted_in_transfer, "restarted_in_transfer",
     "controller restarted during a transfer",
     "the controller was restarted while both contactors were closed",
     "the transfer was finished onto the line by rule",
     "see from the journal whether the pump runs as it should"},
    {core::StationAlarm::picture_inconsistent, "picture_inconsistent", "a contactor or the drive is not read",
     "the auxiliary contact of a contactor, or the drive's running or tripped signal, is not read",
     "before the controller has taken over nothing is advised and the station stays as it was found; "
     "afterwards an idle pump of which a contact is missing is unavailable, and while a drive side or the "
     "output is not seen open the drive takes no motor",
     "find the signal that is missing and restore it"},
    {core::StationAlarm::discharge_pressure_high, "discharge_pressure_high",
     "discharge pressure at its limit",
     "a valve is shut, the main is blocked, or more pumps run than it takes",
     "the speed is held and no further pump is started; where it lasts, pumps are stopped one by one but for "
     "the last; the main or a joint may fail",
     "look at valves and pressure at the station; the main's own protection must act by itself"},
    {core::StationAlarm::discharge_pressure_unknown, "discharge_pressure_unknown",
     "discharge pressure not known",
     "the header's pressure transmitter failed, is out of range or is not read",
     "the limit of the discharge pressure is not judged: pumps are brought on as if it were kept, unless it "
     "was passed before and the reading failed upwards",
     "watch the pressure at the station; have the transmitter examined"},
}};

inline constexpr std::array<AlarmWord<core::PumpAlarm>, alarms_of<core::PumpAlarm>> pump_alarms{{
    {core::PumpAlarm::tripped, "tripped", "motor protection tripped",
     "motor protection acted: overload, phase loss, earth fault, heat",
     "one pump less until it has been reset at the pump",
     "find the cause before it is reset; try it by hand under watch"},
    {core::PumpAlarm::drive_side_does_not_close, "drive_side_does_not_close",
     "drive-side contactor does not close", "contactor, its control circuit, or its auxiliary contact",
     "the pump cannot be started on the drive", "have the contactor and its auxiliary contact examined"},
    {core::PumpAlarm::drive_side_does_not_open, "drive_side_does_not_open",
     "drive-side contactor does not open", "contactor welded or held, or its auxiliary contact lies",
     "the drive stays bound to this motor",
     "isolate and examine the contactor before the drive is used again"},
    {core::PumpAlarm::line_side_does_not_close, "line_side_does_not_close",
     "line-side contactor does not close", "contactor, its control circuit, or its auxiliary contact",
     "a hand-over is withdrawn: the pump goes on on the drive and makes room for another once its minimum "
     "run is over; a line start is withdrawn and tried again, then the pump is locked out",
     "have the contactor and its auxiliary contact examined"},
    {core::PumpAlarm::line_side_does_not_open, "line_side_does_not_open", "line-side contactor does not open",
     "contactor welded or held, or its auxiliary contact lies",
     "the pump cannot be stopped from here and may run on past every mark, until a well is dry or a tank "
     "overflows",
     "stop it at the station by its own means; isolate and examine the contactor"},
    {core::PumpAlarm::not_running, "not_running", "advised to run, but no current",
     "contactor closed without current: fuse, isolator, broken conductor",
     "the pump is taken off the line and waits for a pause; another takes its place meanwhile",
     "see at the pump whether it turns; test its supply"},
    {core::PumpAlarm::locked_out, "locked_out", "locked out after repeated failure",
     "starts of this pump failed in a row, or one of its contactors did not open as it was stopped",
     "it is started no more until its selector has been put to off",
     "find what failed in the journal; repair, then put the selector to off and back"},
    {core::PumpAlarm::starts_limit, "starts_limit", "starts per hour used up",
     "too many starts within the hour: marks too close, leakage back, a stuck valve",
     "the pump waits until the hour allows a start",
     "see whether the marks or the non-return valve are at fault"},
    {core::PumpAlarm::seal_leak, "seal_leak", "seal leaks",
     "the mechanical seal lets water into the motor or its oil",
     "the pump is not started; one that runs goes on until it is let go; left alone, the motor fails",
     "plan a seal change"},
    {core::PumpAlarm::winding_hot, "winding_hot", "winding too hot",
     "overload, blocked cooling, too many starts, or a phase missing",
     "the pump is not started until it has cooled; one that runs goes on, and its own protection may trip it",
     "compare current and flow with the other pumps"},
    {core::PumpAlarm::runs_unadvised, "runs_unadvised", "runs without being advised to",
     "started by hand or by another control, or a contactor that lies",
     "the staging counts on less than there is, and the drive must not meet this motor",
     "find out who started it; put the selector where it belongs"},
    {core::PumpAlarm::hand_over_failed, "hand_over_failed", "hand-over to the line failed",
     "transfers failed in a row, the last of them a hand-over of this pump, or the drive did not reach the "
     "line's frequency",
     "the hand-over is tried again after each pause; where another pump can be handed over, this one makes "
     "room on the drive once its minimum run is over, else it stays on the drive and binds it",
     "find the step that failed in the journal; examine what it waited for"},
    {core::PumpAlarm::take_back_failed, "take_back_failed", "take-back to the drive failed",
     "transfers failed in a row, the last of them a take-back of this pump",
     "the pump stays on the line and the value is held coarsely; the take-back is tried again after each "
     "pause",
     "find the step that failed in the journal; examine what it waited for", RaisedBy::last_attempt},
}};

/// True when the table has a row for each alarm, in the enum's order, and no row leaves a word blank.
template <class Code, std::size_t Size>
consteval bool every_alarm_is_answered(const std::array<AlarmWord<Code>, Size>& table) {
    for (const AlarmWord<Code>& row : table) {
        if (row.cause.empty() || row.consequence.empty() || row.response.empty()) return false;
    }
    return complete(table, alarms_of<Code>);
}
static_assert(
    every_alarm_is_answered(station_alarms),
    "every StationAlarm needs its row: name, text, cause, consequence, response; in the enum's order");
static_assert(every_alarm_is_answered(pump_alarms),
              "every PumpAlarm needs its row: name, text, cause, consequence, response; in the enum's order");

inline constexpr std::array<Word<core::AlarmPriority>, static_cast<std::size_t>(core::AlarmPriority::count)>
    alarm_priorities{{
        {core::AlarmPriority::low, "low", "low"},
        {core::AlarmPriority::medium, "medium", "medium"},
        {core::AlarmPriority::high, "high", "high"},
    }};
static_assert(complete(alarm_priorities, static_cast<std::size_t>(core::AlarmPriority::count)),
              "every AlarmPriority needs its word, in order");

inline constexpr std::array<Word<core::AlarmGroup>, static_cast<std::size_t>(core::AlarmGroup::count)>
    alarm_groups{{
        {core::AlarmGroup::water, "water", "water"},
        {core::AlarmGroup::measurement, "measurement", "measurement"},
        {core::AlarmGroup::drive, "drive", "drive"},
        {core::AlarmGroup::transfer, "transfer", "transfer"},
        {core::AlarmGroup::power, "power", "power"},
        {core::AlarmGroup::pump, "pump", "each pump"},
    }};
static_assert(complete(alarm_groups, static_cast<std::size_t>(core::AlarmGroup::count)),
              "every AlarmGroup needs its word, in order");

constexpr const AlarmWord<core::StationAlarm>& word(core::StationAlarm code) {
    return entry_of(station_alarms, code);
}
constexpr const AlarmWord<core::PumpAlarm>& word(core::PumpAlarm code) {
    return entry_of(pump_alarms, code);
}

}  // namespace freshet::words
