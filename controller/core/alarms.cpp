// Judging alarms; see the header.
#include "controller/core/alarms.hpp"

#include <algorithm>
#include <bit>
#include <limits>

#include "controller/core/times.hpp"

namespace freshet::core {

namespace {

consteval bool rules_are_in_order() {
    for (std::size_t i = 0; i < station_alarm_count; ++i)
        if (static_cast<std::size_t>(station_alarm_rules[i].code) != i) return false;
    for (std::size_t i = 0; i < pump_alarm_count; ++i)
        if (static_cast<std::size_t>(pump_alarm_rules[i].code) != i) return false;
    return true;
}
static_assert(rules_are_in_order(), "every alarm needs its rule, in the order of the codes");

/// An alarm that suppresses others is itself never suppressed. So the alarm of the first cause is always
/// shown.
consteval bool causes_are_shown() {
    for (const StationAlarmRule& rule : station_alarm_rules)
        for (const StationAlarmRule& cause : station_alarm_rules)
            if ((rule.traits.follows_from & alarm_bit(cause.code)) != 0 && cause.traits.follows_from != 0)
                return false;
    return true;
}
static_assert(causes_are_shown(), "an alarm that suppresses others must not be suppressed itself");

constexpr std::size_t group_count = static_cast<std::size_t>(AlarmGroup::count);

constexpr std::array<std::uint32_t, group_count> station_groups = [] {
    std::array<std::uint32_t, group_count> groups{};
    for (const StationAlarmRule& rule : station_alarm_rules)
        groups[static_cast<std::size_t>(rule.group)] |= alarm_bit(rule.code);
    return groups;
}();

/// Places that a scan keeps free for the events of its other rules when people acknowledge many alarms at
/// once.
constexpr std::size_t events_reserved = 32;

/// Judges one word of alarms.
template <std::size_t Count, class Rules>
struct Judge {
    AlarmWord<Count>& word;
    const Rules& rules;
    std::uint8_t pump;
    std::int64_t now_ms;
    Journal& journal;

    using Values = std::array<AlarmValues, Count>;
    std::uint32_t hidden() const noexcept { return word.shelved | word.out_of_service; }

    void note(EventKind what, std::size_t code, Reason why, AlarmValues values = {}) const noexcept {
        journal.note(what, static_cast<std::uint8_t>(code), pump, why, values);
    }
    void raise(std::size_t code, const Values& values) const noexcept {
        const Reason why = rules[code].why;
        word.unacknowledged |= 1U << code;
        note(EventKind::alarm_raised, code, why, values[code]);
    }
    /// Shows an alarm again that was shelved or out of service.
    void show_again(std::size_t code, EventKind what, Reason why, const Values& values) const noexcept {
        note(what, code, why);
        const std::uint32_t bit = 1U << code;
        if ((word.active & bit & ~hidden()) != 0) raise(code, values);
    }
    void acknowledge(std::size_t code) const noexcept {
        if ((word.unacknowledged >> code & 1U) == 0) return;
        word.unacknowledged &= ~(1U << code);
        note(EventKind::alarm_acknowledged, code, Reason::acknowledged);
    }
    void obey(const OperatorInputs& people, const Values& values) const noexcept {
        const std::size_t code = people.alarm;
        if (code >= Count) return;
        const std::uint32_t bit = 1U << code;
        const bool may = may_be_set_aside(rules[code].priority);
        const bool shelved = (word.shelved & bit) != 0;
        const bool out_of_service = (word.out_of_service & bit) != 0;
        if (people.order == AlarmOrder::acknowledge) {
            acknowledge(code);
        } else if (people.order == AlarmOrder::shelve && may) {
            const std::int64_t shelve_ms =
                std::clamp<std::int64_t>(people.shelve_ms, shelve_min_ms, shelve_max_ms);
            word.shelved |= bit;
            word.shelved_until_ms[code] = now_ms + shelve_ms;
            word.unacknowledged &= ~bit;
            note(EventKind::alarm_shelved, code, Reason::shelved, {seconds_of(shelve_ms), 0, 0, 0});
        } else if (people.order == AlarmOrder::unshelve && shelved) {
            word.shelved &= ~bit;
            show_again(code, EventKind::alarm_unshelved, Reason::asked_for, values);
        } else if (people.order == AlarmOrder::take_out_of_service && may && !out_of_service) {
            word.out_of_service |= bit;
            word.unacknowledged &= ~bit;
            note(EventKind::alarm_out_of_service, code, Reason::asked_for);
        } else if (people.order == AlarmOrder::return_to_service && out_of_service) {
            word.out_of_service &= ~bit;
            show_again(code, EventKind::alarm_in_service, Reason::asked_for, values);
        }
    }
    void end_shelving(const Values& values) const noexcept {
        for (std::uint32_t left = word.shelved; left != 0; left &= left - 1) {
            const auto code = static_cast<std::size_t>(std::countr_zero(left));
            if (now_ms < word.shelved_until_ms[code]) continue;
            word.shelved &= ~(1U << code);
            show_again(code, EventKind::alarm_unshelved, Reason::shelving_over, values);
        }
    }
    /// Raises alarms and lets them return, after their delays. Calls `first_out(code)` for each alarm that
    /// becomes active.
    template <class Raised>
    void judge(std::uint32_t holds, std::uint32_t shown_causes, const Values& values,
               Raised first_out) const noexcept {
        word.suppressed = 0;
        if (holds == word.previous && holds == word.active) return;
        for (std::uint32_t changed = holds ^ word.previous; changed != 0; changed &= changed - 1)
            word.since_ms[static_cast<std::size_t>(std::countr_zero(changed))] = now_ms;
        word.previous = holds;
        for (std::uint32_t differs = holds ^ word.active; differs != 0; differs &= differs - 1) {
            const auto code = static_cast<std::size_t>(std::countr_zero(differs));
            const std::uint32_t bit = 1U << code;
            const bool raises = (holds & bit) != 0;
            const std::int32_t delay_ms = raises ? rules[code].on_delay_ms : rules[code].off_delay_ms;
            if (now_ms - word.since_ms[code] < delay_ms) continue;
            if (raises && (rules[code].traits.follows_from & shown_causes) != 0) {
                word.suppressed |= bit;
                continue;
            }
            word.active ^= bit;
            if (raises) first_out(code);
            if ((bit & hidden()) != 0) continue;
            if (raises)
                raise(code, values);
            else
                note(EventKind::alarm_returned, code, Reason::returned_normal);
        }
    }
};

void renew_first_out(FirstOut& group, std::uint32_t bit, std::int64_t onset_ms) noexcept {
    if (group.alarms == 0 || onset_ms < group.onset_ms) group = {onset_ms, 0};
    if (onset_ms == group.onset_ms) group.alarms |= bit;
}

void acknowledge_all(const auto& judge, const Advice& advice) noexcept {
    for (std::uint32_t left = judge.word.unacknowledged; left != 0; left &= left - 1) {
        if (advice.event_count + events_reserved >= events_max) return;
        judge.acknowledge(static_cast<std::size_t>(std::countr_zero(left)));
    }
}

template <std::size_t Count>
std::int64_t first_end_ms(const AlarmWord<Count>& word) noexcept {
    std::int64_t first_ms = std::numeric_limits<std::int64_t>::max();
    for (std::uint32_t left = word.shelved; left != 0; left &= left - 1)
        first_ms =
            std::min(first_ms, word.shelved_until_ms[static_cast<std::size_t>(std::countr_zero(left))]);
    return first_ms;
}

}  // namespace

bool alarms_unchanged(const AlarmState& state, const AlarmConditions& conditions,
                      const OperatorInputs& people, std::int64_t now_ms) noexcept {
    if (state.pending || people.asks() || now_ms >= state.unshelve_ms) return false;
    if (((conditions.station ^ state.station.previous) & ~conditions.station_unknown) != 0) return false;
    // Eight short words, compared as two long words.
    const auto now = std::bit_cast<std::array<std::uint64_t, 2>>(conditions.pump);
    const auto before = std::bit_cast<std::array<std::uint64_t, 2>>(state.pump_conditions);
    return now[0] == before[0] && now[1] == before[1];
}

void judge_alarms(AlarmState& state, const AlarmConditions& conditions, const OperatorInputs& people,
                  std::size_t pump_count, std::int64_t now_ms, Journal& journal, Advice& advice) noexcept {
    const std::uint32_t unknown = conditions.station_unknown;
    const std::uint32_t station = (conditions.station & ~unknown) | (state.station.previous & unknown);
    if (alarms_unchanged(state, conditions, people, now_ms)) return;

    const bool of_station = people.pump == no_pump;
    const Judge<station_alarm_count, decltype(station_alarm_rules)> judge{state.station, station_alarm_rules,
                                                                          no_pump, now_ms, journal};
    if (of_station) judge.obey(people, conditions.grounds.station);
    judge.end_shelving(conditions.grounds.station);
    // The alarm of a cause that is shelved or out of service suppresses nothing, because people must still
    // see what follows from the cause.
    const std::uint32_t shown_causes = (station | state.station.active) & ~judge.hidden();
    judge.judge(station, shown_causes, conditions.grounds.station, [&](std::size_t code) {
        renew_first_out(state.station_first_out[static_cast<std::size_t>(station_alarm_rules[code].group)],
                        1U << code, state.station.since_ms[code]);
    });
    if (people.acknowledge_all) acknowledge_all(judge, advice);
    state.pending = state.station.previous != state.station.active;
    state.unshelve_ms = first_end_ms(state.station);
    const auto write = [](const auto& word, AlarmMarks& marks) {
        marks.shelved = word.shelved;
        marks.out_of_service = word.out_of_service;
        marks.suppressed = word.suppressed;
        marks.first_out = 0;
        return word.active & ~(word.shelved | word.out_of_service);
    };
    advice.station_alarms = write(state.station, advice.station_alarm_marks);
    advice.station_alarms_unacknowledged = state.station.unacknowledged;
    const std::uint32_t shown = advice.station_alarms | state.station.unacknowledged;
    for (std::size_t group = 0; group < group_count; ++group) {
        FirstOut& first = state.station_first_out[group];
        if ((shown & station_groups[group]) == 0) first = {};
        advice.station_alarm_marks.first_out |= first.alarms;
    }

    state.pump_conditions = conditions.pump;
    for (std::size_t p = 0; p < pump_count; ++p) {
        auto& word = state.pump[p];
        const Judge<pump_alarm_count, decltype(pump_alarm_rules)> of_pump{
            word, pump_alarm_rules, static_cast<std::uint8_t>(p), now_ms, journal};
        const auto grounds = conditions.grounds.of_pump(p);
        if (people.pump == p) of_pump.obey(people, grounds);
        of_pump.end_shelving(grounds);
        of_pump.judge(conditions.pump[p], shown_causes, grounds, [&](std::size_t code) {
            renew_first_out(state.pump_first_out[p], 1U << code, word.since_ms[code]);
        });
        if (people.acknowledge_all) acknowledge_all(of_pump, advice);
        state.pending = state.pending || word.previous != word.active;
        state.unshelve_ms = std::min(state.unshelve_ms, first_end_ms(word));
        AlarmMarks& marks = advice.pump_alarm_marks[p];
        advice.pump_alarms[p] = static_cast<std::uint16_t>(write(word, marks));
        advice.pump_alarms_unacknowledged[p] = static_cast<std::uint16_t>(word.unacknowledged);
        if ((advice.pump_alarms[p] | word.unacknowledged) == 0) state.pump_first_out[p] = {};
        marks.first_out = state.pump_first_out[p].alarms;
    }
}

}  // namespace freshet::core
