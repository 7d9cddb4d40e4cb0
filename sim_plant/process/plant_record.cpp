// Records true values and advice side by side.
// One reason to change: see the header.
#include "sim_plant/process/plant_record.hpp"

#include <utility>

#include "hal/store/trend_row.hpp"
#include "sim_plant/bench/bench.hpp"

namespace freshet::plant_process {

store::RunSummary summary_of(const plant::Plant& plant, std::int64_t start_ms, std::uint8_t pump_count) {
    constexpr double ms_per_s = 1000;
    constexpr double joule_per_kwh = 3.6e6;
    constexpr double ms_per_h = 3.6e6;
    const plant::Figures figures = plant.figures();
    const plant::HydraulicState& water = plant.water();
    store::RunSummary summary;
    summary.pump_count = pump_count;
    summary.simulated_s = static_cast<double>(plant.time_ms() - start_ms) / ms_per_s;
    summary.scans = static_cast<std::uint64_t>((plant.time_ms() - start_ms) / plant.scan_ms());
    summary.level_max_m = figures.level_max_m;
    summary.level_min_m = figures.level_min_m;
    summary.overflow_m3 = water.overflow_m3;
    summary.inflow_m3 = water.inflow_m3;
    summary.pumped_m3 = water.pumped_m3;
    summary.volume_error_m3 = plant.volume_error_m3();
    summary.energy_kwh = plant.electrical().energy_j / joule_per_kwh;
    summary.hand_overs = figures.hand_overs;
    summary.take_backs = figures.take_backs;
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        summary.line_starts += figures.line_starts[pump];
        summary.starts_per_pump[pump] = figures.starts[pump];
        summary.run_h_per_pump[pump] = static_cast<double>(figures.run_ms[pump]) / ms_per_h;
    }
    summary.starts_per_hour_max = figures.starts_per_hour_max;
    summary.overlap_ms_max = figures.overlap_ms_max;
    summary.closing_angle_deg_max = figures.closing_angle_deg_max;
    return summary;
}

tl::expected<PlantRecord, std::string> PlantRecord::open(const std::string& folder,
                                                         const config::Scenario& scenario,
                                                         const config::StationFile& station) {
    PlantRecord made;
    made.pump_count_ = station.station.pump_count;
    if (folder.empty()) return made;
    auto record = store::RunRecord::open(
        folder, {scenario.name, scenario.title, station.station.name, true, station.settings});
    if (!record) return tl::unexpected(record.error().message);
    made.record_.emplace(std::move(*record));
    return made;
}

void PlantRecord::stepping(const plant::Plant& plant, const modbus::AdviceRead& read) {
    if (!record_) return;
    scan_.time_ms = plant.time_ms();
    if (!record_->scanned(scan_)) return;
    store::TrendRow row;
    row.time_ms = plant.time_ms();
    bench::set_from_plant(row, plant, pump_count_);
    if (read.whole) {
        row.speed_reference_hz = read.speed_hz;
        row.pump_state = read.states;
        row.measured_m = read.measured_m;
        row.setpoint_m = read.setpoint_m;
        row.inflow_observed_m3s = read.inflow_m3s;
    }
    record_->trend(row);
}

std::optional<std::string> PlantRecord::close(const store::RunSummary& summary) {
    if (!record_) return std::nullopt;
    const auto failure = record_->close(summary);
    return failure ? std::optional(failure->message) : std::nullopt;
}

}  // namespace freshet::plant_process
