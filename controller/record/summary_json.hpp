// Makes summary.json from a RunSummary.
// One reason to change: the form of the figures of a run for programs.
#pragma once

#include <string>

#include "controller/record/run_summary.hpp"

namespace freshet::record {

/// Returns one indented JSON object with a key for each member of RunSummary. Unknown figures are null.
std::string summary_json(const RunSummary& summary);

}  // namespace freshet::record
