// Measures cycles; see the header.
#include "tests/property/staging/cycles.hpp"

#include <algorithm>
#include <iomanip>
#include <sstream>
#include <vector>

#include "config/engineering/derive.hpp"
#include "tests/property/staging/coupled.hpp"
#include "tests/property/staging/ideal_operators.hpp"
#include "tests/property/staging/random_inflow.hpp"
#include "tests/property/staging/seconds.hpp"

namespace freshet::staging_campaign {
namespace {

constexpr double unjudged_s = 1.5 * s_per_h, unjudged_most_s = 12 * s_per_h;

/// The water between the marks that a cycle uses, m3: those of the first pump, or those of one pump more.
double cycle_volume_m3(const RandomStation& station, std::size_t steady_pumps) {
    const core::Settings::Marks& marks = station.settings.marks;
    return steady_pumps == 0 ? config::volume_between_m3(station.given, marks.stop_m, marks.start_m)
                             : config::volume_between_m3(station.given, marks.stage_down_m, marks.stage_up_m);
}

/// V / (q - q_k) + V / (q_drawn - q): the store fills without the pump and empties with the pump. Source:
/// volume balance.
double cycle_s(double volume_m3, double inflow_m3s, double without_m3s, double with_m3s) {
    if (!(inflow_m3s > without_m3s && with_m3s > inflow_m3s)) return 0;
    return volume_m3 / (inflow_m3s - without_m3s) + volume_m3 / (with_m3s - inflow_m3s);
}

/// The mean pumped flow of the scans in which a condition holds.
struct MeanFlow {
    double sum_m3s = 0, scans = 0;
    void add(double flow_m3s) {
        sum_m3s += flow_m3s;
        ++scans;
    }
    double mean_m3s() const { return scans > 0 ? sum_m3s / scans : 0; }
};

bool starts_a_pump(const core::Event& event) {
    if (event.what != core::EventKind::sequence_begun) return false;
    const auto sequence = static_cast<core::Sequence>(event.detail);
    return sequence == core::Sequence::start_on_drive || sequence == core::Sequence::line_start;
}

config::Scenario scenario_of(const RandomStation& station, const Cycling& cycling, double duration_s,
                             std::uint64_t seed) {
    constexpr double rise_s = 1800;
    config::Scenario scenario =
        constant_inflow(cycling.inflow_m3s, rise_s, duration_s, station.settings.marks.stage_down_m, seed);
    if (!cycling.with_drive)
        scenario.faults.push_back({.device = "drive", .kind = config::FaultKind::not_ready});
    return scenario;
}

}  // namespace

Cycles cycles_of(const RandomStation& station, const Cycling& cycling, std::uint64_t seed,
                 std::ostream* trace) {
    const double volume_m3 = cycle_volume_m3(station, cycling.steady_pumps);
    const double expected_s =
        cycle_s(volume_m3, cycling.inflow_m3s,
                station.capacity.full_m3s(cycling.steady_pumps, station.settings.marks.setpoint_m),
                cycling.drawn_m3s);
    const double judged_s = std::clamp(6 * expected_s, 1.5 * s_per_h, 12.5 * s_per_h);
    Coupled coupled{station, scenario_of(station, cycling, unjudged_most_s + judged_s, seed), trace};
    const plant::Plant& plant = coupled.plant();
    MeanFlow with, without;
    std::vector<double> starts_s;
    const double scan_s = station.settings.scan_ms * s_per_ms;
    double t_s = 0;
    // A slow well takes hours until the pumps that carry most of the inflow have been handed over to the line.
    const auto settles = [&] {
        return cycling.with_drive && plant.figures().hand_overs < cycling.steady_pumps &&
               t_s < unjudged_most_s;
    };
    for (; t_s < unjudged_s || settles(); t_s += scan_s) coupled.scan();
    const double judged_from_s = t_s;
    const double duration_s = judged_from_s + judged_s;
    const std::uint32_t transfers_before = plant.figures().hand_overs + plant.figures().take_backs;
    for (; t_s < duration_s; t_s += scan_s) {
        const core::Advice& advice = coupled.scan();
        for (std::size_t i = 0; i < advice.event_count; ++i)
            if (starts_a_pump(advice.events[i])) starts_s.push_back(t_s);
        const bool one_more = pumps_running(plant, station.given.pump_count) > cycling.steady_pumps;
        (one_more ? with : without).add(plant.water().main_flow_m3s);
    }
    const plant::Figures figures = plant.figures();
    Cycles cycles;
    cycles.judged_h = judged_s / s_per_h;
    cycles.starts = static_cast<int>(starts_s.size());
    cycles.transfers = static_cast<int>(figures.hand_overs + figures.take_backs - transfers_before);
    cycles.starts_per_hour_max = static_cast<int>(figures.starts_per_hour_max);
    cycles.theory_s = cycle_s(volume_m3, cycling.inflow_m3s, without.mean_m3s(), with.mean_m3s());
    constexpr std::size_t starts_least = 3;
    if (starts_s.size() >= starts_least)
        cycles.measured_s = (starts_s.back() - starts_s.front()) / static_cast<double>(starts_s.size() - 1);
    return cycles;
}

std::string described(const RandomStation& station, const Cycling& cycling, const Cycles& cycles) {
    std::ostringstream line;
    line << std::setprecision(4) << cycling.inflow_m3s << " m3/s above the flow of " << cycling.steady_pumps
         << " of " << int{station.given.pump_count} << " pumps: in " << cycles.judged_h << " h starts "
         << cycles.starts << ", transfers " << cycles.transfers << ", cycle " << cycles.measured_s
         << " s, by theory " << cycles.theory_s << " s (" << 100 * cycles.excess()
         << " % more starts than by theory), at most " << cycles.starts_per_hour_max
         << " starts of one pump in an hour";
    return line.str();
}

}  // namespace freshet::staging_campaign
