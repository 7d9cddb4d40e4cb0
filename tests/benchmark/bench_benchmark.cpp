// Cost of the whole bench and of each of its parts, on the shipped scenarios: a day with controller and
// station coupled, the station alone, the controller alone (with its slowest scan), and the registers alone.
// One reason to change: a part of the bench whose cost matters.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <utility>
#include <vector>

#include "hal/modbus/advice_decoder.hpp"
#include "hal/modbus/advice_encoder.hpp"
#include "hal/modbus/advice_map.hpp"
#include "sim_plant/bench/bench.hpp"
#include "sim_plant/bench/case_files.hpp"

namespace {

using namespace freshet;

constexpr double hour_s = 3600;

bench::CaseFiles load(const std::string& name) {
    auto loaded = bench::load_case(std::string{FRESHET_SOURCE_DIR} + "/config/scenarios/" + name + ".toml");
    if (loaded) return std::move(*loaded);
    std::fputs(loaded.error().c_str(), stderr);
    std::exit(2);
}

/// A whole scenario without a record. "real_time" is station time divided by wall time.
void scenario_coupled(benchmark::State& state, const std::string& name) {
    const bench::CaseFiles loaded = load(name);
    double simulated_s = 0;
    for (auto _ : state)
        simulated_s +=
            bench::run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, {})
                .simulated_s;
    state.counters["real_time"] = benchmark::Counter(simulated_s, benchmark::Counter::kIsRate);
    state.counters["per_scan"] =
        benchmark::Counter(simulated_s * 10, benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}
BENCHMARK_CAPTURE(scenario_coupled, dry_day, std::string{"dry_day"})->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(scenario_coupled, design_storm, std::string{"design_storm"})->Unit(benchmark::kMillisecond);

/// Orders and inputs of an hour of the design storm with transfers, for the parts alone.
struct Tape {
    std::vector<plant::Orders> orders;
    std::vector<core::Inputs> inputs;
    std::vector<config::Readings> readings;
    std::int64_t start_ms = 0;
};

Tape tape_of(const bench::CaseFiles& loaded, double from_s, double length_s) {
    const core::Settings& settings = loaded.station.settings;
    plant::Plant plant{loaded.station.station, loaded.scenario, settings.scan_ms};
    core::Controller controller{settings};
    modbus::FieldLoop field{loaded.plan};
    bench::AdviceLink link{settings.pump_count, settings.scan_ms};
    Tape tape;
    const std::int64_t from_ms = loaded.scenario.start_ms + static_cast<std::int64_t>(from_s * 1000);
    const std::int64_t until_ms = from_ms + static_cast<std::int64_t>(length_s * 1000);
    tape.start_ms = from_ms;
    while (plant.time_ms() < until_ms) {
        const core::Inputs& inputs = field.pass(plant.readings(), plant.time_ms());
        const plant::Orders& orders = link.pass(controller.scan(inputs));
        if (plant.time_ms() >= from_ms) {
            tape.inputs.push_back(inputs);
            tape.readings.push_back(plant.readings());
            tape.orders.push_back(orders);
        }
        plant.step(orders);
    }
    return tape;
}

void station_alone(benchmark::State& state) {
    const bench::CaseFiles loaded = load("dry_day");
    const Tape tape = tape_of(loaded, 0, hour_s);
    for (auto _ : state) {
        state.PauseTiming();
        plant::Plant plant{loaded.station.station, loaded.scenario, loaded.station.settings.scan_ms};
        state.ResumeTiming();
        for (const plant::Orders& orders : tape.orders) plant.step(orders);
        benchmark::DoNotOptimize(&plant.readings());
    }
    state.counters["per_step"] =
        benchmark::Counter(static_cast<double>(tape.orders.size()),
                           benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(station_alone)->Unit(benchmark::kMillisecond);

/// Median and slowest of single scans, with the cost of reading the clock, and the mean without this cost.
/// The tape is played several times, and the least time of each scan counts, because a pause of the machine
/// does not hit the same scan each time. `worst_seen_ns` contains the pauses.
void controller_alone(benchmark::State& state) {
    const bench::CaseFiles loaded = load("design_storm");
    constexpr double before_peak_s = 11.5 * hour_s;
    const Tape tape = tape_of(loaded, before_peak_s, hour_s);
    std::vector<double> each_ns(tape.inputs.size(), 1e12);
    double worst_seen_ns = 0;
    constexpr int rounds = 9;
    for (int round = 0; round < rounds; ++round) {
        core::Controller controller{loaded.station.settings};
        for (std::size_t i = 0; i < tape.inputs.size(); ++i) {
            const auto began = std::chrono::steady_clock::now();
            benchmark::DoNotOptimize(&controller.scan(tape.inputs[i]));
            const double scan_ns =
                std::chrono::duration<double, std::nano>(std::chrono::steady_clock::now() - began).count();
            each_ns[i] = std::min(each_ns[i], scan_ns);
            worst_seen_ns = std::max(worst_seen_ns, scan_ns);
        }
    }
    std::sort(each_ns.begin(), each_ns.end());
    for (auto _ : state) {
        state.PauseTiming();
        core::Controller controller{loaded.station.settings};
        state.ResumeTiming();
        for (const core::Inputs& inputs : tape.inputs) benchmark::DoNotOptimize(&controller.scan(inputs));
    }
    state.counters["per_scan"] =
        benchmark::Counter(static_cast<double>(tape.inputs.size()),
                           benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
    state.counters["median_ns"] = each_ns[each_ns.size() / 2];
    state.counters["p99.9_ns"] = each_ns[each_ns.size() * 999 / 1000];
    state.counters["worst_ns"] = each_ns.back();
    state.counters["worst_seen_ns"] = worst_seen_ns;
}
BENCHMARK(controller_alone)->Unit(benchmark::kMillisecond);

void field_registers_alone(benchmark::State& state) {
    const bench::CaseFiles loaded = load("dry_day");
    const Tape tape = tape_of(loaded, 0, hour_s);
    for (auto _ : state) {
        modbus::FieldLoop field{loaded.plan};
        std::int64_t now_ms = tape.start_ms;
        for (const config::Readings& readings : tape.readings) {
            benchmark::DoNotOptimize(&field.pass(readings, now_ms));
            now_ms += loaded.station.settings.scan_ms;
        }
    }
    state.counters["per_scan"] =
        benchmark::Counter(static_cast<double>(tape.readings.size()),
                           benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}
BENCHMARK(field_registers_alone)->Unit(benchmark::kMillisecond);

void advice_registers_whole(benchmark::State& state) {
    const bench::CaseFiles loaded = load("dry_day");
    core::Controller controller{loaded.station.settings};
    modbus::FieldLoop field{loaded.plan};
    const plant::Plant plant{loaded.station.station, loaded.scenario, loaded.station.settings.scan_ms};
    core::Advice advice = controller.scan(field.pass(plant.readings(), plant.time_ms()));
    modbus::AdviceEncoder encoder{loaded.station.settings.pump_count, loaded.station.settings.scan_ms, 5000};
    constexpr const modbus::AdviceBlock& block = modbus::advice_block("advice");
    for (auto _ : state) {
        ++advice.scan_count;
        advice.speed_hz = 45 + 0.01 * (advice.scan_count % 100);
        const modbus::AdviceImage& image = encoder.encode(advice, core::never_ms);
        benchmark::DoNotOptimize(modbus::decode_advice(std::span{image}.subspan(block.address, block.count)));
    }
}
BENCHMARK(advice_registers_whole);

}  // namespace

BENCHMARK_MAIN();
