// The way back through a journal from an event to the events that led to the event.
// One reason to change: how an event names its cause, or which reasons decide.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "controller/record/journal_reader.hpp"

namespace freshet::report {

/// The place of an event's cause, where the journal holds the cause. Numbers rise by one from the first
/// entry's.
std::optional<std::size_t> cause_of(const std::vector<record::JournalEntry>& journal, std::size_t index);

/// The nearest event, this event or a cause of this event, whose rule decided. Nothing where the journal does
/// not reach so far back.
std::optional<std::size_t> decision_behind(const std::vector<record::JournalEntry>& journal,
                                           std::size_t index);

}  // namespace freshet::report
