// Judging alarms; see the header.
#include "controller/core/alarms.hpp"

#include <bit>

namespace freshet::core {

namespace {

consteval bool rules_stand_in_order() {
    for (std::size_t i = 0; i < station_alarm_count; ++i)
        if (static_cast<std::size_t>(station_alarm_rules[i].code) != i) return false;
    for (std::size_t i = 0; i < pump_alarm_count; ++i)
        if (static_cast<std::size_t>(pump_alarm_rules[i].code) != i) return false;
    return true;
}
static_assert(rules_stand_in_order(), "every alarm has its rule, in the order of its codes");

template <std::size_t Count, class Rules>
void judge_word(AlarmWord<Count>& word, std::uint32_t holds, const Rules& rules, std::uint8_t pump,
                const std::array<double, 4>& values, std::int64_t now_ms, Journal& journal) noexcept {
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
        word.active ^= bit;
        if (raises) {
            word.unacknowledged |= bit;
            const Reason why = rules[code].why;
            const bool with_values = why == Reason::value_high || why == Reason::low_cutoff;
            journal.note(Happening::alarm_raised, static_cast<std::uint8_t>(code), pump, why,
                         with_values ? values : std::array<double, 4>{});
        } else {
            journal.note(Happening::alarm_returned, static_cast<std::uint8_t>(code), pump,
                         Reason::returned_normal);
        }
    }
}

}  // namespace

void judge_alarms(AlarmState& state, const AlarmConditions& conditions, bool acknowledge_all,
                  std::size_t pump_count, std::int64_t now_ms, Journal& journal, Advice& advice) noexcept {
    bool same = conditions.station == state.station.previous;
    for (std::size_t p = 0; p < pump_count; ++p) same = same && conditions.pump[p] == state.pump[p].previous;
    if (same && !state.pending && !acknowledge_all) return;
    judge_word(state.station, conditions.station, station_alarm_rules, no_pump, conditions.value_values,
               now_ms, journal);
    if (acknowledge_all) state.station.unacknowledged = 0;
    state.pending = state.station.previous != state.station.active;
    advice.station_alarms = state.station.active;
    advice.station_alarms_unacknowledged = state.station.unacknowledged;
    for (std::size_t p = 0; p < pump_count; ++p) {
        auto& word = state.pump[p];
        judge_word(word, conditions.pump[p], pump_alarm_rules, static_cast<std::uint8_t>(p), {}, now_ms,
                   journal);
        if (acknowledge_all) word.unacknowledged = 0;
        state.pending = state.pending || word.previous != word.active;
        advice.pump_alarms[p] = static_cast<std::uint16_t>(word.active);
        advice.pump_alarms_unacknowledged[p] = static_cast<std::uint16_t>(word.unacknowledged);
    }
}

}  // namespace freshet::core
