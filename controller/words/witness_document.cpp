// The vote of the witnesses in Markdown; see the header.
#include "controller/words/witness_document.hpp"

#include <initializer_list>

#include "controller/words/cautions.hpp"

namespace freshet::words {
namespace {

constexpr std::array<std::string_view, static_cast<std::size_t>(core::LevelSays::count)> levels{
    "nothing",  "one: low",    "one: middle", "one: high",
    "two: low", "two: middle", "two: high",   "two that disagree"};

/// A row of a Markdown table.
std::string row_of(std::initializer_list<std::string_view> cells) {
    std::string out = "|";
    for (const std::string_view cell : cells) out.append(" ").append(cell).append(" |");
    return out + "\n";
}

std::string_view said(core::Said value, std::string_view yes, std::string_view no) {
    return value == core::Said::either ? "either" : value == core::Said::yes ? yes : no;
}

std::string level_text(core::LevelMask mask) {
    if (mask == core::any_level) return "anything";
    std::string out;
    for (std::size_t i = 0; i < levels.size(); ++i)
        if (((mask >> i) & 1U) != 0) out.append(out.empty() ? "" : ", ").append(levels[i]);
    return out;
}

std::string_view result_text(core::VoteResult result) {
    switch (result) {
        case core::VoteResult::staged:
            return "the measured value decides";
        case core::VoteResult::by_floats:
            return "the floats decide";
        case core::VoteResult::called:
            return "one pump after another starts";
        case core::VoteResult::stopped:
            break;
    }
    return "every pump stops";
}

std::string_view yes_or_no(bool value) {
    return value ? "yes" : "no";
}

}  // namespace

std::string witnesses_markdown() {
    std::string out =
        "# Vote of the witnesses\n\n" + std::string(caution_line) +
        "\n\nAt a well the high float calls for pumps and the low float stops them. At a tank the "
        "floats change places. The transmitters say low at or past the stop mark, high from the "
        "stage-up mark on, and middle between the two marks. The volume balance vouches for water "
        "while the pumps cannot have drawn all of the water above the stop mark since a float or "
        "two transmitters last proved that water.\n\nThe first row that fits decides. When both floats have "
        "operated, the transmitters "
        "disprove one of the floats, which is not heard until the float returns. Two transmitters "
        "that agree on no water disprove the calling float.\n\n";
    out += row_of(
        {"row", "calling float", "stopping float", "transmitters", "balance", "believed", "pumps", "alarm"});
    out += "|---|---|---|---|---|---|---|---|\n";
    for (const core::VoteRow& row : core::votes) {
        const VoteWord& words = vote_rows[static_cast<std::size_t>(row.code)];
        out +=
            row_of({"`" + std::string(words.name) + "`", said(row.calls, "operated", "at rest"),
                    said(row.stops, "operated", "at rest"), level_text(row.level),
                    said(row.balance_vouches, "vouches", "silent"), words.believed, result_text(row.result),
                    words.alarm.empty() ? "none" : "`" + std::string(words.alarm) + "`"});
    }
    out +=
        "\n## Transmitters that are not believed\n\nEach raises the alarm `witnesses_contradict`. A `yes` "
        "clears the transmitter. Neither the balance nor time clears a transmitter that the other, good "
        "transmitter opposes, and time clears no transmitter that a float opposes. A transmitter whose loop "
        "failed and returned starts afresh.\n\n";
    out += row_of({"contradiction", "found when", "other transmitter agrees", "calling float agrees",
                   "stopping float agrees", "value where the balance expects the water",
                   "plausible for 10 min (1 min without floats)"});
    out += "|---|---|---|---|---|---|---|\n";
    for (const core::ContradictionRow& row : core::contradictions) {
        if (row.code == core::Contradiction::none) continue;
        const auto& words = contradiction_rows[static_cast<std::size_t>(row.code)];
        out += row_of({"`" + std::string(words.name) + "`", words.text, yes_or_no(row.by_other),
                       yes_or_no(row.by_calling_float), yes_or_no(row.by_stopping_float),
                       yes_or_no(row.by_balance), yes_or_no(row.by_time)});
    }
    return out;
}

}  // namespace freshet::words
