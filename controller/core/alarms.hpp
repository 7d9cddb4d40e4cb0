// Alarms: which stand, since when, and which are not yet acknowledged (states after ISA-18.2).
// One reason to change: when an alarm is raised or returns.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/reasons.hpp"

namespace freshet::core {

inline constexpr std::size_t station_alarm_count = static_cast<std::size_t>(StationAlarm::count);
inline constexpr std::size_t pump_alarm_count = static_cast<std::size_t>(PumpAlarm::count);
static_assert(station_alarm_count <= 32 && pump_alarm_count <= 16, "an alarm is a bit of its word");

constexpr std::uint32_t alarm_bit(StationAlarm code) {
    return 1U << static_cast<unsigned>(code);
}
constexpr std::uint16_t alarm_bit(PumpAlarm code) {
    return static_cast<std::uint16_t>(1U << static_cast<unsigned>(code));
}

/// How an alarm is timed, and the ground that goes with it in the journal.
struct StationAlarmRule {
    StationAlarm code;
    std::int32_t on_delay_ms, off_delay_ms;
    Reason why;
};
struct PumpAlarmRule {
    PumpAlarm code;
    std::int32_t on_delay_ms, off_delay_ms;
    Reason why;
};

/// Delays by kind of signal: levels and pressures 15 s off, discrete signals 5 s off, so that a chattering
/// contact is one alarm; starting points of common practice.
inline constexpr std::array<StationAlarmRule, station_alarm_count> station_alarm_rules{{
    {StationAlarm::value_high, 0, 15000, Reason::value_high},
    {StationAlarm::high_float, 0, 15000, Reason::high_float},
    {StationAlarm::value_low_cutoff, 0, 15000, Reason::low_cutoff},
    {StationAlarm::low_float, 0, 15000, Reason::low_float},
    {StationAlarm::transmitter_1, 0, 5000, Reason::data_bad},
    {StationAlarm::transmitter_2, 0, 5000, Reason::data_bad},
    {StationAlarm::transmitters_disagree, 0, 15000, Reason::transmitters_disagree},
    {StationAlarm::value_bad, 0, 5000, Reason::data_bad},
    {StationAlarm::drive_tripped, 0, 5000, Reason::drive_tripped},
    {StationAlarm::drive_not_ready, 2000, 5000, Reason::drive_not_ready},
    {StationAlarm::drive_locked_out, 0, 0, Reason::attempts_spent},
    {StationAlarm::output_does_not_close, 0, 0, Reason::timed_out},
    {StationAlarm::output_does_not_open, 0, 0, Reason::timed_out},
    {StationAlarm::drive_does_not_run, 0, 0, Reason::timed_out},
    {StationAlarm::drive_does_not_stop, 0, 0, Reason::timed_out},
    {StationAlarm::not_in_sync, 0, 0, Reason::timed_out},
    {StationAlarm::sync_check_disagrees, 0, 0, Reason::sync_disagrees},
    {StationAlarm::link_lost, 0, 5000, Reason::data_bad},
    {StationAlarm::supply, 0, 5000, Reason::supply_lost},
    {StationAlarm::emergency_stop, 0, 0, Reason::emergency_stop},
    {StationAlarm::all_pumps_running, 60000, 15000, Reason::pumps_max_reached},
    {StationAlarm::no_pump_available, 5000, 5000, Reason::permission_lost},
    {StationAlarm::fixed_speed_service, 0, 5000, Reason::service_worse},
    {StationAlarm::low_float_contradicts, 0, 15000, Reason::low_float},
    {StationAlarm::restarted_in_transfer, 0, 0, Reason::found_both_closed},
}};

inline constexpr std::array<PumpAlarmRule, pump_alarm_count> pump_alarm_rules{{
    {PumpAlarm::tripped, 0, 5000, Reason::pump_tripped},
    {PumpAlarm::drive_side_does_not_close, 0, 0, Reason::timed_out},
    {PumpAlarm::drive_side_does_not_open, 0, 0, Reason::timed_out},
    {PumpAlarm::line_side_does_not_close, 0, 0, Reason::timed_out},
    {PumpAlarm::line_side_does_not_open, 0, 0, Reason::timed_out},
    {PumpAlarm::not_running, 0, 0, Reason::current_missing},
    {PumpAlarm::locked_out, 0, 0, Reason::attempts_spent},
    {PumpAlarm::starts_limit, 0, 5000, Reason::permission_lost},
    {PumpAlarm::seal_leak, 2000, 5000, Reason::permission_lost},
    {PumpAlarm::winding_hot, 2000, 5000, Reason::permission_lost},
    {PumpAlarm::runs_unadvised, 2000, 5000, Reason::contact_contradicts},
    {PumpAlarm::hand_over_failed, 0, 0, Reason::timed_out},
    {PumpAlarm::take_back_failed, 0, 0, Reason::timed_out},
}};

/// What holds in this scan, before any delay.
struct AlarmConditions {
    std::uint32_t station = 0;
    std::array<std::uint16_t, pumps_max> pump{};
    std::array<double, 4> value_values{};  ///< goes with value_high and the cut-off
};

/// A word of alarms with their times.
template <std::size_t Count>
struct AlarmWord {
    std::uint32_t active = 0, unacknowledged = 0, previous = 0;
    std::array<std::int64_t, Count> since_ms{};  ///< when the condition last changed
};

struct AlarmState {
    bool pending = false;  ///< some delay still runs
    AlarmWord<station_alarm_count> station;
    std::array<AlarmWord<pump_alarm_count>, pumps_max> pump;
};

/// One scan: raises and returns alarms by their delays, notes each change, and writes the words into the
/// advice.
void judge_alarms(AlarmState& state, const AlarmConditions& conditions, bool acknowledge_all,
                  std::size_t pump_count, std::int64_t now_ms, Journal& journal, Advice& advice) noexcept;

}  // namespace freshet::core
