// Couples controller and station, as declared in the header.
// One reason to change: see there.
#include "sim_plant/bench/bench.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstddef>

#include "controller/record/wear.hpp"
#include "controller/words/alarms.hpp"
#include "sim_plant/bench/fault_watch.hpp"

namespace freshet::bench {
namespace {

constexpr double ms_per_s = 1000;
constexpr double joule_per_kwh = 3.6e6;
constexpr double ms_per_h = 3.6e6;
constexpr double mm_h_per_m_s = 3.6e6;
constexpr double w_per_kw = 1000;
constexpr std::uint64_t progress_parts = 100;

void scan(Bench& bench) {
    bench.act(bench.decide());
}

/// The record gets its values between decision and step, so that all values of a trend row are of one
/// instant.
void scan_recorded(Bench& bench, record::RunRecord& record, FaultWatch& faults, std::uint8_t pump_count) {
    faults.record_changes(bench.plant(), record);
    const core::Advice& advice = bench.decide();
    if (record.scanned(advice)) {
        record::TrendRow row;
        record::set_from_advice(row, advice);
        set_from_plant(row, bench.plant(), pump_count);
        record.trend(row);
    }
    bench.act(advice);
}

/// A closing as the summary has it. From rest there is no current before to compare with.
record::ClosingShock shock_of(const plant::Closing& closing) {
    const plant::ClosingRecord& own = closing.record;
    return {.time_ms = std::llround(closing.at_ms),
            .pump = own.pump,
            .line_side = own.contactor == plant::ContactorAt::line_side,
            .from_rest = own.from_rest,
            .angle_deg = own.angle_deg,
            .slip_hz = own.slip_hz,
            .resultant_v_per_hz_pu = own.resultant_v_per_hz_pu,
            .peak_current_ratio = own.from_rest ? record::unknown : own.peak_current_ratio,
            .torque_max_ratio = own.torque_max_ratio,
            .torque_min_ratio = own.torque_min_ratio};
}

/// How the water treated a pump, as the summary has it.
record::PumpWater treatment_of(const plant::PumpWater& own) {
    return {.below_minimum_flow_s = own.below_minimum_flow_s,
            .backflow_s = own.backflow_s,
            .npsh_short_s = own.npsh_short_s,
            .npsh_margin_min_m = own.npsh_margin_min_m};
}

}  // namespace

Bench::Bench(const config::Station& station, const core::Settings& settings, const config::Scenario& scenario,
             const modbus::FieldPlan& plan)
    : scenario_(scenario.name),
      station_(station.name),
      pump_count_(station.pump_count),
      start_ms_(scenario.start_ms),
      plant_(station, scenario, settings.scan_ms),
      controller_(settings),
      field_(plan),
      advice_link_(station.pump_count, settings.scan_ms) {}

record::RunSummary summary_of(const plant::Plant& plant, std::int64_t start_ms, std::uint8_t pump_count) {
    const plant::Figures figures = plant.figures();
    const plant::HydraulicState& water = plant.water();
    record::RunSummary summary;
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
    if (figures.has_tariff) summary.energy_cost = figures.cost;
    summary.hand_overs = figures.hand_overs;
    summary.take_backs = figures.take_backs;
    for (std::size_t pump = 0; pump < pump_count; ++pump) {
        summary.line_starts += figures.line_starts[pump];
        summary.starts_per_pump[pump] = figures.starts[pump];
        summary.run_h_per_pump[pump] = static_cast<double>(figures.run_ms[pump]) / ms_per_h;
    }
    const plant::WaterFigures treated = plant.water_figures();
    for (std::size_t pump = 0; pump < pump_count; ++pump)
        summary.water_per_pump[pump] = treatment_of(treated.pumps[pump]);
    summary.suction_dry_s = treated.suction_dry_s;
    summary.vortex_s = treated.vortex_s;
    summary.column_parts_s = treated.column_parts_s;
    summary.surge_head_max_m = treated.surge_head_max_m;
    summary.starts_per_hour_max = figures.starts_per_hour_max;
    summary.transfers_per_hour_max = figures.transfers_per_hour_max;
    summary.overlap_ms_max = figures.overlap_ms_max;
    summary.closing_angle_deg_max = figures.closing_angle_deg_max;
    summary.closing_count = figures.closing_count;
    for (const plant::Closing& closing : figures.closings) summary.closings.push_back(shock_of(closing));
    return summary;
}

record::RunSummary Bench::summary() const {
    record::RunSummary summary = summary_of(plant_, start_ms_, pump_count_);
    summary.scenario = scenario_;
    summary.station = station_;
    summary.scans = scans_;
    record::set_wear(summary, controller_.advice(), pump_count_);
    alarms_.sum_up(summary, plant_.time_ms());
    quality_.sum_up(summary, start_ms_, plant_.time_ms());
    return summary;
}

void set_from_plant(record::TrendRow& row, const plant::Plant& plant, std::uint8_t pump_count) {
    const plant::HydraulicState& water = plant.water();
    const plant::PowerTrainState& electrical = plant.electrical();
    row.rain_mm_h = plant.rain_m_s() * mm_h_per_m_s;
    row.inflow_m3s = plant.inflow_m3s();
    row.level_m = plant.held_m();
    row.pumped_m3s = water.main_flow_m3s;
    row.overflow_m3s = water.overflow_m3s;
    row.header_head_m = water.header_head_m;
    row.drive_frequency_hz = electrical.drive_frequency_hz;
    row.line_voltage_v = electrical.line_voltage_v;
    row.power_kw = electrical.line_power_w / w_per_kw;
    for (std::size_t pump = 0; pump < pump_count; ++pump)
        row.pump_current_a[pump] = electrical.motors[pump].current_a;
}

record::RunSummary run(const config::Station& station, const core::Settings& settings,
                       const config::Scenario& scenario, const modbus::FieldPlan& plan,
                       const RunOptions& options) {
    const auto began = std::chrono::steady_clock::now();
    Bench bench{station, settings, scenario, plan};
    const double duration_s = options.duration_s > 0 ? options.duration_s : scenario.duration_s;
    const auto scans = static_cast<std::uint64_t>(std::llround(duration_s * ms_per_s)) /
                       static_cast<std::uint64_t>(settings.scan_ms);
    const std::uint64_t part = std::max<std::uint64_t>(scans / progress_parts, 1);
    FaultWatch faults;
    for (std::uint64_t done = 0; done < scans;) {
        const std::uint64_t until = std::min(done + part, scans);
        if (options.record != nullptr)
            for (; done < until; ++done) scan_recorded(bench, *options.record, faults, station.pump_count);
        else
            for (; done < until; ++done) scan(bench);
        if (options.progress) options.progress(static_cast<double>(done) / static_cast<double>(scans));
        if (options.stop != nullptr && options.stop->load(std::memory_order_relaxed)) break;
    }
    if (options.record != nullptr) faults.record_changes(bench.plant(), *options.record);
    record::RunSummary summary = bench.summary();
    summary.wall_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    return summary;
}

}  // namespace freshet::bench
