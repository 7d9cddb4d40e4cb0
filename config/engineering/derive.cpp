// Small closed formulas of stores and machines, and the steady state of the motor's circuit.
// One reason to change: a figure that follows from a station's description.
#include "config/engineering/derive.hpp"

#include <algorithm>
#include <cmath>

#include "config/electrics/full_load_current.hpp"
#include "config/electrics/motor_circuit.hpp"
#include "config/hydraulics/air_vessel.hpp"
#include "config/hydraulics/pipe.hpp"

namespace freshet::config {

double line_speed_ratio(const Station& station) {
    return station.motor.nameplate.speed_rpm / station.pump.rated_speed_rpm;
}

std::vector<core::StorePoint> store_of(const Station& station) {
    std::vector<core::StorePoint> store;
    if (station.duty != Duty::hold_pressure) {
        for (const StoragePoint& point : station.well.storage)
            store.push_back({.level_m = point.level_m, .volume_m3 = point.volume_m3});
        return store;
    }
    constexpr int steps = 8;
    const double atmosphere_m = atmosphere_head_m(station.fluid);
    const AirVessel& vessel = station.air_vessel;
    for (int i = 0; i <= steps; ++i) {
        const double head_m = vessel.precharge_head_m +
                              (station.instruments.pressure_at_20ma_m - vessel.precharge_head_m) * i / steps;
        store.push_back({head_m, vessel.air_volume_m3 * (1 - air_share(vessel, atmosphere_m, head_m))});
    }
    return store;
}

double scour_flow_m3s(const Main& main, double velocity_ms) {
    return velocity_ms * area_m2(widest_diameter_m(main));
}

double volume_between_m3(const Station& station, double one_m, double other_m) {
    const std::vector<core::StorePoint> store = store_of(station);
    const auto volume_m3 = [&](double level_m) {
        std::size_t i = 1;
        while (i + 1 < store.size() && store[i].level_m < level_m) ++i;
        const core::StorePoint &a = store[i - 1], &b = store[i];
        return a.volume_m3 + (b.volume_m3 - a.volume_m3) * (level_m - a.level_m) / (b.level_m - a.level_m);
    };
    return std::abs(volume_m3(one_m) - volume_m3(other_m));
}

std::optional<RatedPoint> circuit_at_rated_power(const Motor& motor) {
    constexpr double root_error = 1e-9;  // of the power, far above the root's own error
    const double slip = slip_for_shaft_power(motor, motor.nameplate.power_w);
    if (shaft_power_w(motor, slip) < motor.nameplate.power_w * (1 - root_error)) return std::nullopt;
    return RatedPoint{slip, rated_supply_point(motor, slip).current_a};
}

double rated_current_a(const Motor& motor) {
    const Nameplate& plate = motor.nameplate;
    if (plate.current_a > 0) return plate.current_a;
    if (plate.efficiency > 0 && plate.power_factor > 0) return full_load_current_a(plate);
    const auto rated = motor.has_circuit ? circuit_at_rated_power(motor) : std::nullopt;
    return rated ? rated->current_a : 0;
}

double locked_rotor_ratio(const Motor& motor) {
    if (motor.nameplate.locked_rotor_current_ratio > 0) return motor.nameplate.locked_rotor_current_ratio;
    const double rated_a = rated_current_a(motor);
    return motor.has_circuit && rated_a > 0 ? rated_supply_point(motor, 1).current_a / rated_a : 0;
}

}  // namespace freshet::config
