// From an event of a journal back to the events that led to this event.
// One reason to change: how an event names its cause, or which reasons decide.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "controller/record/journal_reader.hpp"

namespace freshet::report {

/// Returns the index of the cause of an event. Empty when the journal does not have the cause. The numbers of
/// the entries rise by one.
std::optional<std::size_t> cause_of(const std::vector<record::JournalEntry>& journal, std::size_t index);

/// Returns the nearest event whose rule decided. That event is event `index` or one of its causes. Empty when
/// the journal does not reach so far back.
std::optional<std::size_t> decision_behind(const std::vector<record::JournalEntry>& journal,
                                           std::size_t index);

/// Returns the index of the event that says why the pump of the start behind an event was chosen. Empty when
/// no start of the staging led to the event, or when the sequence behind the event is not a start.
std::optional<std::size_t> choice_behind(const std::vector<record::JournalEntry>& journal, std::size_t index);

}  // namespace freshet::report
