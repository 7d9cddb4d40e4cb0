// A station and a scenario for tests of the whole plant: invented, of ordinary proportions.
// One reason to change: what a test of the whole plant needs to stand on.
#pragma once

#include "config/scenario.hpp"
#include "config/station.hpp"

namespace freshet::plant {

/// Four 500 hp, 2300 V, 60 Hz pumps on one shared drive, emptying a wet well of 150 m2 into a 1.4 m main of 2
/// km.
inline config::Station sample_station() {
    config::Station station;
    station.name = "sample";
    station.duty = config::Duty::empty_well;
    station.pump_count = 4;
    station.well = {.storage = {{0, 0}, {8, 1200}},
                    .overflow_level_m = 7,
                    .overflow_width_m = 6,
                    .overflow_coefficient = 1.84,
                    .suction_level_m = 1,
                    .vortex_level_m = 1.5};
    station.pump = {.curve = {{0, 40, 0, 3}, {0.5, 36, 0.68, 3.2}, {0.9, 29, 0.84, 4}, {1.3, 18, 0.72, 6}},
                    .rated_speed_rpm = 1773,
                    .minimum_flow_m3s = 0.25,
                    .inertia_kgm2 = 8,
                    .branch_loss_s2m5 = 1.5,
                    .valve_closing_s = 0.3};
    station.motor.name = "500 hp";
    station.motor.nameplate.power_w = 373'000;
    station.motor.nameplate.voltage_v = 2300;
    station.motor.nameplate.frequency_hz = 60;
    station.motor.has_circuit = true;
    station.motor.circuit = {
        .rs_ohm = 0.262, .xls_ohm = 1.206, .xm_ohm = 54.02, .xlr_ohm = 1.206, .rr_ohm = 0.187};
    station.motor.poles = 4;
    station.motor.inertia_kgm2 = 11.06;
    station.motor.friction_loss_w = 3000;
    station.motor.core_loss_w = 3000;
    config::Reach reach;
    reach.length_m = 2000;
    reach.diameter_m = 1.4;
    reach.roughness_m = 0.0003;
    reach.minor_loss_k = 5;
    station.main = {.reaches = {reach}, .discharge_level_m = 20};
    station.drive.ramp_up_hz_s = 3;
    station.drive.ramp_down_hz_s = 3;
    station.drive.frequency_max_hz = 60;
    station.drive.current_limit_a = 140;
    station.drive.efficiency = {{0.1, 0.9}, {1, 0.97}};
    station.supply.voltage_v = 2300;
    station.supply.frequency_hz = 60;
    station.supply.short_circuit_va = 100e6;
    station.instruments.level = {
        {.level_at_4ma_m = 0, .level_at_20ma_m = 8, .noise_m = 0.005, .lag_s = 0.5, .update_s = 1},
        {.level_at_4ma_m = 0, .level_at_20ma_m = 8, .noise_m = 0.005, .lag_s = 0.5, .update_s = 1}};
    station.instruments.floats_fitted = true;
    station.instruments.high_float_m = 6.5;
    station.instruments.low_float_m = 1.2;
    station.instruments.pressure_fitted = true;
    station.instruments.pressure_at_4ma_m = 0;
    station.instruments.pressure_at_20ma_m = 60;
    station.tariff = {{0, 24, 0.1}};
    return station;
}

/// A run of an hour with steady inflow, the well half full; 2026-01-01 00:00 UTC.
inline config::Scenario steady_scenario(double inflow_m3s) {
    config::Scenario scenario;
    scenario.name = "steady";
    scenario.start_ms = 1'767'225'600'000;
    scenario.duration_s = 3600;
    scenario.initial_level_m = 4;
    scenario.weather.measured_inflow_m3s = {{0, inflow_m3s}, {3600, inflow_m3s}};
    return scenario;
}

}  // namespace freshet::plant
