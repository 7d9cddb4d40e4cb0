// Makes and runs cases; see the header.
#include "tests/property/operator_cases/watched_run.hpp"

#include <cmath>
#include <iomanip>
#include <iostream>
#include <stdexcept>
#include <utility>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive_settings.hpp"
#include "sim_plant/bench/bench.hpp"
#include "sim_plant/bench/case_files.hpp"
#include "tests/property/staging/every_signal.hpp"

namespace freshet::operator_cases {

Case shipped(const std::string& name) {
    auto files = bench::load_case(std::string{FRESHET_SOURCE_DIR} + "/config/scenarios/" + name + ".toml");
    if (!files) throw std::runtime_error(files.error());
    return {std::move(files->station.station), files->station.settings, std::move(files->scenario),
            std::move(files->plan)};
}

Case demonstration_well(std::vector<config::SeriesPoint> inflow_m3s, double level_m) {
    Case one = shipped("dry_day");
    one.scenario.weather = {};
    one.scenario.duration_s = inflow_m3s.back().t_s;
    one.scenario.weather.measured_inflow_m3s = std::move(inflow_m3s);
    one.scenario.initial_level_m = level_m;
    return one;
}

Case scaled_well(std::uint8_t pumps, double ratio, std::vector<config::SeriesPoint> inflow_m3s,
                 double level_m) {
    Case one = demonstration_well(std::move(inflow_m3s), level_m);
    config::Station& station = one.station;
    const double all_ratio = ratio * pumps / station.pump_count;
    station.pump_count = pumps;
    one.settings.pump_count = pumps;
    one.settings.permissives.pumps_max_on_line = pumps;
    for (config::PumpPoint& point : station.pump.curve) point.flow_m3s *= ratio;
    station.pump.minimum_flow_m3s *= ratio;
    station.pump.branch_loss_s2m5 /= ratio * ratio;
    station.pump.inertia_kgm2 *= ratio;
    for (config::StoragePoint& point : station.well.storage) point.volume_m3 *= all_ratio;
    station.well.overflow_width_m *= all_ratio;
    // The same velocity; the length grows with the bore, so that the loss stays about the same.
    for (config::Reach& reach : station.main.reaches) {
        reach.diameter_m *= std::sqrt(all_ratio);
        reach.length_m *= std::sqrt(all_ratio);
    }
    config::Motor& motor = station.motor;
    motor.nameplate.power_w *= ratio;
    motor.inertia_kgm2 *= ratio;
    for (double* impedance : {&motor.circuit.rs_ohm, &motor.circuit.xls_ohm, &motor.circuit.xm_ohm,
                              &motor.circuit.xlr_ohm, &motor.circuit.rr_ohm})
        *impedance /= ratio;
    station.drive.current_limit_a *= ratio;
    station.supply.short_circuit_va *= ratio;
    one.plan = staging_campaign::every_signal_of(pumps, station.instruments.level.size(),
                                                 one.settings.scan_ms, false);
    derive_again(one);
    return one;
}

void derive_again(Case& one) {
    config::derive_settings(one.settings, one.station);
    config::Findings findings = config::check_station(one.station, one.settings);
    for (const config::Finding& finding : config::check_service(one.station, one.settings))
        findings.push_back(finding);
    if (!findings.empty()) throw std::runtime_error(findings.front().path + ": " + findings.front().message);
}

config::Fault fault(const std::string& device, config::FaultKind kind, double begins_s, double lasts_s,
                    double amount) {
    return {begins_s, lasts_s, device, kind, amount};
}

Watched watched_run(const Case& one, const EachScan& each) {
    bench::Bench bench{one.station, one.settings, one.scenario, one.plan};
    constexpr double s_per_ms = 0.001;
    const double scan_s = one.settings.scan_ms * s_per_ms;
    const auto scans = static_cast<std::int64_t>(one.scenario.duration_s / scan_s);
    Watched watched;
    for (std::int64_t scan = 0; scan < scans; ++scan) {
        const core::Advice& advice = bench.decide();
        for (std::size_t i = 0; i < advice.event_count; ++i) {
            const core::Event& event = advice.events[i];
            if (event.what == core::EventKind::sequence_begun &&
                static_cast<core::Sequence>(event.detail) == core::Sequence::stop_from_line)
                ++watched.line_stops;
        }
        bench.act(advice);
        if (each) each(static_cast<double>(scan) * scan_s, bench.plant(), advice);
    }
    const record::RunSummary summary = bench.summary();
    watched.overflow_m3 = summary.overflow_m3;
    watched.level_max_m = summary.level_max_m;
    watched.level_min_m = summary.level_min_m;
    watched.low_cutoff_m = one.settings.marks.low_cutoff_m;
    watched.suction_dry_s = summary.suction_dry_s;
    for (std::size_t pump = 0; pump < one.station.pump_count; ++pump) {
        watched.below_minimum_flow_s += summary.water_per_pump[pump].below_minimum_flow_s;
        watched.backflow_s += summary.water_per_pump[pump].backflow_s;
        watched.starts += static_cast<int>(summary.starts_per_pump[pump]);
    }
    watched.line_starts = static_cast<int>(summary.line_starts);
    watched.hand_overs = static_cast<int>(summary.hand_overs);
    watched.take_backs = static_cast<int>(summary.take_backs);
    watched.transfers_per_hour_max = static_cast<int>(summary.transfers_per_hour_max);
    return watched;
}

void print(const std::string& name, const Watched& figures) {
    std::cout << std::setprecision(5) << name << ": overflow " << figures.overflow_m3 << " m3, level "
              << figures.level_min_m << " to " << figures.level_max_m << " m, dry suction "
              << figures.suction_dry_s << " s, below minimum flow " << figures.below_minimum_flow_s
              << " s, starts " << figures.starts << " (" << figures.line_starts
              << " on the line), stops from the line " << figures.line_stops << ", hand-overs "
              << figures.hand_overs << ", take-backs " << figures.take_backs << ", at most "
              << figures.transfers_per_hour_max << " transfers an hour\n";
}

}  // namespace freshet::operator_cases
