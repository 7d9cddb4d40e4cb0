// Carries out the orders of a person at the controller. The header describes the orders.
#include "controller/process/alarm_orders.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cstdio>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "config/loader/nearest.hpp"
#include "controller/core/alarms.hpp"
#include "controller/words/alarms.hpp"
#include "controller/words/sentences.hpp"

namespace freshet::controller_process {
namespace {

using core::AlarmOrder;

constexpr int lines_in_a_scan = 16;  // later scans read further lines
constexpr std::int32_t ms_per_minute = 60'000;
constexpr std::int64_t minutes_max = core::shelve_max_ms / ms_per_minute;

struct Verb {
    std::string_view word, expected;
    AlarmOrder order;
    core::EventKind happens;             ///< the event of a scan that carried the order out
    std::string_view done, was_so = "";  ///< `was_so`: the reason why the order changed nothing
};
constexpr std::array verbs{
    Verb{"acknowledge", "acknowledge all or acknowledge ALARM", AlarmOrder::acknowledge,
         core::EventKind::alarm_acknowledged, "acknowledged", "nothing to acknowledge"},
    Verb{"shelve", "shelve ALARM MINUTES", AlarmOrder::shelve, core::EventKind::alarm_shelved, "shelved"},
    Verb{"unshelve", "unshelve ALARM", AlarmOrder::unshelve, core::EventKind::alarm_unshelved,
         "no longer shelved", "was not shelved"},
    Verb{"out_of_service", "out_of_service ALARM", AlarmOrder::take_out_of_service,
         core::EventKind::alarm_out_of_service, "out of service", "was out of service already"},
    Verb{"in_service", "in_service ALARM", AlarmOrder::return_to_service, core::EventKind::alarm_in_service,
         "in service", "was in service already"},
};

/// Resets the emergency stop after its release.
constexpr std::string_view reset_word = "reset";

struct Alarm {
    std::uint8_t pump = core::no_pump, code = 0;
    core::AlarmPriority priority = core::AlarmPriority::low;
};

std::optional<Alarm> alarm_of(std::string_view name, std::uint8_t pump_count) {
    constexpr std::string_view of_pump = "pump_";
    if (!name.starts_with(of_pump)) {
        const auto code = words::code_of(words::station_alarms, name);
        if (!code) return std::nullopt;
        const auto index = static_cast<std::uint8_t>(*code);
        return Alarm{core::no_pump, index, core::station_alarm_rules[index].priority};
    }
    name.remove_prefix(of_pump.size());
    if (name.size() < 3 || name[1] != '.' || name[0] < '1' || name[0] >= '1' + pump_count)
        return std::nullopt;
    const auto code = words::code_of(words::pump_alarms, name.substr(2));
    if (!code) return std::nullopt;
    const auto index = static_cast<std::uint8_t>(*code);
    return Alarm{static_cast<std::uint8_t>(name[0] - '1'), index, core::pump_alarm_rules[index].priority};
}

/// Appends a line for each alarm of a register word, unless the alarm is normal.
template <class Words>
void append_word(std::string& list, const std::string& prefix, const Words& words, std::uint32_t active,
                 std::uint32_t unacknowledged, const core::AlarmMarks& marks) {
    for (std::size_t code = 0; code < words.size(); ++code) {
        const auto in = [code](std::uint32_t word) { return (word >> code & 1U) != 0; };
        std::string state = in(active) ? "active" : "";
        const auto add = [&state](std::string_view what) {
            state += state.empty() ? "" : ", ";
            state += what;
        };
        if (in(unacknowledged) && !in(active)) add("returned");
        if (in(unacknowledged)) add("not acknowledged");
        if (in(active) && !in(unacknowledged)) add("acknowledged");
        if (in(marks.first_out)) add("first of its group");
        if (in(marks.suppressed)) add("suppressed because another alarm explains it");
        if (in(marks.shelved)) add("shelved");
        if (in(marks.out_of_service)) add("out of service");
        if (!state.empty())
            list += fmt::format("{}{}: {} ({})\n", prefix, words[code].name, state, words[code].text);
    }
}

std::string list_of(const core::Advice& advice, std::uint8_t pump_count) {
    std::string list;
    append_word(list, "", words::station_alarms, advice.station_alarms, advice.station_alarms_unacknowledged,
                advice.station_alarm_marks);
    for (std::size_t pump = 0; pump < pump_count; ++pump)
        append_word(list, fmt::format("pump_{}.", pump + 1), words::pump_alarms, advice.pump_alarms[pump],
                    advice.pump_alarms_unacknowledged[pump], advice.pump_alarm_marks[pump]);
    return list.empty() ? "every alarm is normal\n" : list;
}

/// Returns an answer without an order.
ReadOrder only_answer(std::string text) {
    return {{}, {}, std::move(text)};
}

/// Returns `; nearest known WHAT "word"`. Returns an empty text when no known word is near.
std::string hint(std::string_view word, std::string_view what, std::span<const std::string_view> known) {
    const std::string_view near = config::nearest(word, known);
    return near.empty() ? std::string() : fmt::format("; nearest known {} \"{}\"", what, near);
}

ReadOrder unknown_order(std::string_view line, std::string_view word) {
    std::vector<std::string_view> known{"list", reset_word};
    std::string expected = fmt::format("list, {}", reset_word);
    for (const Verb& verb : verbs) {
        known.push_back(verb.word);
        expected += fmt::format(", {}", verb.expected);
    }
    return only_answer(
        fmt::format("'{}' is not an order; expected {}{}\n", line, expected, hint(word, "order", known)));
}

ReadOrder unknown_alarm(std::string_view name, std::uint8_t pump_count) {
    std::vector<std::string> names;
    for (const auto& alarm : words::station_alarms) names.emplace_back(alarm.name);
    for (int pump = 1; pump <= pump_count; ++pump)
        for (const auto& alarm : words::pump_alarms)
            names.push_back(fmt::format("pump_{}.{}", pump, alarm.name));
    return only_answer(fmt::format(
        "there is no alarm '{}'; `freshet alarms` lists the alarms; an alarm of a pump is written "
        "pump_1.tripped{}\n",
        name, hint(name, "alarm", std::vector<std::string_view>(names.begin(), names.end()))));
}

int count_of(const core::Advice& advice, core::EventKind what) {
    int count = 0;
    for (std::size_t i = 0; i < advice.event_count; ++i)
        if (advice.events[i].what == what) ++count;
    return count;
}

/// Returns true when an event of the scan shows that the scan carried out the order. The end of a shelving by
/// time does not count.
bool notes(const core::Advice& advice, core::EventKind what, const core::OperatorInputs& people) {
    for (std::size_t i = 0; i < advice.event_count; ++i) {
        const core::Event& event = advice.events[i];
        if (event.what == what && event.detail == people.alarm && event.pump == people.pump &&
            event.why != core::Reason::shelving_over)
            return true;
    }
    return false;
}

int unacknowledged(const core::Advice& advice) {
    int count = std::popcount(advice.station_alarms_unacknowledged);
    for (const std::uint16_t word : advice.pump_alarms_unacknowledged) count += std::popcount(word);
    return count;
}

std::string all_acknowledged(const core::Advice& advice) {
    const int done = count_of(advice, core::EventKind::alarm_acknowledged), left = unacknowledged(advice);
    if (done == 0 && left == 0) return "all: nothing to acknowledge\n";
    if (left == 0) return fmt::format("all: {} acknowledged\n", done);
    return fmt::format("all: {} acknowledged, {} left; write the order again\n", done, left);
}

/// The result of a reset.
std::string reset_outcome(const core::Advice& advice) {
    for (std::size_t i = 0; i < advice.event_count; ++i) {
        const core::Event& event = advice.events[i];
        if (event.what == core::EventKind::emergency_stop_reset) return "reset: done, pumps may start\n";
        if (event.what == core::EventKind::reset_refused)
            return fmt::format("reset: refused, because {}\n", words::because(event));
    }
    return "reset: nothing to reset\n";
}

}  // namespace

ReadOrder read_order(std::string_view line, const core::Advice& advice, std::uint8_t pump_count) {
    const std::vector<std::string_view> words = service::words_of(line);
    if (words.empty()) return {};
    if (words.size() == 1 && words[0] == "list") return only_answer(list_of(advice, pump_count));
    if (words.size() == 1 && words[0] == reset_word) {
        ReadOrder order;
        order.people.reset_emergency_stop = true;
        return order;
    }
    const auto* const verb = std::ranges::find(verbs, words[0], &Verb::word);
    if (verb == verbs.end()) return unknown_order(line, words[0]);
    const std::size_t expected = verb->order == AlarmOrder::shelve ? 3 : 2;
    if (words.size() != expected)
        return only_answer(fmt::format("'{}' is not an order; expected {}\n", line, verb->expected));
    ReadOrder order;
    order.name = words[1];
    if (verb->order == AlarmOrder::acknowledge && words[1] == "all") {
        order.people.acknowledge_all = true;
        return order;
    }
    const auto alarm = alarm_of(words[1], pump_count);
    if (!alarm) return unknown_alarm(words[1], pump_count);
    const bool sets_aside =
        verb->order == AlarmOrder::shelve || verb->order == AlarmOrder::take_out_of_service;
    if (sets_aside && !core::may_be_set_aside(alarm->priority))
        return only_answer(fmt::format("{} has high priority and may not be set aside\n", words[1]));
    order.people.order = verb->order;
    order.people.pump = alarm->pump;
    order.people.alarm = alarm->code;
    if (verb->order != AlarmOrder::shelve) return order;
    std::int32_t minutes = 0;
    const char* const end = words[2].data() + words[2].size();
    const auto read = std::from_chars(words[2].data(), end, minutes);
    if (read.ec != std::errc{} || read.ptr != end || minutes < 1 || minutes > minutes_max)
        return only_answer(
            fmt::format("'{}' is not a shelving time; expected 1 to {} minutes\n", words[2], minutes_max));
    order.people.shelve_ms = minutes * ms_per_minute;
    return order;
}

std::string outcome_of(const ReadOrder& order, const core::Advice& advice) {
    if (order.people.reset_emergency_stop) return reset_outcome(advice);
    if (order.people.acknowledge_all) return all_acknowledged(advice);
    const auto* const verb = std::ranges::find(verbs, order.people.order, &Verb::order);
    if (verb == verbs.end()) return {};
    if (!notes(advice, verb->happens, order.people)) return fmt::format("{}: {}\n", order.name, verb->was_so);
    if (order.people.order != AlarmOrder::shelve) return fmt::format("{}: {}\n", order.name, verb->done);
    return fmt::format("{}: shelved for {} minutes\n", order.name, order.people.shelve_ms / ms_per_minute);
}

core::OperatorInputs AlarmOrders::next(const core::Advice& advice) {
    for (int lines = 0; lines < lines_in_a_scan; ++lines) {
        const auto line = lines_.next();
        if (!line) break;
        given_ =
            line->refused.empty() ? read_order(line->text, advice, pump_count_) : only_answer(line->refused);
        fmt::print(stderr, "{}", given_.answer);
        if (given_.people.asks()) return given_.people;
    }
    return {};
}

void AlarmOrders::answer(const core::Advice& advice) {
    fmt::print(stderr, "{}", outcome_of(given_, advice));
}

}  // namespace freshet::controller_process
