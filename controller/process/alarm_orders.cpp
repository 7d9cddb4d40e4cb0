// Lines of somebody in attendance; see the header.
#include "controller/process/alarm_orders.hpp"

#include <poll.h>
#include <unistd.h>

#include <array>
#include <charconv>
#include <cstdio>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "controller/core/alarms.hpp"
#include "controller/words/alarms.hpp"

namespace freshet::controller_process {
namespace {

using core::AlarmOrder;

constexpr std::size_t line_max = 200;   // longer than any order; what is longer is no order
constexpr std::size_t lines_max = 100;  // nobody types faster; what floods is dropped
constexpr std::int32_t ms_per_minute = 60'000;
constexpr std::int64_t minutes_max = core::shelve_max_ms / ms_per_minute;

struct Verb {
    std::string_view word;
    AlarmOrder order;
    std::string_view done;
};
constexpr std::array verbs{
    Verb{"acknowledge", AlarmOrder::acknowledge, "acknowledged"},
    Verb{"shelve", AlarmOrder::shelve, "shelved"},
    Verb{"unshelve", AlarmOrder::unshelve, "no longer shelved"},
    Verb{"out_of_service", AlarmOrder::take_out_of_service, "out of service"},
    Verb{"in_service", AlarmOrder::return_to_service, "in service"},
};

struct Alarm {
    std::uint8_t pump = core::no_pump, code = 0;
    core::AlarmPriority priority = core::AlarmPriority::low;
};

std::vector<std::string_view> words_of(std::string_view line) {
    std::vector<std::string_view> found;
    constexpr std::string_view blanks = " \t\r";
    for (std::size_t at = line.find_first_not_of(blanks); at != std::string_view::npos;) {
        const std::size_t end = line.find_first_of(blanks, at);
        found.push_back(line.substr(at, end - at));
        at = end == std::string_view::npos ? end : line.find_first_not_of(blanks, end);
    }
    return found;
}

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

/// Appends a line for each alarm of a word that is not normal.
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
        if (in(marks.suppressed)) add("suppressed: follows from another");
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

ReadOrder wrong(std::string text) {
    return {{}, std::move(text)};
}

}  // namespace

ReadOrder read_order(std::string_view line, const core::Advice& advice, std::uint8_t pump_count) {
    const std::vector<std::string_view> words = words_of(line);
    if (words.empty()) return {};
    if (words.size() == 1 && words[0] == "list") return {{}, list_of(advice, pump_count)};
    const Verb* verb = nullptr;
    for (const Verb& one : verbs)
        if (one.word == words[0]) verb = &one;
    const std::size_t expected = verb != nullptr && verb->order == AlarmOrder::shelve ? 3 : 2;
    if (verb == nullptr || words.size() != expected)
        return wrong(
            fmt::format("'{}' is no order; expected list, acknowledge all, acknowledge ALARM, shelve ALARM "
                        "MINUTES, unshelve ALARM, out_of_service ALARM or in_service ALARM\n",
                        line));
    core::OperatorInputs people;
    if (verb->order == AlarmOrder::acknowledge && words[1] == "all") {
        people.acknowledge_all = true;
        return {people, "all: acknowledged\n"};
    }
    const auto alarm = alarm_of(words[1], pump_count);
    if (!alarm)
        return wrong(
            fmt::format("there is no alarm '{}'; `freshet alarms` names them, and one of a pump is written "
                        "pump_1.tripped\n",
                        words[1]));
    const bool sets_aside =
        verb->order == AlarmOrder::shelve || verb->order == AlarmOrder::take_out_of_service;
    if (sets_aside && !core::may_be_set_aside(alarm->priority))
        return wrong(fmt::format("{} has high priority and may not be set aside\n", words[1]));
    people.order = verb->order;
    people.pump = alarm->pump;
    people.alarm = alarm->code;
    if (verb->order != AlarmOrder::shelve) return {people, fmt::format("{}: {}\n", words[1], verb->done)};
    std::int32_t minutes = 0;
    const char* const end = words[2].data() + words[2].size();
    const auto read = std::from_chars(words[2].data(), end, minutes);
    if (read.ec != std::errc{} || read.ptr != end || minutes < 1 || minutes > minutes_max)
        return wrong(
            fmt::format("'{}' is no time to shelve for; expected 1 to {} minutes\n", words[2], minutes_max));
    people.shelve_ms = minutes * ms_per_minute;
    return {people, fmt::format("{}: shelved for {} minutes\n", words[1], minutes)};
}

void AlarmOrders::read_lines() {
    while (!ended_) {
        pollfd waiting{descriptor_, POLLIN, 0};
        if (poll(&waiting, 1, 0) <= 0) return;
        std::array<char, line_max> text;
        const ssize_t read_bytes = read(descriptor_, text.data(), text.size());
        if (read_bytes <= 0) {
            ended_ = true;
            return;
        }
        unfinished_.append(text.data(), static_cast<std::size_t>(read_bytes));
        for (std::size_t end = unfinished_.find('\n'); end != std::string::npos;
             end = unfinished_.find('\n')) {
            if (lines_.size() < lines_max) lines_.push_back(unfinished_.substr(0, end));
            unfinished_.erase(0, end + 1);
        }
        if (unfinished_.size() > line_max) unfinished_.clear();
    }
}

core::OperatorInputs AlarmOrders::next(const core::Advice& advice) {
    read_lines();
    while (!lines_.empty()) {
        const ReadOrder order = read_order(lines_.front(), advice, pump_count_);
        lines_.pop_front();
        fmt::print(stderr, "{}", order.answer);
        if (order.people.asks()) return order.people;
    }
    return {};
}

}  // namespace freshet::controller_process
