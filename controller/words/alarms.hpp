// Words for alarms of the station and of a pump.
// One reason to change: an alarm of reasons.hpp that comes, goes or is better named.
#pragma once

#include "controller/core/reasons.hpp"
#include "controller/words/word.hpp"

namespace freshet::words {

inline constexpr std::array<Word<core::StationAlarm>, static_cast<std::size_t>(core::StationAlarm::count)>
    station_alarms{{
        {core::StationAlarm::value_high, "value_high", "measured value past its high mark"},
        {core::StationAlarm::high_float, "high_float", "high float"},
        {core::StationAlarm::value_low_cutoff, "value_low_cutoff", "measured value below the low cut-off"},
        {core::StationAlarm::low_float, "low_float", "low float: nearly dry"},
        {core::StationAlarm::transmitter_1, "transmitter_1", "first transmitter bad"},
        {core::StationAlarm::transmitter_2, "transmitter_2", "second transmitter bad"},
        {core::StationAlarm::transmitters_disagree, "transmitters_disagree", "transmitters disagree"},
        {core::StationAlarm::value_bad, "value_bad", "no trustworthy measured value"},
        {core::StationAlarm::drive_tripped, "drive_tripped", "drive tripped"},
        {core::StationAlarm::drive_not_ready, "drive_not_ready", "drive not ready"},
        {core::StationAlarm::drive_locked_out, "drive_locked_out", "drive locked out after repeated failure"},
        {core::StationAlarm::output_does_not_close, "output_does_not_close",
         "drive output contactor does not close"},
        {core::StationAlarm::output_does_not_open, "output_does_not_open",
         "drive output contactor does not open"},
        {core::StationAlarm::drive_does_not_run, "drive_does_not_run", "drive does not run when advised"},
        {core::StationAlarm::drive_does_not_stop, "drive_does_not_stop", "drive does not stop when advised"},
        {core::StationAlarm::not_in_sync, "not_in_sync", "drive does not come in sync with the line"},
        {core::StationAlarm::sync_check_disagrees, "sync_check_disagrees",
         "drive claims to be in sync, the sync check does not agree"},
        {core::StationAlarm::link_lost, "link_lost", "link to the station lost"},
        {core::StationAlarm::supply, "supply", "line supply lost or out of limits"},
        {core::StationAlarm::emergency_stop, "emergency_stop", "emergency stop operated"},
        {core::StationAlarm::all_pumps_running, "all_pumps_running", "every pump runs and more is asked for"},
        {core::StationAlarm::no_pump_available, "no_pump_available", "no pump is available"},
        {core::StationAlarm::fixed_speed_service, "fixed_speed_service",
         "fixed-speed service without the drive"},
        {core::StationAlarm::low_float_contradicts, "low_float_contradicts",
         "a float and the measured value contradict each other"},
        {core::StationAlarm::restarted_in_transfer, "restarted_in_transfer",
         "controller restarted during a transfer"},
        {core::StationAlarm::picture_inconsistent, "picture_inconsistent",
         "a contactor or the drive is not read"},
        {core::StationAlarm::discharge_pressure_high, "discharge_pressure_high",
         "discharge pressure at its limit"},
        {core::StationAlarm::discharge_pressure_unknown, "discharge_pressure_unknown",
         "discharge pressure not known"},
    }};
static_assert(complete(station_alarms, static_cast<std::size_t>(core::StationAlarm::count)),
              "every StationAlarm needs its word, in order");

inline constexpr std::array<Word<core::PumpAlarm>, static_cast<std::size_t>(core::PumpAlarm::count)>
    pump_alarms{{
        {core::PumpAlarm::tripped, "tripped", "motor protection tripped"},
        {core::PumpAlarm::drive_side_does_not_close, "drive_side_does_not_close",
         "drive-side contactor does not close"},
        {core::PumpAlarm::drive_side_does_not_open, "drive_side_does_not_open",
         "drive-side contactor does not open"},
        {core::PumpAlarm::line_side_does_not_close, "line_side_does_not_close",
         "line-side contactor does not close"},
        {core::PumpAlarm::line_side_does_not_open, "line_side_does_not_open",
         "line-side contactor does not open"},
        {core::PumpAlarm::not_running, "not_running", "advised to run, but no current"},
        {core::PumpAlarm::locked_out, "locked_out", "locked out after repeated failure"},
        {core::PumpAlarm::starts_limit, "starts_limit", "starts per hour used up"},
        {core::PumpAlarm::seal_leak, "seal_leak", "seal leaks"},
        {core::PumpAlarm::winding_hot, "winding_hot", "winding too hot"},
        {core::PumpAlarm::runs_unadvised, "runs_unadvised", "runs without being advised to"},
        {core::PumpAlarm::hand_over_failed, "hand_over_failed", "hand-over to the line failed"},
        {core::PumpAlarm::take_back_failed, "take_back_failed", "take-back to the drive failed"},
    }};
static_assert(complete(pump_alarms, static_cast<std::size_t>(core::PumpAlarm::count)),
              "every PumpAlarm needs its word, in order");

constexpr const Word<core::StationAlarm>& word(core::StationAlarm code) {
    return entry_of(station_alarms, code);
}
constexpr const Word<core::PumpAlarm>& word(core::PumpAlarm code) {
    return entry_of(pump_alarms, code);
}

}  // namespace freshet::words
