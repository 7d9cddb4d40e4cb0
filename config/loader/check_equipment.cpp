// Checks of one piece of equipment against itself.
// One reason to change: a contradiction that one table can hold.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "config/engineering/derive.hpp"
#include "config/loader/checks.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {
namespace {

/// Refuses an error at "curve[2].head" of a table.
template <class... Values>
void refuse(Source& source, const Node& table, std::string_view path, fmt::format_string<Values...> format,
            Values&&... values) {
    source.error(place_of(table, path), fmt::format(format, std::forward<Values>(values)...));
}

/// The one reason for which a list has too few or too many points.
void check_count(Source& source, const Node& table, std::string_view key, std::size_t count,
                 std::size_t least, std::size_t most) {
    if (count < least || count > most)
        refuse(source, table, key, "{} has {} points; {} to {} were expected", key, count, least, most);
}

}  // namespace

void check_well(Source& source, const Node& table, const Well& well) {
    const auto& storage = well.storage;
    check_count(source, table, "storage", storage.size(), 2, core::store_points_max);
    for (std::size_t i = 1; i < storage.size(); ++i) {
        if (!(storage[i].level_m > storage[i - 1].level_m))
            refuse(source, table, fmt::format("storage[{}].level", i),
                   "storage: level goes from {:g} to {:g} m; levels that rise were expected",
                   storage[i - 1].level_m, storage[i].level_m);
        if (!(storage[i].volume_m3 > storage[i - 1].volume_m3))
            refuse(
                source, table, fmt::format("storage[{}].volume", i),
                "storage: volume goes from {:g} to {:g} m3; volumes that rise with the level were expected",
                storage[i - 1].volume_m3, storage[i].volume_m3);
    }
    const double floor_m = storage.front().level_m, top_m = storage.back().level_m;
    if (!(well.overflow_level_m > floor_m && well.overflow_level_m < top_m))
        refuse(source, table, "overflow_level",
               "overflow_level is {:g} m; a level within the storage table, above {:g} and below {:g} m, was "
               "expected",
               well.overflow_level_m, floor_m, top_m);
    if (well.vortex_level_m < floor_m || well.vortex_level_m >= well.overflow_level_m)
        refuse(source, table, "vortex_level",
               "vortex_level is {:g} m; a level from the floor at {:g} m to below the overflow at {:g} m was "
               "expected",
               well.vortex_level_m, floor_m, well.overflow_level_m);
    if (well.suction_level_m >= well.overflow_level_m)
        refuse(source, table, "suction_level",
               "suction_level is {:g} m; a level below the overflow at {:g} m was expected",
               well.suction_level_m, well.overflow_level_m);
}

void check_pump(Source& source, const Node& table, const PumpType& pump) {
    const auto& curve = pump.curve;
    check_count(source, table, "curve", curve.size(), 3, core::curve_points_max);
    if (curve.front().flow_m3s != 0)
        refuse(source, table, "curve[0].flow",
               "curve: the first flow is {:g} m3/s; 0, the shut-off point, was expected",
               curve.front().flow_m3s);
    for (std::size_t i = 1; i < curve.size(); ++i) {
        const PumpPoint &before = curve[i - 1], &point = curve[i];
        if (!(point.flow_m3s > before.flow_m3s))
            refuse(source, table, fmt::format("curve[{}].flow", i),
                   "curve: flow goes from {:g} to {:g} m3/s; flows that rise were expected", before.flow_m3s,
                   point.flow_m3s);
        if (!(point.head_m < before.head_m))
            refuse(source, table, fmt::format("curve[{}].head", i),
                   "curve: head goes from {:g} to {:g} m as the flow rises; a head that falls was expected",
                   before.head_m, point.head_m);
        if (!(point.efficiency > 0))
            refuse(source, table, fmt::format("curve[{}].efficiency", i),
                   "curve: efficiency is 0 at {:g} m3/s; above 0 was expected", point.flow_m3s);
    }
    if (!(curve.back().head_m >= 0))
        refuse(source, table, fmt::format("curve[{}].head", curve.size() - 1),
               "curve: the last head is {:g} m; at least 0 was expected", curve.back().head_m);
    if (!(pump.minimum_flow_m3s < curve.back().flow_m3s))
        refuse(source, table, "minimum_flow",
               "minimum_flow is {:g} m3/s; less than the curve's last flow, {:g} m3/s, was expected",
               pump.minimum_flow_m3s, curve.back().flow_m3s);
}

void check_main(Source& source, const Node& table, const Main& main) {
    constexpr double roughest = 0.05;  // the limit of Colebrook's experiments and of the Moody chart
    for (std::size_t i = 0; i < main.reaches.size(); ++i) {
        const Reach& reach = main.reaches[i];
        if (reach.friction == Friction::darcy_weisbach && reach.roughness_m > roughest * reach.diameter_m)
            refuse(source, table, fmt::format("reach[{}].roughness", i),
                   "roughness is {:g} mm in a bore of {:g} m; at most a twentieth of the bore was expected",
                   reach.roughness_m * 1000, reach.diameter_m);
    }
}

void check_drive(Source& source, const Node& table, const Drive& drive) {
    for (std::size_t i = 1; i < drive.efficiency.size(); ++i)
        if (!(drive.efficiency[i].load_ratio > drive.efficiency[i - 1].load_ratio))
            refuse(source, table, fmt::format("efficiency[{}].load", i),
                   "efficiency: load goes from {:g} to {:g}; loads that rise were expected",
                   drive.efficiency[i - 1].load_ratio, drive.efficiency[i].load_ratio);
}

void check_instruments(Source& source, const Node& table, const Instruments& instruments) {
    check_count(source, table, "level", instruments.level.size(), 0, core::transmitters_max);
    for (std::size_t i = 0; i < instruments.level.size(); ++i)
        if (!(instruments.level[i].level_at_20ma_m > instruments.level[i].level_at_4ma_m))
            refuse(source, table, fmt::format("level[{}].at_20ma", i),
                   "at_20ma is {:g} m; more than at_4ma, {:g} m, was expected",
                   instruments.level[i].level_at_20ma_m, instruments.level[i].level_at_4ma_m);
    if (find(table, "header_pressure") != nullptr &&
        !(instruments.pressure_at_20ma_m > instruments.pressure_at_4ma_m))
        refuse(source, table, "header_pressure.at_20ma",
               "at_20ma is {:g} m; more than at_4ma, {:g} m, was expected", instruments.pressure_at_20ma_m,
               instruments.pressure_at_4ma_m);
    if (find(table, "floats") != nullptr && !(instruments.low_float_m < instruments.high_float_m))
        refuse(source, table, "floats.low",
               "the low float is at {:g} m; below the high float at {:g} m was expected",
               instruments.low_float_m, instruments.high_float_m);
}

void check_tariff(Source& source, const Node& bands, const std::vector<TariffBand>& tariff) {
    std::array<int, 24> priced_by{};  // band number from one; zero: none
    for (std::size_t i = 0; i < tariff.size(); ++i) {
        const TariffBand& band = tariff[i];
        if (band.from_h >= band.to_h) {
            refuse(source, bands, fmt::format("[{}].to_hour", i),
                   "to_hour is {}; later than from_hour, {}, was expected", band.to_h, band.from_h);
            continue;
        }
        for (std::size_t hour = band.from_h; hour < band.to_h; ++hour) {
            if (priced_by.at(hour) != 0) {
                refuse(source, bands, fmt::format("[{}].from_hour", i),
                       "hour {} has a price already; bands that do not overlap were expected", hour);
                break;
            }
            priced_by.at(hour) = static_cast<int>(i) + 1;
        }
    }
    const auto* none = std::ranges::find(priced_by, 0);
    if (none != priced_by.end() && source.errors.empty())
        refuse(source, bands, "", "hour {} has no price; bands that fill the day were expected",
               none - priced_by.begin());
}

void check_motor(Source& source, const Node& table, const Motor& motor) {
    const Nameplate& plate = motor.nameplate;
    if (motor.poles % 2 != 0)
        return refuse(source, table, "poles", "poles is {}; an even number was expected", motor.poles);
    const double synchronous_rpm = 120 * plate.frequency_hz / motor.poles;
    // Large machines slip one or two per cent; a tenth is beyond anything that drives a pump.
    constexpr double slip_most = 0.1;
    const double slip = 1 - plate.speed_rpm / synchronous_rpm;
    if (!(slip > 0 && slip < slip_most))
        return refuse(source, table, "nameplate.speed",
                      "speed is {:g} rpm, but {} poles at {:g} Hz turn at {:g} rpm without load; a little "
                      "less than that was expected",
                      plate.speed_rpm, motor.poles, plate.frequency_hz, synchronous_rpm);
    // What is left after the rotor's slip loss is all that any motor can deliver.
    if (plate.efficiency >= 1 - slip)
        refuse(source, table, "nameplate.efficiency",
               "efficiency is {:.1f} %, but a slip of {:.1f} % alone loses more; less than {:.1f} % was "
               "expected",
               plate.efficiency * 100, slip * 100, (1 - slip) * 100);
    if (plate.current_a > 0 && plate.efficiency > 0 && plate.power_factor > 0) {
        constexpr double tolerance = 0.05;  // rounding of three printed figures
        const double reckoned_a =
            plate.power_w / (std::numbers::sqrt3 * plate.voltage_v * plate.power_factor * plate.efficiency);
        if (std::abs(plate.current_a / reckoned_a - 1) > tolerance)
            refuse(source, table, "nameplate.current",
                   "current is {:g} A, but power, voltage, power factor and efficiency make it {:.4g} A; "
                   "agreement within 5 % was expected",
                   plate.current_a, reckoned_a);
    }
    // No cage motor's circuit comes near less: common practice.
    constexpr double locked_rotor_current_least = 2, breakdown_torque_least = 1.2;
    if (plate.locked_rotor_current_ratio > 0 && plate.locked_rotor_current_ratio < locked_rotor_current_least)
        refuse(source, table, "nameplate.locked_rotor_current",
               "locked_rotor_current is {:g} of rated current; at least {:g} was expected",
               plate.locked_rotor_current_ratio, locked_rotor_current_least);
    if (plate.breakdown_torque_ratio > 0 && plate.breakdown_torque_ratio < breakdown_torque_least)
        refuse(source, table, "nameplate.breakdown_torque",
               "breakdown_torque is {:g} of rated torque; at least {:g} was expected",
               plate.breakdown_torque_ratio, breakdown_torque_least);
    if (plate.locked_rotor_torque_ratio > 0 && plate.breakdown_torque_ratio > 0 &&
        plate.locked_rotor_torque_ratio > plate.breakdown_torque_ratio)
        refuse(source, table, "nameplate.locked_rotor_torque",
               "locked_rotor_torque is {:g} of rated torque, more than breakdown_torque at {:g}; no more "
               "than that was expected",
               plate.locked_rotor_torque_ratio, plate.breakdown_torque_ratio);
    if (!motor.has_circuit) return;

    const CircuitPoint rated = circuit_at_rated_power(motor);
    if (rated.slip == 0)
        return refuse(source, table, "circuit",
                      "the circuit never gives the rated {:.4g} kW at {:g} V; one that does was expected",
                      plate.power_w / 1000, plate.voltage_v);
    constexpr double slip_tolerance = 0.25;  // a printed speed is rounded to a few turns a minute
    const double circuit_rpm = synchronous_rpm * (1 - rated.slip);
    if (std::abs(rated.slip / slip - 1) > slip_tolerance)
        refuse(source, table, "nameplate.speed",
               "speed is {:g} rpm, but the circuit gives rated power at {:.1f} rpm; a slip within a quarter "
               "of the circuit's was expected",
               plate.speed_rpm, circuit_rpm);
    constexpr double current_tolerance = 0.1;
    if (plate.current_a > 0 && std::abs(plate.current_a / rated.current_a - 1) > current_tolerance)
        refuse(source, table, "nameplate.current",
               "current is {:g} A, but the circuit takes {:.4g} A at rated power; agreement within 10 % was "
               "expected",
               plate.current_a, rated.current_a);
}

}  // namespace freshet::config
