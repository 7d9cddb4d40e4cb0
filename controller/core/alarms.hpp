// Alarms: which are active, which are not yet acknowledged, and which are shelved, suppressed or out of
// service (states after ISA-18.2 / IEC 62682).
// One reason to change: when an alarm is raised, returns, or is hidden.
//
// An alarm is normal, active or returned. An active or returned alarm is acknowledged or unacknowledged. An
// alarm may also be shelved for a time, out of service until people return it to service, or suppressed by
// design while the alarm of its cause is shown. A latched alarm keeps its condition until a sequence proves
// the equipment in order or people release the alarm, see attempts.hpp and availability.hpp.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>

#include "controller/core/advice.hpp"
#include "controller/core/journal.hpp"
#include "controller/core/reasons.hpp"

namespace freshet::core {

inline constexpr std::size_t station_alarm_count = static_cast<std::size_t>(StationAlarm::count);
inline constexpr std::size_t pump_alarm_count = static_cast<std::size_t>(PumpAlarm::count);
static_assert(station_alarm_count <= 32 && pump_alarm_count <= 16, "every alarm needs a bit of its word");

/// The bit of an alarm in its word.
constexpr std::uint32_t alarm_bit(StationAlarm code) {
    return 1U << static_cast<unsigned>(code);
}
constexpr std::uint16_t alarm_bit(PumpAlarm code) {
    return static_cast<std::uint16_t>(1U << static_cast<unsigned>(code));
}

/// Properties of an alarm in addition to its delays.
struct AlarmTraits {
    bool latched = false;            ///< keeps its condition until a proof or a release
    bool deadband = false;           ///< returns only when the value is a deadband away from the mark
    bool needs_value = false;        ///< a bad measured value does not change the alarm
    std::uint32_t follows_from = 0;  ///< alarms of the station that suppress this alarm while they are shown
};

/// The delays of an alarm, its reason in the journal, its group and its priority. controller/words/alarms.hpp
/// holds its cause, consequence and response.
template <class Code>
struct AlarmRule {
    Code code;
    std::int32_t on_delay_ms, off_delay_ms;
    Reason why;
    AlarmGroup group;
    AlarmPriority priority = AlarmPriority::low;
    AlarmTraits traits{};
};
using StationAlarmRule = AlarmRule<StationAlarm>;
using PumpAlarmRule = AlarmRule<PumpAlarm>;

/// The delays depend on the kind of signal. Alarms of levels and pressures return after 15 s, alarms of
/// two-state signals after 5 s. So a chattering contact gives one alarm. These delays are starting points
/// (common practice).
inline constexpr std::array<StationAlarmRule, station_alarm_count> station_alarm_rules = [] {
    using G = AlarmGroup;
    using enum AlarmPriority;
    using S = StationAlarm;
    constexpr AlarmTraits of_value{.deadband = true, .needs_value = true};
    constexpr AlarmTraits needs_value{.needs_value = true};
    constexpr AlarmTraits latched{.latched = true};
    constexpr AlarmTraits of_link{.follows_from = alarm_bit(S::link_lost)};
    constexpr AlarmTraits of_trip{.follows_from = alarm_bit(S::drive_tripped) | alarm_bit(S::supply)};
    return std::array<StationAlarmRule, station_alarm_count>{{
        {S::value_high, 0, 15000, Reason::value_high, G::water, medium, of_value},
        {S::high_float, 0, 15000, Reason::high_float, G::water, high},
        {S::value_low_cutoff, 0, 15000, Reason::low_cutoff, G::water, low, needs_value},
        {S::low_float, 0, 15000, Reason::low_float, G::water, low},
        {S::transmitter_1, 0, 5000, Reason::data_bad, G::measurement, low, of_link},
        {S::transmitter_2, 0, 5000, Reason::data_bad, G::measurement, low, of_link},
        {S::transmitters_disagree, 0, 15000, Reason::transmitters_disagree, G::measurement, high},
        {S::value_bad, 0, 5000, Reason::data_bad, G::measurement, medium, of_link},
        {S::drive_tripped, 0, 5000, Reason::drive_tripped, G::drive},
        {S::drive_not_ready, 2000, 5000, Reason::drive_not_ready, G::drive, low, of_trip},
        {S::drive_locked_out, 0, 0, Reason::attempts_spent, G::drive, low, latched},
        {S::output_does_not_close, 0, 0, Reason::timed_out, G::drive, low, latched},
        {S::output_does_not_open, 0, 0, Reason::timed_out, G::drive, medium, latched},
        {S::drive_does_not_run, 0, 0, Reason::timed_out, G::drive, low, latched},
        {S::drive_does_not_stop, 0, 0, Reason::timed_out, G::drive, low, latched},
        {S::not_in_sync, 0, 0, Reason::timed_out, G::transfer, low, latched},
        {S::sync_check_disagrees, 0, 0, Reason::sync_disagrees, G::transfer, low, latched},
        {S::link_lost, 0, 5000, Reason::data_bad, G::measurement, medium},
        {S::supply, 0, 5000, Reason::supply_lost, G::power, medium},
        // Not high, because the person who operated the emergency stop is at the station, and because the
        // alarms of the water have their own priorities.
        {S::emergency_stop, 0, 0, Reason::emergency_stop, G::power, medium},
        {S::all_pumps_running, 60000, 15000, Reason::no_pump_left, G::water, medium, needs_value},
        {S::no_pump_available, 5000, 5000, Reason::permission_lost, G::water, high, needs_value},
        {S::fixed_speed_service, 0, 5000, Reason::service_worse, G::drive},
        {S::witnesses_contradict, 0, 15000, Reason::witnesses_contradict, G::measurement, high},
        {S::restarted_in_transfer, 0, 0, Reason::found_both_closed, G::transfer, low, latched},
        {S::picture_inconsistent, 15000, 5000, Reason::picture_unread, G::measurement, medium, of_link},
        {S::discharge_pressure_high, 0, 15000, Reason::pressure_high, G::water, medium},
        {S::discharge_pressure_unknown, 0, 5000, Reason::data_bad, G::measurement, low, of_link},
        {S::limit_refuses, 60000, 15000, Reason::refused, G::water, low},
        {S::limit_yields, 0, 60000, Reason::limit_yields, G::water, low},
        // Low, because the person who released the emergency stop is at the station, and because the alarms
        // of the water have their own priorities.
        {S::reset_awaited, 0, 0, Reason::reset_awaited, G::power},
    }};
}();

inline constexpr std::array<PumpAlarmRule, pump_alarm_count> pump_alarm_rules = [] {
    using G = AlarmGroup;
    using enum AlarmPriority;
    using P = PumpAlarm;
    constexpr AlarmTraits latched{.latched = true};
    return std::array<PumpAlarmRule, pump_alarm_count>{{
        {P::tripped, 0, 5000, Reason::pump_tripped, G::pump},
        {P::drive_side_does_not_close, 0, 0, Reason::timed_out, G::pump, low, latched},
        {P::drive_side_does_not_open, 0, 0, Reason::timed_out, G::pump, low, latched},
        {P::line_side_does_not_close, 0, 0, Reason::timed_out, G::pump, low, latched},
        {P::line_side_does_not_open, 0, 0, Reason::timed_out, G::pump, medium, latched},
        {P::not_running, 0, 0, Reason::current_missing, G::pump, low, latched},
        {P::locked_out, 0, 0, Reason::attempts_spent, G::pump, low, latched},
        {P::starts_limit, 0, 5000, Reason::permission_lost, G::pump},
        {P::seal_leak, 2000, 5000, Reason::permission_lost, G::pump},
        {P::winding_hot, 2000, 5000, Reason::permission_lost, G::pump},
        {P::runs_unadvised, 2000, 5000, Reason::contact_contradicts, G::pump},
        {P::hand_over_failed, 0, 0, Reason::timed_out, G::pump, low, latched},
        {P::take_back_failed, 0, 0, Reason::timed_out, G::pump, low, latched},
        {P::no_delivery, 0, 0, Reason::no_delivery, G::pump, low, latched},
        {P::flow_back, 0, 0, Reason::flow_back, G::pump, low, latched},
        {P::flow_lost, 0, 0, Reason::flow_lost, G::pump},
    }};
}();

/// Alarms of the station that a bad measured value does not change, because their condition is then not
/// known.
inline constexpr std::uint32_t alarms_of_value = [] {
    std::uint32_t word = 0;
    for (const StationAlarmRule& rule : station_alarm_rules)
        if (rule.traits.needs_value) word |= alarm_bit(rule.code);
    return word;
}();

/// Shortest and longest shelving, ms. The longest is one shift of 8 h.
inline constexpr std::int64_t shelve_min_ms = 60'000, shelve_max_ms = 8 * 3'600'000LL;
/// True when people may shelve the alarm or take it out of service. An alarm of high priority always stays
/// visible.
constexpr bool may_be_set_aside(AlarmPriority priority) {
    return priority != AlarmPriority::high;
}

/// The values for the message of an alarm, as its Reason lists them. NaN: the events before the alarm show
/// its cause.
using AlarmValues = std::array<double, 4>;
/// The values for the messages of all alarms.
struct AlarmGrounds {
    std::array<AlarmValues, station_alarm_count> station{};
    std::array<AlarmValues, pump_alarm_count> pump{};               ///< the same for every pump
    std::array<AlarmValues, pumps_max> no_delivery{}, flow_lost{};  ///< of each pump
    /// The values of all alarms of one pump.
    std::array<AlarmValues, pump_alarm_count> of_pump(std::size_t which) const noexcept {
        std::array<AlarmValues, pump_alarm_count> all = pump;
        all[static_cast<std::size_t>(PumpAlarm::no_delivery)] = no_delivery[which];
        all[static_cast<std::size_t>(PumpAlarm::flow_lost)] = flow_lost[which];
        return all;
    }
};

/// Alarm conditions of this scan, before any delay; a bit per alarm.
struct AlarmConditions {
    std::uint32_t station = 0;
    std::uint32_t station_unknown = 0;  ///< conditions that this scan does not know
    std::array<std::uint16_t, pumps_max> pump{};
    AlarmGrounds grounds;
};

/// The alarms of the station or of one pump, with their times; a bit per alarm.
template <std::size_t Count>
struct AlarmWord {
    std::uint32_t active = 0, unacknowledged = 0, previous = 0;
    std::uint32_t shelved = 0, out_of_service = 0, suppressed = 0;
    std::array<std::int64_t, Count> since_ms{};  ///< when the condition last changed
    std::array<std::int64_t, Count> shelved_until_ms{};
};

/// The first alarms of a group since the group last had none. The onset of the condition decides which alarm
/// is first.
struct FirstOut {
    std::int64_t onset_ms = never_ms;
    std::uint32_t alarms = 0;
};

/// The memory of all alarms between scans.
struct AlarmState {
    bool pending = false;                                                 ///< a delay is running
    std::int64_t unshelve_ms = std::numeric_limits<std::int64_t>::max();  ///< when the next shelving ends
    AlarmWord<station_alarm_count> station;
    std::array<AlarmWord<pump_alarm_count>, pumps_max> pump;
    std::array<std::uint16_t, pumps_max> pump_conditions{};  ///< as last judged
    std::array<FirstOut, static_cast<std::size_t>(AlarmGroup::count)> station_first_out;
    std::array<FirstOut, pumps_max> pump_first_out;
};

/// True when a scan has nothing to judge, because no condition changed, no delay is running, no shelving ends
/// and people gave no order.
bool alarms_unchanged(const AlarmState& state, const AlarmConditions& conditions,
                      const OperatorInputs& people, std::int64_t now_ms) noexcept;

/// Judges the alarms of one scan. Carries out the orders of people, raises and returns alarms after their
/// delays, notes each change in the journal, and writes the alarm words into the advice. Ignores an order
/// that names no alarm, and an order to shelve an alarm of high priority or to take it out of service. A scan
/// can note a limited number of acknowledgements. The other alarms stay unacknowledged until the next order.
void judge_alarms(AlarmState& state, const AlarmConditions& conditions, const OperatorInputs& people,
                  std::size_t pump_count, std::int64_t now_ms, Journal& journal, Advice& advice) noexcept;

}  // namespace freshet::core
