// Writes the rows of core/sequences.hpp as Markdown tables and as a Graphviz chart. The number of a step is
// its place in the table; a time-out reads "limit/X3" as in IEC 60848: true when step 3 has been active for
// that time.
#include "controller/words/sequence_document.hpp"

#include <string_view>
#include <utility>
#include <vector>

#include "controller/words/alarms.hpp"
#include "controller/words/cautions.hpp"
#include "controller/words/sequence_table.hpp"
#include "controller/words/sequences.hpp"
#include "controller/words/states.hpp"

namespace freshet::words {
namespace {

using core::Sequence;
using core::Step;
using core::StepRow;
using core::Way;

std::string number_of(Step step) {
    return "X" + std::to_string(static_cast<int>(step));
}

/// The end of a way: "X4", or the initial step with the state in which the pump ends.
std::string way_text(const Way& way) {
    if (way.step != Step::idle) return number_of(way.step);
    const std::string end = "X0, pump " + std::string(word(way.end).text);
    return way.end == core::PumpState::locked_out ? end + " (off when the contact is not read)" : end;
}

std::string alarm_text(const core::AlarmRef& alarm) {
    switch (alarm.of) {
        case core::AlarmRef::Of::station:
            return std::string(word(static_cast<core::StationAlarm>(alarm.code)).text);
        case core::AlarmRef::Of::pump:
            return std::string(word(static_cast<core::PumpAlarm>(alarm.code)).text);
        case core::AlarmRef::Of::none:
            break;
    }
    return {};
}

/// The advice of a step, item by item. Contactors are the ones of the pump under way. Items that are not
/// named are open or off.
std::vector<std::string> advised(const StepRow& row) {
    std::vector<std::string> items;
    if (core::is_line_run(row.sequence))
        return {row.advice.line_side_close ? "line side closed" : "both sides open", "drive unchanged"};
    if (row.advice.drive_run) {
        items.push_back("drive run");
        items.emplace_back(word(row.advice.speed).text);
    }
    if (row.advice.synchronise) items.push_back("synchronise");
    if (row.advice.output_close) items.push_back("drive output closed");
    if (row.advice.drive_side_close) items.push_back("drive side closed");
    if (row.advice.line_side_close) items.push_back("line side closed");
    if (items.empty()) items.push_back("all open, drive stopped");
    return items;
}

std::string joined(const std::vector<std::string>& items, std::string_view between) {
    std::string text;
    for (const std::string& item : items) {
        if (!text.empty()) text += between;
        text += item;
    }
    return text;
}

struct Transition {
    std::string condition;
    Way way;
    bool fallback;
};

/// Every way out of a step. Grounds that lead to the same place share a transition. A ground that leads back
/// into its own step changes nothing there and is left out.
std::vector<Transition> transitions(const StepRow& row) {
    std::vector<Transition> all;
    all.push_back({std::string(word(row.wait_for).text), row.then, false});
    std::string time_out = std::string(word(row.limit).text) + "/" + number_of(row.step);
    if (const std::string alarm = alarm_text(row.time_out_alarm); !alarm.empty())
        time_out += " (alarm: " + alarm + ")";
    all.push_back({std::move(time_out), row.on_time_out, true});
    const auto add_loss = [&](std::string_view ground, const Way& way) {
        if (way.step == row.step) return;
        for (Transition& other : all) {
            if (other.way == way && other.fallback && other.condition.find("/X") == std::string::npos) {
                (other.condition += " or ") += ground;
                return;
            }
        }
        all.push_back({std::string(ground), way, true});
    };
    add_loss("drive lost", row.on_drive_lost);
    add_loss("pump lost", row.on_pump_lost);
    add_loss("drive bus joined to the line", row.on_bus_joined_to_line);
    if (row.needs_sync) add_loss("sync lost", row.on_sync_lost);
    return all;
}

template <class Visit>
void for_each_sequence(Visit visit) {
    for (std::size_t i = 1; i < sequences.size(); ++i) visit(sequences[i].code);
}

std::string capitalised(std::string_view text) {
    std::string out(text);
    if (!out.empty() && out[0] >= 'a' && out[0] <= 'z') out[0] = static_cast<char>(out[0] - 'a' + 'A');
    return out;
}

void append_markdown_row(std::string& out, const StepRow& row) {
    out += "| " + number_of(row.step) + " `" + std::string(word(row.step).name) + "` | " +
           std::string(word(row.state).text) + " | " + joined(advised(row), ", ") + " | ";
    bool first = true;
    for (const Transition& transition : transitions(row)) {
        if (!first) out += "<br>";
        out += transition.condition + " -> " + way_text(transition.way);
        first = false;
    }
    out += " |\n";
}

/// The consequence of a failed attempt, from the table of retries.
std::string retry_text(Sequence sequence) {
    const core::RetryRow& retry = core::retry_of(sequence);
    std::string text;
    const auto add = [&text](std::string_view sentence) {
        if (!text.empty()) text += ' ';
        text += sentence;
    };
    if (retry.counts_transfer) {
        add("After a failed attempt the controller waits for the retry pause and then tries again while "
            "staging wants the transfer. `attempts_max` failures in a row raise the alarm:");
        add(alarm_text(retry.alarm) + ".");
        add("The controller then tries again after the transfer pause. Meanwhile the next pump starts on the "
            "line "
            "where the station allows line starts.");
    }
    if (retry.counts_pump)
        add("A failed attempt counts against the pump. The pump rests for the retry pause, and another pump "
            "starts instead. `attempts_max` failures in a row lock the pump out until somebody puts its "
            "selector to Off.");
    if (retry.counts_drive)
        add("A failure of the drive counts against the drive. The controller does not use the drive for the "
            "retry pause. `attempts_max` failures in a row lock the drive out until somebody resets the "
            "drive at the drive itself.");
    if (text.empty())
        add("A failure raises its alarm. The controller does not try again by itself. The table shows the "
            "state "
            "in which the pump remains.");
    return text;
}

/// Graphviz' HTML-like labels treat these characters as markup.
std::string dot_escaped(std::string_view text) {
    std::string out;
    for (const char letter : text) {
        if (letter == '&') {
            out += "&amp;";
        } else if (letter == '<') {
            out += "&lt;";
        } else if (letter == '>') {
            out += "&gt;";
        } else {
            out += letter;
        }
    }
    return out;
}

/// A step as IEC 60848 draws it: a square with its number, and the box of its actions at the right.
void append_dot_step(std::string& out, const StepRow& row) {
    out += "    " + number_of(row.step) +
           " [shape=plain, label=<<table border=\"0\" cellborder=\"1\" cellspacing=\"0\" "
           "cellpadding=\"5\"><tr><td>" +
           number_of(row.step) + "</td><td align=\"left\">" + dot_escaped(word(row.step).text) +
           "<br align=\"left\"/><i>" + dot_escaped(joined(advised(row), ", ")) +
           "</i><br align=\"left\"/></td></tr></table>>];\n";
}

/// A transition: a short bar with its condition, and a reference when the transition leaves the chart.
void append_dot_transition(std::string& out, const StepRow& row, const Transition& transition,
                           std::size_t index) {
    const std::string bar = number_of(row.step) + "_" + std::to_string(index);
    const std::string style = transition.fallback ? ", style=dashed" : "";
    out += "    " + bar +
           " [shape=plain, label=<<table border=\"0\" cellborder=\"0\" cellspacing=\"0\" "
           "cellpadding=\"2\"><tr><td width=\"30\" height=\"3\" cellpadding=\"0\" bgcolor=\"black\"></td>"
           "</tr><tr><td>" +
           dot_escaped(transition.condition) + "</td></tr></table>>];\n";
    out += "    " + number_of(row.step) + " -> " + bar + " [arrowhead=none" + style + "];\n";
    const bool inside =
        transition.way.step != Step::idle && core::row_of(transition.way.step).sequence == row.sequence;
    if (inside) {
        out += "    " + bar + " -> " + number_of(transition.way.step) + " [arrowhead=normal" + style + "];\n";
        return;
    }
    out +=
        "    " + bar + "_out [shape=plaintext, label=<to " + dot_escaped(way_text(transition.way)) + ">];\n";
    out += "    " + bar + " -> " + bar + "_out [arrowhead=normal" + style + "];\n";
}

void append_dot_sequence(std::string& out, Sequence sequence) {
    const std::string name(word(sequence).name);
    out += "  subgraph cluster_" + name + " {\n    label=\"" + capitalised(word(sequence).text) + "\";\n";
    out += "    begin_" + name + " [shape=box, peripheries=2, label=\"X0\"];\n";
    out += "    begin_" + name + " -> " + number_of(core::first_step(sequence)) +
           " [label=\"sequence begun\"];\n";
    for (const StepRow& row : core::tables::rows) {
        if (row.sequence != sequence) continue;
        append_dot_step(out, row);
        std::size_t index = 0;
        for (const Transition& transition : transitions(row))
            append_dot_transition(out, row, transition, ++index);
    }
    out += "  }\n";
}

}  // namespace

std::string sequences_markdown() {
    std::string out =
        "# Sequences\n\n"
        "This document is generated from the controller's own table, in the manner of IEC 60848.\n\n"
        "- X0 is the initial step: no sequence is under way. `limit/X3` is true when step 3 has been active "
        "for that limit.\n"
        "- A contactor that a step does not name is advised open. A drive that a step does not name is "
        "advised stopped.\n"
        "- \"Drive lost\": the drive has tripped, is not ready, or does not run although it must run.\n"
        "- \"Pump lost\": the pump has tripped, its selector has left Auto, or a contactor opened without "
        "advice. A lost supply, the emergency stop and the low cut-off lead the same way.\n"
        "- \"Drive bus joined to the line\": the pump's contactors, advised or seen, connect the drive's bus "
        "to the line.\n"
        "- A confirmation within the time limit is never a failure. A dip of the line that is shorter than "
        "its hold time only ends synchronism.\n"
        "- An event that a step does not name changes nothing in that step.\n"
        "- The time limits are settings of the station.\n"
        "- A time-out raises its alarm only if the awaited signal was read within the step and did not "
        "confirm.\n"
        "- Three endings do not count as a failure: protection or a person stopped the sequence; a stop "
        "whose "
        "contactors were not read; a start during which the drive or its speed was not read. After such a "
        "start the drive rests for the retry pause.\n";
    for_each_sequence([&out](Sequence sequence) {
        out += "\n## " + capitalised(word(sequence).text) +
               "\n\nFirst step: " + number_of(core::first_step(sequence)) +
               ".\n\n| step | pump | advised | transitions |\n|---|---|---|---|\n";
        for (const StepRow& row : core::tables::rows) {
            if (row.sequence == sequence) append_markdown_row(out, row);
        }
        out += "\n" + retry_text(sequence) + "\n";
    });
    out += "\n## Cautions\n\n";
    for (const std::string_view caution : cautions) out += "- " + std::string(caution) + "\n";
    return out;
}

std::string sequences_dot() {
    std::string out =
        "// Sequences in the manner of IEC 60848, generated from the sequencer's own table.\n"
        "// " +
        std::string(caution_line) +
        "\ndigraph sequences {\n"
        "  graph [rankdir=TB, fontname=\"sans-serif\", nodesep=0.3, labelloc=b, label=\"" +
        std::string(caution_line) +
        "\"];\n"
        "  node [fontname=\"sans-serif\", fontsize=10];\n"
        "  edge [fontname=\"sans-serif\", fontsize=9];\n";
    for_each_sequence([&out](Sequence sequence) { append_dot_sequence(out, sequence); });
    out += "}\n";
    return out;
}

}  // namespace freshet::words
