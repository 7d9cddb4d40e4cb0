// The alarms of the station and of a pump in words, one row for each: name, text, likely cause, the
// consequence if nobody answers, and the response (the rationalisation of ISA-18.2 / IEC 62682). Delays,
// group, priority and the alarm that explains another are in controller/core/alarms.hpp, code for code.
// One reason to change: an alarm of reasons.hpp that comes, goes or is better worded.
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
     "more water flows in, or is drawn, than the pumps deliver; or a pump delivers too little",
     "a well fills to its high float and then overflows; a tank runs empty; a pressure falls",
     "check which pumps run and whether each pump delivers; find out why the other pumps do not start"},
    {core::StationAlarm::high_float, "high_float", "high float",
     "the water has reached the high float, or the float is stuck",
     "a well overflows soon; a tank is full, and the float stops its pumps",
     "compare the float with the measured value; prepare for overflow by the station's plan; at a well, find "
     "out why pumps do not run; at a tank, look for a pump that did not stop"},
    {core::StationAlarm::value_low_cutoff, "value_low_cutoff", "measured value below the low cut-off",
     "the pumps delivered more than flowed in or was drawn, or the measured value is wrong: a well is nearly "
     "dry, a tank nearly full, a pressure too high",
     "every pump is stopped until the value has returned",
     "compare the measured value with the water or the gauge itself; look for a pump that did not stop"},
    {core::StationAlarm::low_float, "low_float", "low float: nearly dry",
     "the water is below the low float, or the float is stuck",
     "at a well every pump is stopped until the float is wet again; a tank runs empty soon",
     "compare the float with the measured value; at a well, look for a pump that did not stop; at a tank, "
     "find out why pumps do not run"},
    {core::StationAlarm::transmitter_1, "transmitter_1", "first transmitter bad",
     "the transmitter, its loop or its supply has failed, or its echo is lost",
     "the other transmitter or the floats serve the station; after a second failure there is no speed "
     "control",
     "test the loop at the transmitter; repair before the next storm"},
    {core::StationAlarm::transmitter_2, "transmitter_2", "second transmitter bad",
     "the transmitter, its loop or its supply has failed, or its echo is lost",
     "the other transmitter or the floats serve the station; after a second failure there is no speed "
     "control",
     "test the loop at the transmitter; repair before the next storm"},
    {core::StationAlarm::transmitters_disagree, "transmitters_disagree", "transmitters disagree",
     "one of the two transmitters drifts, sticks or measures something else",
     "the controller uses the higher of the two values: at a well pumps may start early and stop late, at a "
     "tank start late and stop early",
     "measure the level by hand; repair the transmitter that is wrong"},
    {core::StationAlarm::value_bad, "value_bad", "no trustworthy measured value",
     "every transmitter of the measured value is bad, stale or implausible",
     "the floats alone serve a level; without floats, and where a pressure is held, pumps that run steadily "
     "keep running and no pump is started",
     "restore one transmitter; until then watch the level or the pressure by hand"},
    {core::StationAlarm::drive_tripped, "drive_tripped", "drive tripped",
     "the drive's own protection tripped",
     "there is no speed control and no transfer; pumps run on the line where the station allows line starts",
     "read the drive's fault record; reset at the drive only after the cause is known"},
    {core::StationAlarm::drive_not_ready, "drive_not_ready", "drive not ready",
     "the drive is off, in local control, or without its auxiliary supply",
     "there is no speed control and no transfer", "find out at the drive why the drive is not ready"},
    {core::StationAlarm::drive_locked_out, "drive_locked_out", "drive locked out after repeated failure",
     "several attempts with the drive failed in a row, or the drive tripped too often within an hour",
     "the controller does not use the drive until somebody has reset it at the drive",
     "find the failed steps in the journal; repair; then reset at the drive", RaisedBy::last_attempt},
    {core::StationAlarm::output_does_not_close, "output_does_not_close",
     "drive output contactor does not close",
     "the drive output contactor, its control circuit or its auxiliary contact has failed",
     "no pump can be started on the drive or taken back to the drive",
     "have the contactor and its auxiliary contact examined"},
    {core::StationAlarm::output_does_not_open, "output_does_not_open", "drive output contactor does not open",
     "the contactor is welded or held closed, or its auxiliary contact reports wrongly",
     "the drive cannot be freed; at the next transfer the line may be connected to the drive output",
     "isolate and examine the contactor before the drive is used again"},
    {core::StationAlarm::drive_does_not_run, "drive_does_not_run", "drive does not run when advised",
     "the drive is blocked, its reference or run command is lost, or its running signal is stuck",
     "the controller withdraws the start or take-back and tries again after a pause; repeated failures of "
     "the drive, in starts, hand-overs, take-backs and stops together, lock the drive out",
     "find out at the drive whether the command arrived and why the drive does not run"},
    {core::StationAlarm::drive_does_not_stop, "drive_does_not_stop", "drive does not stop when advised",
     "the drive is in local control, or its running signal is stuck", "the drive cannot take another motor",
     "find out at the drive whether the drive really runs; stop the drive there"},
    {core::StationAlarm::not_in_sync, "not_in_sync", "drive does not come in sync with the line",
     "the line is unsteady, the synchroniser is set wrongly, or the drive does not reach the line's "
     "frequency or voltage",
     "there is no hand-over and no take-back; the pump stays where it is, and the controller tries the "
     "transfer again after each pause; where the station allows line starts, more pumps start on the line",
     "compare voltage and frequency of line and drive", RaisedBy::last_attempt},
    {core::StationAlarm::sync_check_disagrees, "sync_check_disagrees",
     "drive reports in sync, but the sync check does not agree",
     "the drive's in-sync signal or one of the measurements is wrong",
     "no contactor is closed while they disagree; the pump stays where it is, and the controller tries the "
     "transfer again after each pause",
     "have the synchroniser and the measuring transformers tested; do not override the check",
     RaisedBy::last_attempt},
    {core::StationAlarm::link_lost, "link_lost", "link to the station lost",
     "the network, a device or the supply of the station's Modbus link has failed",
     "the controller reads nothing of the station; pumps that run steadily are advised to keep running for "
     "as long as the last known inflow and the store allow, and then the advice is void; a sequence under "
     "way is withdrawn when its time limits end, and no pump is started",
     "restore the link; until then keep a person at the station"},
    {core::StationAlarm::supply, "supply", "line supply lost or out of limits",
     "the line is lost or out of limits",
     "every pump is stopped; pumps restart one after another when the line has returned",
     "ask the utility; find out whether the generator took over"},
    {core::StationAlarm::emergency_stop, "emergency_stop", "emergency stop operated",
     "somebody operated the emergency stop, or its circuit is open",
     "every pump stays off until the emergency stop is released at the station and a person resets it",
     "find out the reason before anybody releases the emergency stop; do not restart from a distance"},
    {core::StationAlarm::all_pumps_running, "all_pumps_running",
     "every available pump runs, and the station needs more",
     "more water flows in, or is drawn, than the permitted pumps can deliver; or the pumps deliver too "
     "little",
     "the measured value moves past its marks and no pump is left to start",
     "check flow and current of each pump; prepare for overflow, or for a supply that falls short"},
    {core::StationAlarm::no_pump_available, "no_pump_available", "no pump is available",
     "every pump has its selector off automatic, is tripped or locked out, has a seal leak or a hot winding, "
     "or has a contactor that is not seen open",
     "the station needs a pump, no pump runs and none may start",
     "go to the station; make at least one pump available"},
    {core::StationAlarm::fixed_speed_service, "fixed_speed_service", "fixed-speed service without the drive",
     "the drive is unavailable",
     "where the station allows line starts, pumps start on the line with voltage dips and more starts, and "
     "the measured value is held only roughly; elsewhere no further pump is started",
     "restore the drive; watch the starts per hour"},
    {core::StationAlarm::witnesses_contradict, "witnesses_contradict",
     "floats, transmitters and volume balance contradict one another",
     "a float is stuck or its circuit is open; or a transmitter jumped, drifted or measures something else",
     "the controller believes the witnesses that agree, and one more failure may stop the pumps or let the "
     "water over the weir",
     "measure the level by hand; test the floats and the transmitters, and repair the one that is wrong"},
    {core::StationAlarm::restarted_in_transfer, "restarted_in_transfer",
     "controller restarted during a transfer",
     "the controller was restarted while both contactors were closed",
     "the controller finished the transfer onto the line",
     "find out from the journal and at the pump whether the pump runs as it should"},
    {core::StationAlarm::picture_inconsistent, "picture_inconsistent", "a contactor or the drive is not read",
     "the auxiliary contact of a contactor, or the drive's running or tripped signal, is not read",
     "before the controller has taken over, nothing is advised and the station stays as it was found; "
     "afterwards an idle pump with an unread contact is unavailable, and the drive takes no motor while a "
     "drive-side contactor or the drive output is not seen open",
     "find the missing signal and restore it"},
    {core::StationAlarm::discharge_pressure_high, "discharge_pressure_high",
     "discharge pressure at its limit",
     "a valve is shut, the main is blocked, or more pumps run than the main can take",
     "the speed is held and no further pump is started; if the pressure stays high, pumps are stopped one by "
     "one except the last; the main or a joint may fail",
     "check the valves and the pressure at the station; the main's own protection must act by itself"},
    {core::StationAlarm::discharge_pressure_unknown, "discharge_pressure_unknown",
     "discharge pressure unknown",
     "the header's pressure transmitter has failed, is out of range or is not read",
     "the controller does not judge the limit of the discharge pressure; pumps start as if the pressure were "
     "within the limit, unless the limit was passed before and the reading then failed upwards",
     "watch the pressure at the station; have the transmitter examined"},
    {core::StationAlarm::limit_refuses, "limit_refuses", "more pumping wanted, but a limit refuses",
     "a rest, a pause, a count per hour or another limit keeps every idle pump from starting; the message "
     "names the limit",
     "the well fills further, or the pressure falls further, until the limit allows a start",
     "read which limit refuses and how long; see whether the water can wait"},
    {core::StationAlarm::limit_yields, "limit_yields", "a limit of wear gave way to the water",
     "a spill was near, so a pump started or was handed over although a rest, a minimum run, a count per "
     "hour or a warning was against it; the message names the limit",
     "the pump wears more than planned; a pump with a leaking seal may fail",
     "after the storm, examine the pump; ask why the water came so near"},
    {core::StationAlarm::reset_awaited, "reset_awaited",
     "emergency stop released, waiting for a person's reset",
     "somebody released the emergency stop, and nobody has reset it yet",
     "every pump stays off, however high the water rises",
     "make sure at the station that nobody is in danger; then reset at the station or at the controller"},
}};

inline constexpr std::array<AlarmWord<core::PumpAlarm>, alarms_of<core::PumpAlarm>> pump_alarms{{
    {core::PumpAlarm::tripped, "tripped", "motor protection tripped",
     "the motor protection acted: overload, phase loss, earth fault or heat",
     "the pump is missing until somebody has reset the protection at the pump",
     "find the cause before resetting; then test the pump by hand with a person watching"},
    {core::PumpAlarm::drive_side_does_not_close, "drive_side_does_not_close",
     "drive-side contactor does not close",
     "the contactor, its control circuit or its auxiliary contact has failed",
     "the pump cannot be started on the drive", "have the contactor and its auxiliary contact examined"},
    {core::PumpAlarm::drive_side_does_not_open, "drive_side_does_not_open",
     "drive-side contactor does not open",
     "the contactor is welded or held closed, or its auxiliary contact reports wrongly",
     "the drive stays connected to this motor",
     "isolate and examine the contactor before the drive is used again"},
    {core::PumpAlarm::line_side_does_not_close, "line_side_does_not_close",
     "line-side contactor does not close",
     "the contactor, its control circuit or its auxiliary contact has failed",
     "a hand-over is withdrawn and the pump stays on the drive; where the station allows line starts, the "
     "other pumps start on the line; elsewhere the pump makes room for another pump, below the high mark "
     "and after its minimum run; a line start is withdrawn and tried again, then the pump is locked out",
     "have the contactor and its auxiliary contact examined"},
    {core::PumpAlarm::line_side_does_not_open, "line_side_does_not_open", "line-side contactor does not open",
     "the contactor is welded or held closed, or its auxiliary contact reports wrongly",
     "the controller cannot stop the pump; the pump may keep running past every mark until a well is dry or "
     "a tank overflows",
     "stop the pump at the station by its own means; isolate and examine the contactor"},
    {core::PumpAlarm::not_running, "not_running", "advised to run, but no current",
     "the contactor is closed but no current flows; a fuse, an isolator or a conductor may be open",
     "the pump is taken off the line and waits for a pause; meanwhile another pump replaces it",
     "check whether the pump turns; test its supply"},
    {core::PumpAlarm::locked_out, "locked_out", "locked out after repeated failure",
     "starts of this pump failed in a row, the pump was found without delivery again and again, its "
     "protection tripped too often within an hour, or one of its contactors did not open when the pump was "
     "stopped",
     "the pump is not started until somebody has put its selector to off; only a contactor that is read "
     "open soon after its time limit releases the pump by itself",
     "find the failed steps in the journal; repair; then put the selector to off and back"},
    {core::PumpAlarm::starts_limit, "starts_limit", "starts per hour used up",
     "too many starts within the hour; the marks may be too close together, water may leak back, or a valve "
     "may be stuck",
     "the pump waits until the hour allows a start",
     "find out whether the marks or the non-return valve are wrong"},
    {core::PumpAlarm::seal_leak, "seal_leak", "seal leaks",
     "the mechanical seal lets water into the motor or its oil",
     "the pump is not started; a running pump keeps running until the staging stops it; without repair the "
     "motor fails",
     "plan a seal change"},
    {core::PumpAlarm::winding_hot, "winding_hot", "winding too hot",
     "overload, blocked cooling, too many starts, or a missing phase",
     "the pump is not started until the winding has cooled; a running pump keeps running until its own "
     "protection trips it",
     "compare current and flow with the other pumps"},
    {core::PumpAlarm::runs_unadvised, "runs_unadvised", "runs without advice",
     "somebody or another control started the pump, or a contactor signal is wrong",
     "the staging counts with fewer pumps than really run, and the drive must not be connected to this motor",
     "find out who started the pump; put the selector where it belongs"},
    {core::PumpAlarm::hand_over_failed, "hand_over_failed", "hand-over to the line failed",
     "transfers failed in a row, the last of them a hand-over of this pump, or the drive did not reach the "
     "line's frequency",
     "this pump stays on the drive, and the hand-over is tried again after each pause; where the station "
     "allows line starts, the other pumps start on the line; elsewhere this pump makes room for a pump "
     "that can be handed over, below the high mark and after its minimum run",
     "find the failed step in the journal; examine the signal that the step waited for"},
    {core::PumpAlarm::take_back_failed, "take_back_failed", "take-back to the drive failed",
     "transfers failed in a row, the last of them a take-back of this pump",
     "the pump stays on the line and the measured value is held only roughly; the take-back is tried again "
     "after each pause",
     "find the failed step in the journal; examine the signal that the step waited for",
     RaisedBy::last_attempt},
    {core::PumpAlarm::no_delivery, "no_delivery", "pump runs but does not deliver",
     "a shut valve, a blocked pump or branch, air in the pump, a broken coupling, or a pump that runs "
     "below its minimum flow; or the flow meter and the motor current are wrong",
     "another pump takes its place and starts before it from now on; without another pump it keeps running "
     "while the need rises; after repeated failure it is locked out; a pump that runs without flow becomes "
     "hot",
     "look at the valves of the pump and at its pressure; clear the pump; then put the selector to off and "
     "back"},
    {core::PumpAlarm::flow_back, "flow_back", "water runs back through this pump or another with this alarm",
     "the non-return valve of a pump at rest is stuck open; or the main leaks before the flow meter",
     "part of the flow returns to the suction side, and the pump at rest may turn backwards; another pump "
     "starts before it",
     "look at the station which pump turns backwards; shut its valve; do not start a pump that turns "
     "backwards"},
    {core::PumpAlarm::flow_lost, "flow_lost", "pump delivers less than its curve",
     "wear, a part of the pump or its branch is blocked, or the main has more friction than the station file "
     "says",
     "the station has less capacity than it counts on, and pumping costs more",
     "compare the pump with the others; plan an overhaul"},
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
