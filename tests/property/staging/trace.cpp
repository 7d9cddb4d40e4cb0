// Prints a run; see the header.
#include "tests/property/staging/trace.hpp"

#include <algorithm>
#include <ostream>
#include <string_view>

#include "controller/words/sentences.hpp"
#include "tests/property/staging/seconds.hpp"

namespace freshet::staging_campaign {
namespace {

void trace_row(std::ostream& out, const RandomStation& station, const plant::Plant& plant,
               const core::Advice& advice, double t_s) {
    out << t_s << " s: inflow " << plant.inflow_m3s() << " (estimate " << advice.inflow_m3s << "), pumped "
        << plant.water().main_flow_m3s << " (calculated " << advice.pumped_m3s << "), over the weir "
        << plant.water().overflow_m3s << " m3/s, level " << plant.water().level_m << " (measured "
        << advice.measured_m << ") m, drive " << plant.electrical().drive_frequency_hz << " of "
        << advice.speed_hz << " Hz, least " << advice.minimum_flow_hz << " Hz, pumps ";
    for (std::size_t pump = 0; pump < station.given.pump_count; ++pump) {
        constexpr std::string_view letters = "-sD>L<xOU";
        out << letters[static_cast<std::size_t>(advice.pumps[pump].state)];
    }
    out << ", step " << static_cast<int>(advice.step) << "\n";
}

}  // namespace

void trace_scan(std::ostream& out, const RandomStation& station, const plant::Plant& plant,
                const core::Advice& advice, std::int64_t scan) {
    const double t_s = static_cast<double>(scan) * station.settings.scan_ms * s_per_ms;
    for (std::size_t i = 0; i < advice.event_count; ++i)
        out << t_s << " s: " << words::sentence(advice.events[i]) << "\n";
    constexpr std::int64_t row_ms = 10'000;
    if (scan % std::max<std::int64_t>(1, row_ms / station.settings.scan_ms) == 0)
        trace_row(out, station, plant, advice, t_s);
}

}  // namespace freshet::staging_campaign
