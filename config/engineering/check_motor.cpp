// A motor's nameplate against itself and against its circuit.
// One reason to change: a contradiction that a nameplate or a circuit can hold.
#include <fmt/format.h>

#include <cmath>

#include "config/electrics/full_load_current.hpp"
#include "config/engineering/checks.hpp"
#include "config/engineering/derive.hpp"

namespace freshet::config {

namespace {

/// Efficiency against slip, current against power.
void check_figures(Findings& findings, const Nameplate& plate, double slip) {
    // No motor delivers more than its slip leaves: the rotor loses that share as heat.
    if (plate.efficiency >= 1 - slip)
        refuse(findings, "motor.nameplate.efficiency",
               fmt::format("efficiency is {:.1f} %, but the rotor alone loses {:.1f} % at the rated speed; "
                           "expected less than {:.1f} %",
                           plate.efficiency * 100, slip * 100, (1 - slip) * 100));
    if (plate.current_a > 0 && plate.efficiency > 0 && plate.power_factor > 0) {
        constexpr double tolerance = 0.05;  // rounding of three printed figures
        const double computed_a = full_load_current_a(plate);
        if (std::abs(plate.current_a / computed_a - 1) > tolerance)
            refuse(findings, "motor.nameplate.current",
                   fmt::format("current is {:g} A, but power, voltage, power factor and efficiency give "
                               "{:.4g} A; expected agreement within 5 %",
                               plate.current_a, computed_a));
    }
}

/// Starting figures against one another.
void check_starting(Findings& findings, const Nameplate& plate) {
    // Every cage motor has more than this: common practice.
    constexpr double locked_rotor_current_least = 2, breakdown_torque_least = 1.2;
    if (plate.locked_rotor_current_ratio > 0 && plate.locked_rotor_current_ratio < locked_rotor_current_least)
        refuse(
            findings, "motor.nameplate.locked_rotor_current",
            fmt::format("locked_rotor_current is {:g} times the rated current; expected at least {:g} times",
                        plate.locked_rotor_current_ratio, locked_rotor_current_least));
    if (plate.breakdown_torque_ratio > 0 && plate.breakdown_torque_ratio < breakdown_torque_least)
        refuse(findings, "motor.nameplate.breakdown_torque",
               fmt::format("breakdown_torque is {:g} times the rated torque; expected at least {:g} times",
                           plate.breakdown_torque_ratio, breakdown_torque_least));
    if (plate.locked_rotor_torque_ratio > 0 && plate.breakdown_torque_ratio > 0 &&
        plate.locked_rotor_torque_ratio > plate.breakdown_torque_ratio)
        refuse(findings, "motor.nameplate.locked_rotor_torque",
               fmt::format("locked_rotor_torque is {:g} times the rated torque, but breakdown_torque is {:g} "
                           "times; expected no more than breakdown_torque",
                           plate.locked_rotor_torque_ratio, plate.breakdown_torque_ratio));
}

/// What the circuit gives at rated power against the nameplate.
void check_circuit(Findings& findings, const Motor& motor, double synchronous_rpm, double slip) {
    const Nameplate& plate = motor.nameplate;
    const auto rated = circuit_at_rated_power(motor);
    if (!rated)
        return refuse(findings, "motor.circuit",
                      fmt::format("the circuit never gives the rated {:.4g} kW at {:g} V; expected a circuit "
                                  "that gives the rated power",
                                  plate.power_w / 1000, plate.voltage_v));
    constexpr double slip_tolerance = 0.25;  // a printed speed is rounded to a few turns a minute
    const double circuit_rpm = synchronous_rpm * (1 - rated->slip);
    if (std::abs(rated->slip / slip - 1) > slip_tolerance)
        refuse(findings, "motor.nameplate.speed",
               fmt::format("speed is {:g} rpm, but the circuit gives rated power at {:.1f} rpm; expected a "
                           "slip within a quarter of the circuit's slip",
                           plate.speed_rpm, circuit_rpm));
    constexpr double current_tolerance = 0.1;
    if (plate.current_a > 0 && std::abs(plate.current_a / rated->current_a - 1) > current_tolerance)
        refuse(findings, "motor.nameplate.current",
               fmt::format("current is {:g} A, but the circuit takes {:.4g} A at rated power; expected "
                           "agreement within 10 %",
                           plate.current_a, rated->current_a));
}

}  // namespace

void check_motor(Findings& findings, const Motor& motor) {
    const Nameplate& plate = motor.nameplate;
    if (motor.poles % 2 != 0)
        return refuse(findings, "motor.poles",
                      fmt::format("poles is {}; expected an even number", motor.poles));
    const double synchronous_rpm = 120 * plate.frequency_hz / motor.poles;
    // Large machines slip one or two per cent. No motor of a pump slips a tenth: common practice.
    constexpr double slip_most = 0.1;
    const double slip = 1 - plate.speed_rpm / synchronous_rpm;
    if (!(slip > 0 && slip < slip_most))
        return refuse(findings, "motor.nameplate.speed",
                      fmt::format("speed is {:g} rpm, but a motor of {} poles at {:g} Hz turns at {:g} rpm "
                                  "without load; expected a speed a little below that",
                                  plate.speed_rpm, motor.poles, plate.frequency_hz, synchronous_rpm));
    check_figures(findings, plate, slip);
    check_starting(findings, plate);
    if (motor.has_circuit) check_circuit(findings, motor, synchronous_rpm, slip);
}

}  // namespace freshet::config
