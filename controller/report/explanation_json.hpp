// A journal explained for programs.
// One reason to change: a key of the explanation.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "controller/record/journal_reader.hpp"

namespace freshet::report {

/// Returns the content of explanation() as one JSON object.
std::string explanation_json(const std::vector<record::JournalEntry>& journal, std::size_t index,
                             std::int64_t at_ms);

}  // namespace freshet::report
