// summary.json from a RunSummary.
// One reason to change: how the figures of a run are written for programs.
#pragma once

#include <string>

#include "controller/record/run_summary.hpp"

namespace freshet::record {

/// One JSON object, indented, a key for each member of RunSummary; figures not known are null.
std::string summary_json(const RunSummary& summary);

}  // namespace freshet::record
