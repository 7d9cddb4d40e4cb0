// The cost of weather and sensors: a step of each, and the preparation of a day.
// One reason to change: a part of weather or sensors whose cost matters.
#include <benchmark/benchmark.h>

#include "sim_plant/sensors/float_switch.hpp"
#include "sim_plant/sensors/transmitter.hpp"
#include "sim_plant/weather/demand.hpp"
#include "sim_plant/weather/inflow.hpp"

namespace {

using namespace freshet;

config::Weather wet_day() {
    config::Weather weather;
    weather.dry.average_m3s = 0.2;
    weather.dry.weekday.fill(1);
    weather.dry.weekend.fill(1);
    weather.dry.variation_ratio = 0.05;
    weather.storms = {{{"bent", {{0, 0}, {0.375, 0.375}, {1, 1}}, 1}, 0.08, 86400, 0}};
    weather.catchment.sewered_area_m2 = 2e6;
    weather.catchment.triangles = {{0.05, 1800, 2}, {0.04, 7200, 2}, {0.03, 18000, 3}};
    weather.catchment.surface_area_m2 = 2e5;
    weather.catchment.curve_number = 80;
    weather.catchment.time_of_concentration_s = 1800;
    return weather;
}

void inflow_of_one_scan(benchmark::State& state) {
    const plant::Inflow inflow(wet_day(), 0, 86400, 1);
    std::int64_t scan = 0;
    double sum = 0;
    for (auto _ : state) {
        sum += inflow.at_m3s(static_cast<double>(scan) * 0.1);
        if (++scan == 864000) scan = 0;
    }
    benchmark::DoNotOptimize(sum);
}
BENCHMARK(inflow_of_one_scan);

void demand_of_one_scan(benchmark::State& state) {
    const plant::DailyDemand demand({{0, 0.1}, {21600, 0.3}, {64800, 0.2}}, 0);
    std::int64_t scan = 0;
    double sum = 0;
    for (auto _ : state) sum += demand.at_m3s(static_cast<double>(scan++) * 0.1);
    benchmark::DoNotOptimize(sum);
}
BENCHMARK(demand_of_one_scan);

void transmitter_step(benchmark::State& state) {
    plant::Transmitter transmitter({0, 8, 0.004, 2, 0.002}, 0.1, 1);
    double level_m = 2, sum = 0;
    for (auto _ : state) {
        level_m = level_m < 6 ? level_m + 1e-4 : 2;
        sum += transmitter.step_ma(level_m);
    }
    benchmark::DoNotOptimize(sum);
}
BENCHMARK(transmitter_step);

/// A scan reads several transmitters, and the processor can overlap these reads.
void three_transmitters_step(benchmark::State& state) {
    const plant::TransmitterDesign design{0, 8, 0.004, 2, 0.002};
    plant::Transmitter first(design, 0.1, 1), second(design, 0.1, 2), third(design, 0.1, 3);
    double level_m = 2, sum = 0;
    for (auto _ : state) {
        level_m = level_m < 6 ? level_m + 1e-4 : 2;
        sum += first.step_ma(level_m) + second.step_ma(level_m) + third.step_ma(level_m);
    }
    benchmark::DoNotOptimize(sum);
}
BENCHMARK(three_transmitters_step);

void transmitter_step_with_faults(benchmark::State& state) {
    plant::Transmitter transmitter({0, 8, 0.004, 2, 0.002}, 0.1, 1);
    transmitter.set_fault(config::FaultKind::drift, 1e-6);
    transmitter.set_fault(config::FaultKind::spike, 1);
    double sum = 0;
    for (auto _ : state) sum += transmitter.step_ma(3);
    benchmark::DoNotOptimize(sum);
}
BENCHMARK(transmitter_step_with_faults);

void float_step(benchmark::State& state) {
    plant::Float high(5, 0.1);
    double level_m = 2;
    int on = 0;
    for (auto _ : state) {
        level_m = level_m < 6 ? level_m + 1e-3 : 2;
        on += high.step(level_m) ? 1 : 0;
    }
    benchmark::DoNotOptimize(on);
}
BENCHMARK(float_step);

void preparing_a_day_of_weather(benchmark::State& state) {
    const config::Weather weather = wet_day();
    for (auto _ : state) benchmark::DoNotOptimize(plant::Inflow(weather, 0, 86400, 1));
}
BENCHMARK(preparing_a_day_of_weather)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();
