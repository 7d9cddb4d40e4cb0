// Calculates the spreads of wear. The header defines the spreads.
#include "controller/record/wear.hpp"

#include <algorithm>

namespace freshet::record {

void set_wear(RunSummary& summary, const core::Advice& last, std::uint8_t pump_count) {
    constexpr double ms_per_h = 3.6e6;
    std::int64_t run_least_ms = 0, run_most_ms = 0;
    std::uint32_t starts_least = 0, starts_most = 0;
    int available = 0;
    for (std::size_t pump = 0; pump < pump_count && pump < core::pumps_max; ++pump) {
        const core::PumpState state = last.pumps[pump].state;
        if (state == core::PumpState::unavailable || state == core::PumpState::locked_out) continue;
        const core::PumpFigures& figures = last.figures[pump];
        const bool first = available++ == 0;
        run_least_ms = first ? figures.run_ms : std::min(run_least_ms, figures.run_ms);
        run_most_ms = first ? figures.run_ms : std::max(run_most_ms, figures.run_ms);
        starts_least = first ? figures.starts : std::min(starts_least, figures.starts);
        starts_most = first ? figures.starts : std::max(starts_most, figures.starts);
    }
    if (available < 2) return;
    summary.wear_run_h_spread = static_cast<double>(run_most_ms - run_least_ms) / ms_per_h;
    summary.wear_starts_spread = static_cast<double>(starts_most - starts_least);
}

}  // namespace freshet::record
