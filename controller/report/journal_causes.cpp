// Follows the cause numbers of the journal.
#include "controller/report/journal_causes.hpp"

namespace freshet::report {
namespace {

using record::JournalEntry;

/// True when the event is progress within a sequence, or names the chosen pump of a start. Neither is the
/// decision. The decision is an earlier event.
bool is_progress(const core::Event& event) {
    return event.what == core::EventKind::pump_chosen || event.why == core::Reason::none ||
           event.why == core::Reason::confirmed || event.why == core::Reason::in_sync;
}

}  // namespace

std::optional<std::size_t> cause_of(const std::vector<JournalEntry>& journal, std::size_t index) {
    const std::uint32_t cause = journal[index].event.cause_number;
    const std::uint32_t first = journal.front().event.number;
    if (cause < first || cause >= journal[index].event.number) return std::nullopt;
    return cause - first;
}

std::optional<std::size_t> decision_behind(const std::vector<JournalEntry>& journal, std::size_t index) {
    std::optional<std::size_t> at = index;
    while (at && is_progress(journal[*at].event)) at = cause_of(journal, *at);
    return at;
}

std::optional<std::size_t> choice_behind(const std::vector<JournalEntry>& journal, std::size_t index) {
    std::optional<std::size_t> begun = index;
    while (begun && journal[*begun].event.what != core::EventKind::sequence_begun)
        begun = cause_of(journal, *begun);
    if (!begun) return std::nullopt;
    for (std::size_t i = *begun + 1; i < journal.size() && journal[i].time_ms == journal[*begun].time_ms; ++i)
        if (journal[i].event.what == core::EventKind::pump_chosen &&
            journal[i].event.cause_number == journal[*begun].event.number)
            return i;
    return std::nullopt;
}

}  // namespace freshet::report
