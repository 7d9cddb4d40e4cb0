// Drive, supply, motor and pump against one another.
// One reason to change: a contradiction between drive, supply, motor and pump.
#include <fmt/format.h>

#include <cmath>
#include <cstddef>

#include "config/engineering/checks.hpp"
#include "config/engineering/derive.hpp"

namespace freshet::config {

void check_drive(Findings& findings, const Drive& drive) {
    for (std::size_t i = 1; i < drive.efficiency.size(); ++i)
        if (!(drive.efficiency[i].load_ratio > drive.efficiency[i - 1].load_ratio))
            refuse(findings, fmt::format("drive.efficiency[{}].load", i),
                   fmt::format("efficiency: a load of {:g} follows one of {:g}; expected loads that rise",
                               drive.efficiency[i].load_ratio, drive.efficiency[i - 1].load_ratio));
}

void check_supply(Findings& findings, const Station& station) {
    const Nameplate& plate = station.motor.nameplate;
    const Supply& supply = station.supply;
    constexpr double voltage_tolerance = 0.1;  // motors are made to run within a tenth of their voltage
    if (std::abs(supply.voltage_v / plate.voltage_v - 1) > voltage_tolerance)
        refuse(findings, "supply.voltage",
               fmt::format(
                   "the supply has {:g} V, but the motor is made for {:g} V; expected agreement within 10 %",
                   supply.voltage_v, plate.voltage_v));
    if (supply.frequency_hz != plate.frequency_hz)
        refuse(findings, "supply.frequency",
               fmt::format(
                   "the supply has {:g} Hz, but the motor is made for {:g} Hz; expected the same frequency",
                   supply.frequency_hz, plate.frequency_hz));
    if (station.drive.frequency_max_hz < supply.frequency_hz)
        refuse(findings, "drive.frequency_max",
               fmt::format("the drive reaches {:g} Hz, but the line has {:g} Hz; expected at least the "
                           "line's frequency, because a motor is handed over at that frequency",
                           station.drive.frequency_max_hz, supply.frequency_hz));
    const double rated_a = rated_current_a(station.motor);
    if (station.drive.current_limit_a < rated_a)
        refuse(findings, "drive.current_limit",
               fmt::format("the drive is limited to {:g} A, but a motor takes {:.4g} A at rated load; "
                           "expected a limit of at least that current",
                           station.drive.current_limit_a, rated_a));
    constexpr double speed_tolerance = 0.05;
    if (std::abs(line_speed_ratio(station) - 1) > speed_tolerance)
        refuse(findings, "pump.rated_speed",
               fmt::format("the pump is rated at {:g} rpm, but its motor turns at {:g} rpm; expected "
                           "agreement within 5 %",
                           station.pump.rated_speed_rpm, plate.speed_rpm));
}

}  // namespace freshet::config
