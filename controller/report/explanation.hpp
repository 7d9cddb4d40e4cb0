// A journal explained in sentences.
// One reason to change: what a reader who asks "why" must learn.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "controller/core/sequences.hpp"
#include "controller/record/journal_reader.hpp"

namespace freshet::report {

/// How many later events an explanation names.
inline constexpr std::size_t following_max = 3;

/// The state of the station, the last event, the rule that decided, the causes, what the controller waits
/// for, and the next events, as of event `index` of the journal. `at_ms` is the requested instant, at or
/// after that event.
std::string explanation(const std::vector<record::JournalEntry>& journal, std::size_t index,
                        std::int64_t at_ms);

/// The place to which a step leads, in words.
std::string way_text(const core::Way& way);

}  // namespace freshet::report
