// The cost of the register path of a scan: field map in and out, advice out and in. The figures are printed
// and never judged. One reason to change: a part of this path whose cost matters.
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <string>

#include "config/loader/load.hpp"
#include "hal/modbus/advice_decoder.hpp"
#include "hal/modbus/advice_encoder.hpp"
#include "hal/modbus/advice_map.hpp"
#include "hal/modbus/field_loop.hpp"
#include "hal/modbus/field_plan.hpp"
#include "hal/modbus/mbap_parser.hpp"

namespace {

using namespace freshet;

modbus::FieldPlan demo_plan() {
    const auto map = config::load_field_map(std::string(FRESHET_SOURCE_DIR) + "/config/field_maps/demo.toml");
    if (!map) std::abort();
    return modbus::compile(*map).value();
}

config::Readings some_readings() {
    config::Readings readings;
    for (std::size_t i = 0; i < readings.size(); ++i) readings[i] = static_cast<double>(i % 7);
    return readings;
}

/// The field link of one scan. A quiet second changes the clock and the noisy signals only.
void field_loop(benchmark::State& state) {
    const modbus::FieldPlan plan = demo_plan();
    modbus::FieldLoop loop(plan);
    config::Readings readings = some_readings();
    const auto changing = static_cast<std::size_t>(state.range(0));
    constexpr std::array noisy = {
        config::StationSignal::plant_time,    config::StationSignal::level_1_loop,
        config::StationSignal::level_2_loop,  config::StationSignal::line_frequency,
        config::StationSignal::line_voltage,  config::StationSignal::drive_frequency,
        config::StationSignal::drive_angle,   config::StationSignal::station_flow,
        config::StationSignal::drive_voltage, config::StationSignal::header_pressure_loop};
    std::int64_t now_ms = 1'767'254'400'000;
    double wobble = 0;
    for (auto _ : state) {
        now_ms += 100;
        wobble = wobble > 1 ? 0 : wobble + 0.01;
        readings[config::index_of(config::StationSignal::plant_time)] = static_cast<double>(now_ms);
        for (std::size_t i = 1; i < changing; ++i) readings[config::index_of(noisy[i])] = 8 + wobble;
        benchmark::DoNotOptimize(&loop.pass(readings, now_ms));  // the address: a value would be copied
        benchmark::ClobberMemory();
    }
}
BENCHMARK(field_loop)->Arg(1)->Arg(4)->Arg(10);

void advice_encode(benchmark::State& state) {
    modbus::AdviceEncoder encoder(4, 100, 5000);
    core::Advice advice;
    for (auto _ : state) {
        ++advice.scan_count;
        advice.time_ms += 100;
        if (state.range(0) != 0) advice.measured_m = 2 + (advice.scan_count & 7U) * 0.001;
        benchmark::DoNotOptimize(&encoder.encode(advice, advice.time_ms));
        benchmark::ClobberMemory();
    }
}
BENCHMARK(advice_encode)->Arg(0)->Arg(1);

void advice_decode(benchmark::State& state) {
    constexpr const modbus::AdviceBlock& block = modbus::advice_block("advice");
    modbus::AdviceEncoder encoder(4, 100, 5000);
    const modbus::AdviceImage image = encoder.encode(core::Advice{}, 0);
    for (auto _ : state) {
        benchmark::DoNotOptimize(modbus::decode_advice(std::span(image).subspan(block.address, block.count)));
    }
}
BENCHMARK(advice_decode);

void request_parse(benchmark::State& state) {
    const std::array<std::uint8_t, 12> request = {0, 1, 0, 0, 0, 6, 1, 4, 0, 0, 0, 30};
    for (auto _ : state) benchmark::DoNotOptimize(modbus::parse(request));
}
BENCHMARK(request_parse);

}  // namespace

BENCHMARK_MAIN();
