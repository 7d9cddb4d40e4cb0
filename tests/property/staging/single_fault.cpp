// Draws storms with one fault; see the header.
#include "tests/property/staging/single_fault.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <sstream>
#include <string_view>
#include <vector>

#include "config/devices.hpp"
#include "tests/property/staging/random_inflow.hpp"
#include "tests/property/staging/seconds.hpp"

namespace freshet::staging_campaign {
namespace {

using config::DeviceClass;
using config::FaultKind;

/// Devices that fail alike. `holds` says whether a device belongs to the sort.
struct Sort {
    std::string_view name;
    DeviceClass device;
    bool (*holds)(std::string_view device);
};

bool is_float(std::string_view device) {
    return device == "high_float" || device == "low_float";
}
bool is_any(std::string_view) {
    return true;
}

constexpr std::array sorts{
    Sort{"transmitter", DeviceClass::transmitter, is_any},
    Sort{"float", DeviceClass::bit, is_float},
    Sort{"bit", DeviceClass::bit, [](std::string_view device) { return !is_float(device); }},
    Sort{"measurement", DeviceClass::analog, is_any},
    Sort{"emergency stop", DeviceClass::emergency_stop, is_any},
    Sort{"drive output", DeviceClass::contactor,
         [](std::string_view device) { return device == "drive_output"; }},
    Sort{"drive side", DeviceClass::contactor,
         [](std::string_view device) { return device.ends_with(".drive_side"); }},
    Sort{"line side", DeviceClass::contactor,
         [](std::string_view device) { return device.ends_with(".line_side"); }},
    Sort{"drive", DeviceClass::drive, is_any},
    Sort{"pump", DeviceClass::pump, is_any},
    Sort{"line", DeviceClass::line, is_any},
    Sort{"link", DeviceClass::link, is_any}};

struct SortAndKind {
    const Sort* sort;
    FaultKind kind;
};

const std::vector<SortAndKind>& every_kind() {
    static const std::vector<SortAndKind> all = [] {
        std::vector<SortAndKind> list;
        for (const Sort& sort : sorts)
            for (const FaultKind kind : config::faults_of(sort.device)) list.push_back({&sort, kind});
        return list;
    }();
    return all;
}

/// True when the station has the device and somebody reads the device. People press the reset button, no fault
/// does.
bool is_there(const RandomStation& station, std::string_view device) {
    if (device == "level_2") return station.given.instruments.level.size() > 1;
    if (device == "station_flow") return station.flow_meter;
    return device != "header_pressure" && device != "emergency_stop_reset";
}

std::string draw_device(Dice& dice, const RandomStation& station, const Sort& sort) {
    std::vector<std::string> candidates;
    for (const std::string& name : config::device_names(station.given.pump_count)) {
        const auto device = config::find_device(name, station.given.pump_count);
        if (device && device->kind_of_device == sort.device && sort.holds(name) && is_there(station, name))
            candidates.push_back(name);
    }
    return candidates.at(dice.below(candidates.size()));
}

/// A usual size of the signal that a measurement carries, in the signal's unit.
double size_of(const RandomStation& station, const config::Device& device) {
    const std::string_view unit = config::definition_of(device.signal).unit;
    if (device.kind_of_device == DeviceClass::transmitter)
        return station.settings.marks.stage_up_m - station.settings.marks.stop_m;
    if (unit == "V") return station.given.supply.voltage_v;
    if (unit == "Hz") return station.given.supply.frequency_hz;
    if (unit == "m3/s") return station.capacity.full_m3s(1, reference_level_m(station));
    constexpr double other = 60;  // degrees, kelvin, amperes
    return other;
}

/// The headers of transmitter, wires, contactor, drive and line give the meaning of an amount for each kind.
double draw_amount(Dice& dice, const RandomStation& station, FaultKind kind, const config::Device& device) {
    const double size = size_of(station, device);
    const double sign = dice.chance(0.5) ? 1 : -1;
    switch (kind) {
        case FaultKind::offset:
            return sign * dice.between(0.1, 0.6) * size;
        case FaultKind::drift:
            return sign * dice.decades(1e-4, 1e-2) * size;
        case FaultKind::spike:
            return sign * dice.between(0.3, 1.0) * size;
        case FaultKind::lagging:
            return dice.decades(5, 60);
        case FaultKind::drops_out:
            // For a transmitter the share of the time with an open loop, for a wire half a period in seconds.
            return device.kind_of_device == DeviceClass::transmitter ? dice.between(0.1, 0.9)
                                                                     : dice.decades(0.5, 20);
        case FaultKind::closes_late:
            return dice.between(0.05, 2);
        case FaultKind::slips_out_of_sync:
            return dice.between(0.05, 0.5);
        case FaultKind::blocked:
            return dice.between(0.3, 0.9);
        case FaultKind::worn:
            return dice.between(0.1, 0.5);
        case FaultKind::dip:
            return dice.between(0.1, 0.9);
        case FaultKind::wander:
            return dice.between(0.02, 0.3);
        case FaultKind::link_slow:
            return dice.decades(0.1, 3);
        case FaultKind::link_garbled:
            return dice.between(0.2, 1.0);
        case FaultKind::selector_hand:
            return dice.chance(0.5) ? 1 : 0;
        default:
            return 0;
    }
}

/// How long a fault lasts, s; zero: to the end of the run.
double draw_duration_s(Dice& dice, FaultKind kind, DeviceClass device) {
    const bool stops_all =
        device == DeviceClass::emergency_stop || device == DeviceClass::link || kind == FaultKind::lost;
    const bool to_the_end = dice.chance(1.0 / 3);
    if (kind == FaultKind::dip) return dice.decades(0.05, 5);
    if (stops_all) return dice.decades(2, 300);
    return to_the_end ? 0 : dice.decades(20, 1800);
}

/// The inflow of a storm, and its rises.
struct StormCurve {
    struct Rise {
        double begins_s = 0, crest_s = 0, falls_s = 0;
    };
    std::vector<config::SeriesPoint> inflow_m3s;
    std::vector<Rise> rises;
    double ends_s() const { return inflow_m3s.back().t_s - 1; }
    void hold(double for_s) { ramp(inflow_m3s.back().value, for_s); }
    void ramp(double to_m3s, double for_s) {
        inflow_m3s.push_back({inflow_m3s.back().t_s + std::max(1.0, std::round(for_s)), to_m3s});
    }
};

/// A mild storm has one slow rise, a hard storm two or three quick rises.
StormCurve draw_storm(Dice& dice, const RandomStation& station, bool hard) {
    const double level_m = reference_level_m(station);
    const double needed_m3s = station.capacity.full_m3s(station.given.pump_count - 1U, level_m);
    const double unit_s =
        std::clamp(station.volume_m3 / station.capacity.full_m3s(1, level_m), 180.0, 1800.0);
    StormCurve storm;
    storm.inflow_m3s = {{0, dice.between(0.02, 0.25) * needed_m3s}};
    const std::size_t rises = hard ? 2 + dice.below(2) : 1;
    for (std::size_t i = 0; i < rises; ++i) {
        const double before_m3s = storm.inflow_m3s.back().value;
        storm.hold(dice.between(1, 2) * unit_s);
        StormCurve::Rise rise{storm.inflow_m3s.back().t_s, 0, 0};
        storm.ramp((hard ? dice.between(0.85, 1.0) : dice.between(0.3, 0.75)) * needed_m3s,
                   hard ? dice.decades(1, 90) : dice.decades(300, 3600));
        rise.crest_s = storm.inflow_m3s.back().t_s;
        storm.hold(dice.between(0.7, 2) * unit_s);
        rise.falls_s = storm.inflow_m3s.back().t_s;
        storm.rises.push_back(rise);
        storm.ramp(before_m3s, dice.decades(10, 600));
    }
    storm.hold(unit_s);
    storm.hold(1);
    return storm;
}

/// Half of the faults begin while pumps come on: from a minute before a rise to two minutes after its end. The
/// others begin at any instant to the end of the last crest.
double draw_instant_s(Dice& dice, const StormCurve& storm) {
    constexpr double before_s = 60, after_s = 120;
    const StormCurve::Rise& rise = storm.rises[dice.below(storm.rises.size())];
    if (dice.chance(0.5)) return dice.between(rise.begins_s - before_s, rise.crest_s + after_s);
    return dice.between(0.7 * storm.rises.front().begins_s, storm.rises.back().falls_s);
}

/// A person resets a minute after an emergency stop has ended.
void add_reset(config::Scenario& scenario, const config::Fault& fault) {
    constexpr double until_reset_s = 60;
    if (fault.device == "emergency_stop" && fault.kind != FaultKind::stuck_off)
        scenario.people.push_back({fault.begins_s + fault.lasts_s + until_reset_s});
}

}  // namespace

std::size_t fault_kind_count() {
    return every_kind().size();
}

std::string name_of_fault_kind(std::size_t kind) {
    const SortAndKind& one = every_kind().at(kind);
    return std::string{one.sort->name} + " " + std::string{config::word_for(one.kind)};
}

StormWithFault storm_with_fault(const RandomStation& station, std::uint64_t seed) {
    constexpr std::uint64_t for_faults = 4;
    Dice dice(seed, for_faults);
    const std::uint64_t number = seed - 1, kinds = fault_kind_count();
    StormWithFault storm;
    storm.kind = number % kinds;
    // Each round of kinds turns the storm of every kind.
    storm.hard = (number % kinds + number / kinds) % 2 == 1;
    const StormCurve curve = draw_storm(dice, station, storm.hard);
    const core::Settings::Marks& marks = station.settings.marks;
    storm.scenario =
        inflow_scenario(curve.inflow_m3s, curve.ends_s(), dice.between(marks.stop_m, marks.stage_up_m), seed);

    const SortAndKind& drawn = every_kind()[storm.kind];
    config::Fault fault;
    fault.kind = drawn.kind;
    fault.device = draw_device(dice, station, *drawn.sort);
    const config::Device device = *config::find_device(fault.device, station.given.pump_count);
    fault.amount = draw_amount(dice, station, fault.kind, device);
    fault.begins_s = draw_instant_s(dice, curve);
    fault.lasts_s = draw_duration_s(dice, fault.kind, device.kind_of_device);
    storm.begins_s = fault.begins_s;
    storm.scenario.faults.push_back(fault);
    add_reset(storm.scenario, fault);
    return storm;
}

StormWithFault without_fault(StormWithFault storm) {
    storm.scenario.faults.clear();
    storm.scenario.people.clear();
    return storm;
}

std::string described(const config::Fault& fault) {
    std::ostringstream text;
    text << fault.device << " " << config::word_for(fault.kind) << " " << fault.amount << " from "
         << fault.begins_s << " s";
    if (fault.lasts_s > 0) text << " for " << fault.lasts_s << " s";
    return text.str();
}

}  // namespace freshet::staging_campaign
