// Which devices a fault may name, and which kinds of fault each device takes. Pure tables: the loader checks
// a scenario by these tables, the plant routes faults by these tables, and an instructor can list them.
// One reason to change: a device that can fail, or a new way for it to fail.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "config/scenario.hpp"
#include "config/signals.hpp"

namespace freshet::config {

enum class DeviceClass : std::uint8_t {
    transmitter,  ///< "level_1", "level_2", "header_pressure": an instrument with a loop
    analog,       ///< any other analog signal, by its dictionary name: the fault changes the reading alone
    bit,          ///< any digital signal, by its dictionary name: the fault changes the reading alone
    emergency_stop,
    contactor,  ///< "drive_output", "pump_N.drive_side", "pump_N.line_side"
    drive,
    pump,
    line,
    link
};

struct Device {
    DeviceClass kind_of_device = DeviceClass::bit;
    std::uint8_t pump = 0xFF;  ///< counts from zero; 0xFF: a device of the station as a whole
    SignalIndex signal = 0;    ///< the signal that carries it (contactors: its auxiliary contact)

    friend bool operator==(const Device&, const Device&) = default;
};

inline constexpr std::array transmitter_faults{
    FaultKind::dead,        FaultKind::frozen,    FaultKind::erratic, FaultKind::offset,
    FaultKind::lagging,     FaultKind::drops_out, FaultKind::drift,   FaultKind::spike,
    FaultKind::under_range, FaultKind::over_range};
inline constexpr std::array analog_faults{FaultKind::dead,   FaultKind::frozen, FaultKind::erratic,
                                          FaultKind::offset, FaultKind::drift,  FaultKind::drops_out,
                                          FaultKind::spike};
inline constexpr std::array bit_faults{FaultKind::stuck_on, FaultKind::stuck_off, FaultKind::frozen,
                                       FaultKind::dead};
inline constexpr std::array emergency_stop_faults{FaultKind::emergency_stop, FaultKind::stuck_on,
                                                  FaultKind::stuck_off};
inline constexpr std::array contactor_faults{FaultKind::does_not_close, FaultKind::does_not_open,
                                             FaultKind::closes_late, FaultKind::lies_closed,
                                             FaultKind::lies_open};
inline constexpr std::array drive_faults{FaultKind::trip, FaultKind::never_in_sync,
                                         FaultKind::slips_out_of_sync, FaultKind::loses_reference,
                                         FaultKind::not_ready};
inline constexpr std::array pump_faults{FaultKind::trip,         FaultKind::blocked,
                                        FaultKind::worn,         FaultKind::valve_stuck_open,
                                        FaultKind::selector_off, FaultKind::selector_hand};
inline constexpr std::array line_faults{FaultKind::dip, FaultKind::wander, FaultKind::lost,
                                        FaultKind::generator};
inline constexpr std::array link_faults{FaultKind::link_lost, FaultKind::link_slow, FaultKind::link_garbled};

/// The kinds of fault that a device of this class takes.
constexpr std::span<const FaultKind> faults_of(DeviceClass device) {
    switch (device) {
        case DeviceClass::transmitter:
            return transmitter_faults;
        case DeviceClass::analog:
            return analog_faults;
        case DeviceClass::bit:
            return bit_faults;
        case DeviceClass::emergency_stop:
            return emergency_stop_faults;
        case DeviceClass::contactor:
            return contactor_faults;
        case DeviceClass::drive:
            return drive_faults;
        case DeviceClass::pump:
            return pump_faults;
        case DeviceClass::line:
            return line_faults;
        case DeviceClass::link:
            return link_faults;
    }
    return {};
}

constexpr bool takes(DeviceClass device, FaultKind kind) {
    const auto kinds = faults_of(device);
    return std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
}

/// The word for a kind of fault in a scenario file and in an instructor's order.
constexpr std::string_view word_for(FaultKind kind) {
    constexpr std::array<std::string_view, static_cast<std::size_t>(FaultKind::selector_hand) + 1> words{
        "dead",
        "frozen",
        "erratic",
        "offset",
        "lagging",
        "drops_out",
        "drift",
        "spike",
        "under_range",
        "over_range",
        "stuck_on",
        "stuck_off",
        "does_not_close",
        "does_not_open",
        "closes_late",
        "lies_closed",
        "lies_open",
        "trip",
        "never_in_sync",
        "slips_out_of_sync",
        "loses_reference",
        "not_ready",
        "blocked",
        "worn",
        "valve_stuck_open",
        "dip",
        "wander",
        "lost",
        "generator",
        "link_lost",
        "link_slow",
        "link_garbled",
        "emergency_stop",
        "selector_off",
        "selector_hand"};
    return words[static_cast<std::size_t>(kind)];
}

/// The kind of fault that an earlier version called by this word; a refusal then names the present word.
constexpr std::optional<FaultKind> kind_once_called(std::string_view word) {
    if (word == "off") return FaultKind::dead;
    if (word == "stuck") return FaultKind::frozen;
    if (word == "garbage") return FaultKind::erratic;
    if (word == "slow") return FaultKind::lagging;
    if (word == "intermittent") return FaultKind::drops_out;
    return std::nullopt;
}

/// The device of this name; nothing when no device has the name, or the station has fewer pumps.
constexpr std::optional<Device> find_device(std::string_view name, std::size_t pump_count) {
    if (name == "drive") return Device{DeviceClass::drive};
    if (name == "line") return Device{DeviceClass::line};
    if (name == "link") return Device{DeviceClass::link};
    if (name == "level_1")
        return Device{DeviceClass::transmitter, 0xFF, index_of(StationSignal::level_1_loop)};
    if (name == "level_2")
        return Device{DeviceClass::transmitter, 0xFF, index_of(StationSignal::level_2_loop)};
    if (name == "header_pressure")
        return Device{DeviceClass::transmitter, 0xFF, index_of(StationSignal::header_pressure_loop)};
    if (name == "emergency_stop")
        return Device{DeviceClass::emergency_stop, 0xFF, index_of(StationSignal::emergency_stop)};
    if (name == "drive_output")
        return Device{DeviceClass::contactor, 0xFF, index_of(StationSignal::drive_output_closed)};
    constexpr std::string_view prefix = "pump_";
    if (name.starts_with(prefix) && name.size() > prefix.size()) {
        const char digit = name[prefix.size()];
        if (digit < '1' || digit > '9') return std::nullopt;
        const auto pump = static_cast<std::size_t>(digit - '1');
        if (pump >= pump_count || pump >= pumps_max) return std::nullopt;
        const auto number = static_cast<std::uint8_t>(pump);
        const std::string_view rest = name.substr(prefix.size() + 1);
        if (rest.empty()) return Device{DeviceClass::pump, number};
        if (rest[0] != '.') return std::nullopt;
        const std::string_view part = rest.substr(1);
        if (part == "drive_side")
            return Device{DeviceClass::contactor, number, index_of(pump, PumpSignal::drive_side_closed)};
        if (part == "line_side")
            return Device{DeviceClass::contactor, number, index_of(pump, PumpSignal::line_side_closed)};
        for (std::size_t i = 0; i < pump_signals.size(); ++i) {
            if (part != pump_signals[i].name || pump_signals[i].kind == SignalKind::number) continue;
            return Device{pump_signals[i].kind == SignalKind::analog ? DeviceClass::analog : DeviceClass::bit,
                          number, index_of(pump, static_cast<PumpSignal>(i))};
        }
        return std::nullopt;
    }
    for (std::size_t i = 0; i < station_signals.size(); ++i) {
        if (name != station_signals[i].name || station_signals[i].kind == SignalKind::number) continue;
        const auto signal = static_cast<StationSignal>(i);
        if (signal == StationSignal::level_1_loop || signal == StationSignal::level_2_loop ||
            signal == StationSignal::header_pressure_loop)
            return std::nullopt;  // a fault names the instrument, not its wire
        return Device{station_signals[i].kind == SignalKind::analog ? DeviceClass::analog : DeviceClass::bit,
                      0xFF, static_cast<SignalIndex>(i)};
    }
    return std::nullopt;
}

/// Every device name of a station with `pump_count` pumps, for lists and for the nearest known name.
inline std::vector<std::string> device_names(std::size_t pump_count) {
    std::vector<std::string> names{"drive",   "drive_output", "line",           "link",
                                   "level_1", "level_2",      "header_pressure"};
    for (const SignalDefinition& signal : station_signals) {
        const std::string name{signal.name};
        const bool listed = std::find(names.begin(), names.end(), name) != names.end();
        if (!listed && find_device(name, pump_count)) names.push_back(name);
    }
    for (std::size_t pump = 0; pump < std::min(pump_count, pumps_max); ++pump) {
        const std::string name = "pump_" + std::to_string(pump + 1);
        names.push_back(name);
        names.push_back(name + ".drive_side");
        names.push_back(name + ".line_side");
        for (const SignalDefinition& signal : pump_signals)
            if (signal.kind != SignalKind::number) names.push_back(name + "." + std::string{signal.name});
    }
    return names;
}

}  // namespace freshet::config
