// Cost of one step of the water side: four settled pumps, one pump on the drive that follows a ramp, and the
// station at rest.
// One reason to change: a case of the water side whose cost matters.
#include <benchmark/benchmark.h>

#include "sim_plant/physics/hydraulics.hpp"
#include "tests/unit/physics/sample_water_station.hpp"

namespace {

using namespace freshet;

plant::HydraulicInputs four_running(plant::Hydraulics& hydraulics) {
    plant::HydraulicInputs inputs;
    inputs.speed_ratio = {0.995, 0.995, 0.994, 0.9};
    inputs.inflow_m3s = 1.2;
    for (int i = 0; i < 20000; ++i) {
        const double level = hydraulics.step(0.1, inputs).level_m;
        inputs.inflow_m3s = level > 4 ? 0.5 : 2.2;
    }
    return inputs;
}

void four_pumps_settled(benchmark::State& run) {
    plant::Hydraulics hydraulics(tests::water_station(), 4);
    plant::HydraulicInputs inputs = four_running(hydraulics);
    for (auto _ : run) {
        const plant::HydraulicState& state = hydraulics.step(0.1, inputs);
        inputs.inflow_m3s = state.level_m > 4 ? state.main_flow_m3s - 0.05 : state.main_flow_m3s + 0.05;
        benchmark::DoNotOptimize(&state);
    }
}
BENCHMARK(four_pumps_settled);

/// Every speed changes a little in every step, as on a line whose frequency wanders.
void four_pumps_on_a_wandering_line(benchmark::State& run) {
    plant::Hydraulics hydraulics(tests::water_station(), 4);
    plant::HydraulicInputs inputs = four_running(hydraulics);
    int step = 0;
    for (auto _ : run) {
        const double wander = (++step & 32) != 0 ? 2e-5 : -2e-5;
        for (std::size_t i = 0; i < 4; ++i) inputs.speed_ratio[i] += wander;
        const plant::HydraulicState& state = hydraulics.step(0.1, inputs);
        inputs.inflow_m3s = state.level_m > 4 ? state.main_flow_m3s - 0.05 : state.main_flow_m3s + 0.05;
        benchmark::DoNotOptimize(&state);
    }
}
BENCHMARK(four_pumps_on_a_wandering_line);

void one_of_four_ramping(benchmark::State& run) {
    plant::Hydraulics hydraulics(tests::water_station(), 4);
    plant::HydraulicInputs inputs = four_running(hydraulics);
    double rate = -1e-4;
    for (auto _ : run) {
        if (inputs.speed_ratio[3] < 0.85 || inputs.speed_ratio[3] > 0.99) rate = -rate;
        inputs.speed_ratio[3] += rate;
        const plant::HydraulicState& state = hydraulics.step(0.1, inputs);
        inputs.inflow_m3s = state.level_m > 4 ? state.main_flow_m3s - 0.05 : state.main_flow_m3s + 0.05;
        benchmark::DoNotOptimize(&state);
    }
}
BENCHMARK(one_of_four_ramping);

void one_pump_held_below_its_shut_off_head(benchmark::State& run) {
    plant::Hydraulics hydraulics(tests::water_station(), 4);
    plant::HydraulicInputs inputs = four_running(hydraulics);
    inputs.speed_ratio[3] = 0.5;
    for (auto _ : run) {
        const plant::HydraulicState& state = hydraulics.step(0.1, inputs);
        inputs.inflow_m3s = state.level_m > 4 ? state.main_flow_m3s - 0.05 : state.main_flow_m3s + 0.05;
        benchmark::DoNotOptimize(&state);
    }
}
BENCHMARK(one_pump_held_below_its_shut_off_head);

void at_rest(benchmark::State& run) {
    plant::Hydraulics hydraulics(tests::water_station(), 4);
    plant::HydraulicInputs inputs;
    inputs.inflow_m3s = 1e-6;
    for (auto _ : run) benchmark::DoNotOptimize(&hydraulics.step(0.1, inputs));
}
BENCHMARK(at_rest);

}  // namespace

BENCHMARK_MAIN();
