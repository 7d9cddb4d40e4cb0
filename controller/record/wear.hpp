// How evenly a station's pumps are worn: the spread of hours and starts.
// One reason to change: the measure of even wear.
#pragma once

#include <cstdint>

#include "controller/core/advice.hpp"
#include "controller/record/run_summary.hpp"

namespace freshet::record {

/// Sets the spreads of the hour meters and of the starts. A spread is the largest value less the smallest
/// value of the pumps that are available at the end of the run. A pump that is unavailable or locked out does
/// not count, because such a pump falls behind for its own reasons. With fewer than two pumps there is no
/// spread, and the figures stay unknown.
void set_wear(RunSummary& summary, const core::Advice& last, std::uint8_t pump_count);

}  // namespace freshet::record
