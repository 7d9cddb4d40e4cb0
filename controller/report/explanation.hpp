// A journal explained in sentences.
// One reason to change: the answer to a reader who asks "why".
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "controller/core/sequences.hpp"
#include "controller/record/journal_reader.hpp"

namespace freshet::report {

/// An explanation names at most this many later events.
inline constexpr std::size_t following_max = 3;

/// Returns the state of the station after event `index` of the journal, the last event, the rule that
/// decided, the causes, the condition for which the controller waits, and the next events. `at_ms` is the
/// requested instant. The instant is at or after event `index`.
std::string explanation(const std::vector<record::JournalEntry>& journal, std::size_t index,
                        std::int64_t at_ms);

/// Returns the place to which a step leads, in words.
std::string way_text(const core::Way& way);

}  // namespace freshet::report
