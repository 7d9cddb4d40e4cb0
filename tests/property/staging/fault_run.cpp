// Runs storms with one fault; see the header.
#include "tests/property/staging/fault_run.hpp"

#include <ostream>

#include "tests/property/staging/coupled.hpp"
#include "tests/property/staging/ideal_operators.hpp"
#include "tests/property/staging/seconds.hpp"

namespace freshet::staging_campaign {
namespace {

/// The scans of a run up to the fault, and to the end.
struct FaultScans {
    std::int64_t before = 0, all = 0;
};

FaultScans fault_scans(const RandomStation& station, const StormWithFault& storm) {
    const double scan_s = station.settings.scan_ms * s_per_ms;
    return {static_cast<std::int64_t>(storm.begins_s / scan_s),
            static_cast<std::int64_t>(storm.scenario.duration_s / scan_s)};
}

void trace_operator(std::ostream& out, const RandomStation& station, const plant::Plant& plant,
                    std::int64_t scan) {
    constexpr std::int64_t row_ms = 10'000;
    const std::int64_t now_ms = scan * station.settings.scan_ms;
    if (now_ms % row_ms >= station.settings.scan_ms) return;
    out << "operator " << static_cast<double>(now_ms) * s_per_ms << " s: inflow " << plant.inflow_m3s()
        << ", pumped " << plant.water().main_flow_m3s << ", over the weir " << plant.water().overflow_m3s
        << " m3/s, level " << plant.water().level_m << " m, drive " << plant.electrical().drive_frequency_hz
        << " Hz, pumps ";
    for (std::size_t pump = 0; pump < station.given.pump_count; ++pump)
        out << "-cDLB"[static_cast<std::size_t>(plant.electrical().motors[pump].mode)];
    out << "\n";
}

double operator_overflow_m3(const RandomStation& station, const StormWithFault& storm, std::ostream* trace) {
    const FaultScans scans = fault_scans(station, storm);
    Coupled coupled{station, storm.scenario};
    for (std::int64_t scan = 0; scan < scans.before; ++scan) coupled.scan();
    plant::Plant& plant = coupled.plant();
    PromptOperator prompt{station, coupled.orders()};
    const double before_m3 = plant.water().overflow_m3;
    for (std::int64_t scan = scans.before; scan < scans.all; ++scan) {
        plant.step(prompt.decide(plant));
        if (trace != nullptr) trace_operator(*trace, station, plant, scan);
    }
    return plant.water().overflow_m3 - before_m3;
}

}  // namespace

FaultFigures run_with_fault(const RandomStation& station, const StormWithFault& storm, std::ostream* trace) {
    const FaultScans scans = fault_scans(station, storm);
    Coupled coupled{station, storm.scenario, trace};
    double before_m3 = 0;
    for (std::int64_t scan = 0; scan < scans.all; ++scan) {
        if (scan == scans.before) before_m3 = coupled.plant().water().overflow_m3;
        coupled.scan();
    }
    FaultFigures figures;
    figures.overflow_m3 = coupled.plant().water().overflow_m3 - before_m3;
    figures.dry_s = coupled.plant().water_figures().suction_dry_s;
    figures.operator_m3 = operator_overflow_m3(station, storm, trace);
    return figures;
}

}  // namespace freshet::staging_campaign
