// `freshet explain`: a journal told in sentences.
// One reason to change: what someone who asks "why" must be told.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "controller/record/journal_reader.hpp"

namespace freshet::command {

/// What stood, what happened last and by which rule, what led to it, what the controller waits for, and what
/// came next, as of event `index` of the journal. `at_ms` is the instant asked for, at or after that event.
std::string explanation(const std::vector<record::JournalEntry>& journal, std::size_t index,
                        std::int64_t at_ms);

/// The same for a program: one JSON object.
std::string explanation_json(const std::vector<record::JournalEntry>& journal, std::size_t index,
                             std::int64_t at_ms);

}  // namespace freshet::command
