// Small closed formulas of hydraulics and machines. They share no code with the simulated plant on purpose:
// the controller's process links no simulation, and the agreement of the two is a check on both.
// One reason to change: a figure that follows from a station's description.
#include "config/engineering/derive.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

namespace freshet::config {
namespace {

constexpr double gravity_ms2 = 9.80665;
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

double colebrook(double reynolds, double relative_roughness) {
    constexpr double laminar_below = 2000;
    if (reynolds < laminar_below) return 64 / reynolds;
    double inverse_root = 6;  // 1/sqrt(f); each round reduces the error tenfold
    for (int i = 0; i < 30; ++i)
        inverse_root = -2 * std::log10(relative_roughness / 3.7 + 2.51 * inverse_root / reynolds);
    return 1 / (inverse_root * inverse_root);
}

double reach_loss_m(const Reach& reach, const Fluid& fluid, double flow_m3s) {
    if (flow_m3s <= 0) return 0;
    const double area_m2 = std::numbers::pi / 4 * reach.diameter_m * reach.diameter_m;
    const double velocity_ms = flow_m3s / area_m2;
    const double velocity_head_m = velocity_ms * velocity_ms / (2 * gravity_ms2);
    const double minor_m = reach.minor_loss_k * velocity_head_m;
    if (reach.friction == Friction::hazen_williams)
        return minor_m + 10.67 * reach.length_m * std::pow(flow_m3s / reach.hazen_williams_c, 1.852) /
                             std::pow(reach.diameter_m, 4.8704);
    const double reynolds = velocity_ms * reach.diameter_m / fluid.viscosity_m2s;
    return minor_m + colebrook(reynolds, reach.roughness_m / reach.diameter_m) * reach.length_m /
                         reach.diameter_m * velocity_head_m;
}

/// A figure of the catalogue curve at rated speed, linear between points, end pieces extended.
double on_curve(const PumpType& pump, double flow_m3s, double PumpPoint::*figure) {
    const auto& curve = pump.curve;
    std::size_t i = 1;
    while (i + 1 < curve.size() && curve[i].flow_m3s < flow_m3s) ++i;
    const PumpPoint &a = curve[i - 1], &b = curve[i];
    return a.*figure + (b.*figure - a.*figure) * (flow_m3s - a.flow_m3s) / (b.flow_m3s - a.flow_m3s);
}

std::complex<double> impedance(const MotorCircuit& circuit, double slip) {
    const double resistance = circuit.rr_ohm * (1 + (circuit.rr_standstill_ratio - 1) * slip);
    const double leakage = circuit.xlr_ohm * (1 + (circuit.xlr_standstill_ratio - 1) * slip);
    const std::complex<double> rotor(resistance / slip, leakage), magnetising(0, circuit.xm_ohm);
    return std::complex<double>(circuit.rs_ohm, circuit.xls_ohm) +
           rotor * magnetising / (rotor + magnetising);
}

}  // namespace

double main_loss_m(const Main& main, const Fluid& fluid, double flow_m3s) {
    double loss_m = 0;
    for (const Reach& reach : main.reaches) loss_m += reach_loss_m(reach, fluid, flow_m3s);
    return loss_m;
}

double pump_head_m(const PumpType& pump, double flow_m3s, double speed_ratio) {
    return on_curve(pump, flow_m3s / speed_ratio, &PumpPoint::head_m) * speed_ratio * speed_ratio;
}

double shaft_power_w(const PumpType& pump, const Fluid& fluid, double flow_m3s, double speed_ratio) {
    const double weight = fluid.density_kgm3 * gravity_ms2;
    const auto first =
        std::ranges::find_if(pump.curve, [](const PumpPoint& point) { return point.efficiency > 0; });
    const double at_rated_m3s =
        std::max(flow_m3s / speed_ratio, first == pump.curve.end() ? 0 : first->flow_m3s);
    const double efficiency = std::max(on_curve(pump, at_rated_m3s, &PumpPoint::efficiency), 0.01);
    const double power_w =
        weight * at_rated_m3s * on_curve(pump, at_rated_m3s, &PumpPoint::head_m) / efficiency;
    return power_w * speed_ratio * speed_ratio * speed_ratio;
}

double line_speed_ratio(const Station& station) {
    return station.motor.nameplate.speed_rpm / station.pump.rated_speed_rpm;
}

double static_head_m(const Station& station, double level_m) {
    switch (station.duty) {
        case Duty::empty_well:
            return station.main.discharge_level_m - level_m;
        case Duty::fill_tank:
            return std::max(station.main.discharge_level_m, level_m) - station.suction_head_m;
        case Duty::hold_pressure:
            break;
    }
    return level_m - station.suction_head_m;  // the head held in the header
}

double station_flow_m3s(const Station& station, int pumps, double speed_ratio, double static_m) {
    const auto surplus = [&](double flow) {
        const double each = flow / pumps;
        return pump_head_m(station.pump, each, speed_ratio) - station.pump.branch_loss_s2m5 * each * each -
               main_loss_m(station.main, station.fluid, flow) - static_m;
    };
    return surplus(0) <= 0
               ? 0
               : root_of_falling(0, 2 * pumps * station.pump.curve.back().flow_m3s * speed_ratio, surplus);
}

std::vector<StoragePoint> store_of(const Station& station) {
    if (station.duty != Duty::hold_pressure) return station.well.storage;
    constexpr double atmosphere_pa = 101325;
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
