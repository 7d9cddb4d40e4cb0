// The water side over random stations, steps and orders: all values stay finite and bounded, and the volumes
// balance. Seeds are printed; FRESHET_SEED in the environment runs one seed alone.
// One reason to change: a property of the water side, or the range of stations.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <span>
#include <string>

#include "sim_plant/physics/hydraulic_contradictions.hpp"
#include "sim_plant/physics/hydraulics.hpp"
#include "tests/doubles/operating_point.hpp"
#include "tests/property/hydraulics/random_numbers.hpp"

namespace {

using namespace freshet;
using tests::between;
using tests::decades;
using tests::Random;
using namespace freshet::plant;
using namespace freshet::doubles;

/// Mains from 10 m to 20 km, wells from 2 m2 to 5,000 m2, one to eight pumps, any friction law.
config::Station random_station(Random& random) {
    config::Station station;
    const std::array<config::Duty, 4> duties{config::Duty::empty_well, config::Duty::empty_well,
                                             config::Duty::fill_tank, config::Duty::hold_pressure};
    station.duty = duties[random() % duties.size()];
    station.pump_count = static_cast<std::uint8_t>(1 + random() % 8);
    const double area = decades(random, 2, 5000);
    const double depth = between(random, 2, 8);
    const double waist = between(random, 0.3, 1);
    station.well.storage = {{0, 0}, {0.4 * depth, 0.4 * depth * area * waist}, {depth, depth * area}};
    station.well.overflow_level_m = 0.9 * depth;
    station.well.overflow_width_m = decades(random, 0.5, 10);
    station.well.suction_level_m = between(random, 0, 0.2) * depth;
    station.well.vortex_level_m = station.well.suction_level_m + 0.3;

    const double best = decades(random, 0.005, 1.5);
    const double head = between(random, 8, 60);
    const double steep = between(random, 1.1, 1.6);
    station.pump.curve = {{0, head * steep, 0, 2},
                          {0.5 * best, head * (0.2 + 0.8 * steep), 0.65, 2.5},
                          {best, head, 0.82, 4},
                          {1.35 * best, 0.7 * head, 0.72, 6.5}};
    station.pump.rated_speed_rpm = 980;
    station.pump.minimum_flow_m3s = 0.3 * best;
    station.pump.branch_loss_s2m5 = 0.03 * head / (best * best);
    station.pump.valve_closing_s = between(random, 0, 1.5);

    const double total = best * station.pump_count;
    const double length = decades(random, 10, 20000);
    const std::size_t reaches = 1 + random() % 3;
    for (std::size_t i = 0; i < reaches; ++i) {
        config::Reach reach;
        reach.length_m = length / static_cast<double>(reaches);
        reach.diameter_m = std::sqrt(total / between(random, 0.6, 2.5) * 4 / 3.14159);
        reach.friction =
            random() % 2 == 0 ? config::Friction::darcy_weisbach : config::Friction::hazen_williams;
        reach.roughness_m = decades(random, 1e-6, 1e-3);
        reach.hazen_williams_c = between(random, 90, 150);
        reach.minor_loss_k = between(random, 0, 10);
        station.main.reaches.push_back(reach);
    }
    if (station.duty == config::Duty::empty_well) {
        station.main.discharge_level_m = station.well.overflow_level_m + between(random, -1, 0.8) * head;
    } else {
        // Half of the tanks are filled from above, half from below their surface.
        station.main.discharge_level_m = between(random, 0, 1.2) * depth;
        station.suction_head_m = station.main.discharge_level_m - between(random, 0, 0.8) * head;
    }
    station.air_vessel.air_volume_m3 = random() % 2 == 0 ? 0 : decades(random, 0.05, 20);
    station.air_vessel.precharge_head_m = between(random, 2, 20);
    return station;
}

/// Random ramps, trips and faults, as no controller would order them.
void disturb(Random& random, const config::Station& station, Hydraulics& hydraulics,
             std::array<double, 8>& target) {
    const std::size_t pump = random() % station.pump_count;
    switch (random() % 12) {
        case 0:
            hydraulics.set_wear(pump, between(random, 0.5, 1));
            break;
        case 1:
            hydraulics.set_blockage(pump, random() % 3 == 0 ? 1 : between(random, 0, 1));
            break;
        case 2:
            hydraulics.set_valve_stuck_open(pump, true);
            break;
        case 3:
        case 4:
            hydraulics.set_valve_stuck_open(pump, false);
            hydraulics.set_blockage(pump, 0);
            break;
        case 5:
            target.fill(0);
            break;
        case 6:
            target.fill(1);
            break;
        default:
            target[pump] = random() % 3 == 0 ? 0 : between(random, 0.3, 1.05);
            break;
    }
}

void run_station(std::uint64_t seed, const config::Station& station, Random& random) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    if (!hydraulic_contradictions(station).empty()) return;
    const double floor = station.well.storage.front().volume_m3;
    Hydraulics hydraulics(station, between(random, 0.1, 0.9) * station.well.overflow_level_m);
    const double step_s = 0.1;
    const double capacity = station.pump.curve.back().flow_m3s * station.pump_count;
    const double flow_bound = 40 * capacity;
    std::array<double, 8> target{};
    HydraulicInputs inputs;
    inputs.inflow_m3s = between(random, 0, 1.5) * capacity;
    double flow_before = 0;
    int reversals = 0;
    for (int step = 0; step < 6000; ++step) {
        if (random() % 100 == 0) disturb(random, station, hydraulics, target);
        if (random() % 400 == 0) inputs.inflow_m3s = between(random, 0, 1.5) * capacity;
        const double stride = random() % 4 == 0 ? 1 : 0.02;
        for (std::size_t i = 0; i < station.pump_count; ++i) {
            const double gap = target[i] - inputs.speed_ratio[i];
            inputs.speed_ratio[i] += std::clamp(gap, -stride, 0.02);
        }
        const HydraulicState& state = hydraulics.step(step_s, inputs);
        ASSERT_TRUE(std::isfinite(state.level_m) && std::isfinite(state.header_head_m)) << "step " << step;
        ASSERT_LT(std::abs(state.main_flow_m3s), flow_bound) << "step " << step;
        ASSERT_GE(state.overflow_m3s, 0);
        if (station.duty != config::Duty::hold_pressure) {
            ASSERT_GE(state.volume_m3, floor - 1e-9) << "step " << step;
        }
        double sum = 0;
        for (std::size_t i = 0; i < station.pump_count; ++i) {
            ASSERT_TRUE(std::isfinite(state.shaft_torque_nm[i])) << "step " << step << " pump " << i;
            ASSERT_GE(state.shaft_torque_nm[i], 0) << "step " << step << " pump " << i;
            sum += state.flow_m3s[i];
        }
        if (station.duty != config::Duty::hold_pressure) {
            ASSERT_NEAR(sum, state.main_flow_m3s, 1e-9 * capacity) << "step " << step;
        }
        if (state.main_flow_m3s * flow_before < 0) ++reversals;
        flow_before = state.main_flow_m3s;
    }
    // An unstable step would make the flow oscillate.
    EXPECT_LT(reversals, 300);
    EXPECT_LE(std::abs(hydraulics.volume_error_m3()), 1e-9 * std::max(hydraulics.state().inflow_m3, 1e-3));
}

void run_station(std::uint64_t seed) {
    Random random(seed);
    const config::Station station = random_station(random);
    run_station(seed, station, random);
}

TEST(WaterSide, stays_bounded_and_closes_its_volume_over_random_stations_and_orders) {
    if (const char* only = std::getenv("FRESHET_SEED")) {  // NOLINT(concurrency-mt-unsafe): one thread
        run_station(std::strtoull(only, nullptr, 10));
        return;
    }
    constexpr std::uint64_t first_seed = 20'000;
    constexpr std::uint64_t stations = 300;
    std::printf("seeds %llu to %llu\n", static_cast<unsigned long long>(first_seed),
                static_cast<unsigned long long>(first_seed + stations - 1));
    for (std::uint64_t seed = first_seed; seed < first_seed + stations; ++seed) {
        run_station(seed);
        if (HasFatalFailure()) return;
    }
}

/// The ends of the range that one step must serve: each main with each well.
TEST(WaterSide, takes_the_shortest_and_the_longest_main_with_the_smallest_and_the_largest_well_at_one_step) {
    for (const double length_m : {10.0, 20'000.0}) {
        for (const double area_m2 : {2.0, 5'000.0}) {
            for (std::uint64_t seed = 1; seed <= 25; ++seed) {
                Random random(seed);
                config::Station station = random_station(random);
                const double depth_m = station.well.storage.back().level_m;
                station.well.storage = {{0, 0}, {depth_m, depth_m * area_m2}};
                for (config::Reach& reach : station.main.reaches)
                    reach.length_m = length_m / static_cast<double>(station.main.reaches.size());
                run_station(seed, station, random);
                if (HasFatalFailure()) return;
            }
        }
    }
}

/// A station under constant orders must settle at the flow of the steady solution.
TEST(WaterSide, comes_to_the_steady_operating_point_and_stays_there) {
    constexpr std::uint64_t first_seed = 50'000;
    constexpr std::uint64_t stations = 200;
    std::printf("seeds %llu to %llu\n", static_cast<unsigned long long>(first_seed),
                static_cast<unsigned long long>(first_seed + stations - 1));
    for (std::uint64_t seed = first_seed; seed < first_seed + stations; ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        Random random(seed);
        config::Station station = random_station(random);
        station.duty = config::Duty::empty_well;
        // A well so wide that its level stays constant.
        station.well.storage = {{0, 0}, {8, 8e9}};
        station.well.overflow_level_m = 7;
        station.well.suction_level_m = 0.5;
        const double level = 3;
        const double lift = 1.1 * station.pump.curve.back().head_m;
        station.main.discharge_level_m = level + between(random, 0, 0.9) * lift;
        HydraulicInputs inputs;
        for (std::size_t i = 0; i < station.pump_count; ++i) inputs.speed_ratio[i] = between(random, 0.6, 1);
        Hydraulics hydraulics(station, level);
        for (int step = 0; step < 30000; ++step) hydraulics.step(0.1, inputs);
        const OperatingPoint steady =
            operating_point(station, std::span(inputs.speed_ratio).first(station.pump_count), level);
        const double scale = station.pump.curve[2].flow_m3s;
        ASSERT_NEAR(hydraulics.state().main_flow_m3s, steady.total_flow_m3s,
                    2e-4 * scale * station.pump_count);
        ASSERT_NEAR(hydraulics.state().header_head_m, steady.header_head_m, 0.01);
        for (std::size_t i = 0; i < station.pump_count; ++i) {
            ASSERT_NEAR(hydraulics.state().flow_m3s[i], steady.flow_m3s[i], 3e-3 * scale) << "pump " << i;
        }
    }
}

/// The quick settled step and the exact step must give the same flows.
TEST(WaterSide, quick_and_exact_steps_agree) {
    constexpr std::uint64_t first_seed = 70'000;
    constexpr std::uint64_t stations = 60;
    std::printf("seeds %llu to %llu\n", static_cast<unsigned long long>(first_seed),
                static_cast<unsigned long long>(first_seed + stations - 1));
    for (std::uint64_t seed = first_seed; seed < first_seed + stations; ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        Random random(seed);
        const config::Station station = random_station(random);
        if (!hydraulic_contradictions(station).empty()) continue;
        const double start = 0.5 * station.well.overflow_level_m;
        Hydraulics quick(station, start);
        Hydraulics exact(station, start);
        HydraulicInputs inputs;
        inputs.inflow_m3s = 0.5 * station.pump.curve[2].flow_m3s;
        const double scale = station.pump.curve[2].flow_m3s;
        for (int step = 0; step < 3000; ++step) {
            for (std::size_t i = 0; i < station.pump_count; ++i) {
                const double target = 0.9 + 0.02 * static_cast<double>(i) + 0.01 * std::sin(step / 300.0);
                inputs.speed_ratio[i] += std::clamp(target - inputs.speed_ratio[i], -0.01, 0.01);
            }
            // Setting a fault to its present value makes the next step an exact step.
            exact.set_wear(0, 1);
            const double flow_quick = quick.step(0.1, inputs).main_flow_m3s;
            const double flow_exact = exact.step(0.1, inputs).main_flow_m3s;
            // Pumps that draw air start and stop delivering. Only steady pumping is compared.
            if (quick.state().suction_dry) break;
            ASSERT_NEAR(flow_quick, flow_exact, 5e-5 * scale * station.pump_count) << "step " << step;
            for (std::size_t i = 0; i < station.pump_count; ++i) {
                ASSERT_NEAR(quick.state().shaft_torque_nm[i], exact.state().shaft_torque_nm[i],
                            1e-2 * exact.state().shaft_torque_nm[i] + 1e-9)
                    << "step " << step << " pump " << i;
            }
        }
        ASSERT_NEAR(quick.state().pumped_m3, exact.state().pumped_m3, 1e-5 * 300 * scale);
    }
}

}  // namespace
