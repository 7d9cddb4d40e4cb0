// Small closed formulas of stores and machines. They share no code with the simulated plant on purpose: the
// controller's process links no simulation, and the agreement of the two is a check on both.
// One reason to change: a figure that follows from a station's description.
#include "config/engineering/derive.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include "config/hydraulics/gravity.hpp"

namespace freshet::config {
namespace {

constexpr int bisections = 100;  // halves any bracket to the last bit of a double

/// Root of a falling function between two bounds.
template <class Function>
double root_of_falling(double low, double high, Function function) {
    for (int i = 0; i < bisections; ++i) {
        const double middle = 0.5 * (low + high);
        (function(middle) > 0 ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

std::complex<double> impedance(const MotorCircuit& circuit, double slip) {
    const double resistance = circuit.rr_ohm * (1 + (circuit.rr_standstill_ratio - 1) * slip);
    const double leakage = circuit.xlr_ohm * (1 + (circuit.xlr_standstill_ratio - 1) * slip);
    const std::complex<double> rotor(resistance / slip, leakage), magnetising(0, circuit.xm_ohm);
    return std::complex<double>(circuit.rs_ohm, circuit.xls_ohm) +
           rotor * magnetising / (rotor + magnetising);
}

}  // namespace

double line_speed_ratio(const Station& station) {
    return station.motor.nameplate.speed_rpm / station.pump.rated_speed_rpm;
}

std::vector<StoragePoint> store_of(const Station& station) {
    if (station.duty != Duty::hold_pressure) return station.well.storage;
    constexpr int steps = 8;
    const double atmosphere_m = atmosphere_pa / (station.fluid.density_kgm3 * gravity_ms2);
    const AirVessel& vessel = station.air_vessel;
    std::vector<StoragePoint> store;
    for (int i = 0; i <= steps; ++i) {
        const double head_m = vessel.precharge_head_m +
                              (station.instruments.pressure_at_20ma_m - vessel.precharge_head_m) * i / steps;
        const double pressure_ratio = (vessel.precharge_head_m + atmosphere_m) / (head_m + atmosphere_m);
        store.push_back(
            {head_m, vessel.air_volume_m3 * (1 - std::pow(pressure_ratio, 1 / vessel.polytropic_exponent))});
    }
    return store;
}

double volume_between_m3(const Station& station, double one_m, double other_m) {
    const std::vector<StoragePoint> store = store_of(station);
    const auto volume_m3 = [&](double level_m) {
        std::size_t i = 1;
        while (i + 1 < store.size() && store[i].level_m < level_m) ++i;
        const StoragePoint &a = store[i - 1], &b = store[i];
        return a.volume_m3 + (b.volume_m3 - a.volume_m3) * (level_m - a.level_m) / (b.level_m - a.level_m);
    };
    return std::abs(volume_m3(one_m) - volume_m3(other_m));
}

CircuitPoint circuit_at(const Motor& motor, double slip) {
    const double phase_v = motor.nameplate.voltage_v / std::numbers::sqrt3;
    const double synchronous_rad_s = 4 * std::numbers::pi * motor.nameplate.frequency_hz / motor.poles;
    const std::complex<double> z = impedance(motor.circuit, slip);
    const std::complex<double> current = phase_v / z;
    const double input_w = 3 * phase_v * current.real();
    const double gap_w = input_w - 3 * std::norm(current) * motor.circuit.rs_ohm;
    CircuitPoint point;
    point.slip = slip;
    point.current_a = std::abs(current);
    point.torque_nm = gap_w / synchronous_rad_s;
    point.shaft_power_w = gap_w * (1 - slip) - motor.friction_loss_w;
    point.power_factor = current.real() / std::abs(current);
    point.efficiency = point.shaft_power_w / (input_w + motor.core_loss_w);
    return point;
}

CircuitPoint circuit_at_rated_power(const Motor& motor) {
    // Shaft power rises with slip up to near breakdown. Walk up to the rated power, then halve the interval.
    constexpr double step = 0.0005;
    constexpr int steps = 600;
    for (int i = 1; i <= steps; ++i) {
        const double slip = step * i;
        if (circuit_at(motor, slip).shaft_power_w < motor.nameplate.power_w) continue;
        return circuit_at(motor, root_of_falling(slip - step + 1e-9, slip, [&](double s) {
                              return motor.nameplate.power_w - circuit_at(motor, s).shaft_power_w;
                          }));
    }
    return {};
}

double rated_current_a(const Motor& motor) {
    const Nameplate& plate = motor.nameplate;
    if (plate.current_a > 0) return plate.current_a;
    if (plate.efficiency > 0 && plate.power_factor > 0)
        return plate.power_w /
               (std::numbers::sqrt3 * plate.voltage_v * plate.efficiency * plate.power_factor);
    return motor.has_circuit ? circuit_at_rated_power(motor).current_a : 0;
}

double locked_rotor_ratio(const Motor& motor) {
    if (motor.nameplate.locked_rotor_current_ratio > 0) return motor.nameplate.locked_rotor_current_ratio;
    const double rated_a = rated_current_a(motor);
    return motor.has_circuit && rated_a > 0 ? circuit_at(motor, 1).current_a / rated_a : 0;
}

}  // namespace freshet::config
