// Puts the rules of core/alarms.hpp and their words into one row each.
// One reason to change: see the header.
#include "controller/words/alarm_document.hpp"

#include <string_view>

#include "controller/core/alarms.hpp"
#include "controller/words/alarms.hpp"
#include "controller/words/cautions.hpp"

namespace freshet::words {
namespace {

/// One alarm, in words.
struct Row {
    std::string name;
    std::string_view text, cause, consequence, response, priority, group;
    std::string failures, on_delay_s, off_delay_s, deadband, latched, follows_from, set_aside, bad_value;
};

std::string seconds(std::int32_t ms) {
    constexpr std::int32_t ms_per_s = 1000;
    std::string text = std::to_string(ms / ms_per_s);
    if (ms % ms_per_s != 0) {
        std::string part = std::to_string(ms_per_s + ms % ms_per_s).substr(1);
        while (part.back() == '0') part.pop_back();
        text += "." + part;
    }
    return text;
}

std::string names_of(std::uint32_t alarms) {
    std::string names;
    for (const AlarmWord<core::StationAlarm>& alarm : station_alarms) {
        if ((alarms & core::alarm_bit(alarm.code)) == 0) continue;
        if (!names.empty()) names += " or ";
        names += alarm.name;
    }
    return names;
}

template <class Code>
Row row_of(const core::AlarmRule<Code>& rule, std::string_view prefix) {
    const auto yes = [](bool is) { return std::string(is ? "yes" : "no"); };
    const AlarmWord<Code>& alarm = word(rule.code);
    return {std::string(prefix) + std::string(alarm.name),
            alarm.text,
            alarm.cause,
            alarm.consequence,
            alarm.response,
            entry_of(alarm_priorities, rule.priority).text,
            entry_of(alarm_groups, rule.group).text,
            alarm.raised_by == RaisedBy::last_attempt ? "attempts_max in a row" : "",
            seconds(rule.on_delay_ms),
            seconds(rule.off_delay_ms),
            rule.traits.deadband ? "of the station file" : "none",
            yes(rule.traits.latched),
            names_of(rule.traits.follows_from),
            yes(core::may_be_set_aside(rule.priority)),
            rule.traits.needs_value ? "stays as it was" : "does not matter"};
}

template <class Visit>
void for_each_station_alarm(Visit visit) {
    for (const core::StationAlarmRule& rule : core::station_alarm_rules) visit(row_of(rule, ""));
}

template <class Visit>
void for_each_pump_alarm(std::string_view prefix, Visit visit) {
    for (const core::PumpAlarmRule& rule : core::pump_alarm_rules) visit(row_of(rule, prefix));
}

void append_markdown_head(std::string& out) {
    out +=
        "| alarm | likely cause | consequence | response | priority | group | on at failures | on after, s | "
        "off after, s | "
        "deadband | latched | not raised with |\n"
        "|---|---|---|---|---|---|---|---|---|---|---|---|\n";
}

void append_markdown(std::string& out, const Row& row) {
    out += "| `" + row.name + "` ";
    out.append(row.text) += " | ";
    for (const std::string_view cell : {row.cause, row.consequence, row.response, row.priority, row.group})
        out.append(cell) += " | ";
    out += (row.failures.empty() ? "-" : row.failures) + " | ";
    for (const std::string* cell : {&row.on_delay_s, &row.off_delay_s, &row.deadband, &row.latched})
        out += *cell + " | ";
    out += (row.follows_from.empty() ? "-" : row.follows_from) + " |\n";
}

/// RFC 4180: every cell in quotes. No cell of ours contains a quote.
void append_cell(std::string& out, std::string_view cell, char end = ',') {
    out += '"';
    out.append(cell) += '"';
    out += end;
}

void append_csv(std::string& out, const Row& row) {
    append_cell(out, row.name);
    for (const std::string_view cell :
         {row.text, row.cause, row.consequence, row.response, row.priority, row.group})
        append_cell(out, cell);
    for (const std::string* cell : {&row.failures, &row.on_delay_s, &row.off_delay_s, &row.deadband,
                                    &row.latched, &row.follows_from, &row.bad_value})
        append_cell(out, *cell);
    append_cell(out, row.set_aside, '\r');
    out += '\n';
}

}  // namespace

std::string alarms_markdown() {
    std::string out =
        "# Alarms\n\n"
        "The states follow ISA-18.2 / IEC 62682. An alarm is normal, active or returned; an active or "
        "returned "
        "alarm is acknowledged or not. A person may shelve an alarm for at most " +
        std::to_string(core::shelve_max_ms / 3'600'000) +
        " hours or take it out of service, unless its priority is high. A latched alarm stays active until "
        "the "
        "failed equipment has been proven to work, or has been reset. The controller does not raise an alarm "
        "while another alarm is shown that explains it. In each group the alarm whose condition came first "
        "is marked. If several conditions came in the same scan, all of their alarms are marked. While the "
        "measured value is bad, alarms of the measured value stay as they were. An alarm with an entry under "
        "\"on at failures\" waits for attempts_max of "
        "the "
        "station file; only the journal records the failures before.\n\n"
        "## Station\n\n";
    append_markdown_head(out);
    for_each_station_alarm([&](const Row& row) { append_markdown(out, row); });
    out += "\n## Each pump\n\n";
    append_markdown_head(out);
    for_each_pump_alarm("", [&](const Row& row) { append_markdown(out, row); });
    out += "\n";
    for (const std::string_view caution : cautions) out.append("> ").append(caution) += "\n";
    return out;
}

std::string alarms_csv() {
    std::string out =
        "alarm,text,cause,consequence,response,priority,group,on_at_failures,on_delay_s,off_delay_s,deadband,"
        "latched,"
        "not_raised_beside,when_value_is_bad,may_be_set_aside\r\n";
    for_each_station_alarm([&](const Row& row) { append_csv(out, row); });
    for_each_pump_alarm("pump_N.", [&](const Row& row) { append_csv(out, row); });
    return out;
}

}  // namespace freshet::words
