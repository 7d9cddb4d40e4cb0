// Follows the cause numbers of the journal.
#include "controller/report/journal_causes.hpp"

namespace freshet::report {
namespace {

using record::JournalEntry;

/// True when the event is progress within a sequence. Progress is not a decision. The decision is an earlier
/// event.
bool is_progress(core::Reason why) {
    return why == core::Reason::none || why == core::Reason::confirmed || why == core::Reason::in_sync;
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
    while (at && is_progress(journal[*at].event.why)) at = cause_of(journal, *at);
    return at;
}

}  // namespace freshet::report
