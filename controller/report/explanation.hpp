// A journal explained in sentences.
// One reason to change: what someone who asks "why" must be told.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "controller/core/sequences.hpp"
#include "controller/record/journal_reader.hpp"

namespace freshet::report {

/// How many of the events that followed an explanation tells.
inline constexpr std::size_t following_max = 3;

/// What stood, what happened last and by which rule, what led to it, what the controller waits for, and what
/// came next, as of event `index` of the journal. `at_ms` is the instant asked for, at or after that event.
std::string explanation(const std::vector<record::JournalEntry>& journal, std::size_t index,
                        std::int64_t at_ms);

/// Where a step leads, in words.
std::string way_text(const core::Way& way);

}  // namespace freshet::report
