// The dictionary of signals between station and controller: one name, kind and unit each.
// Field maps, the plant and the reader all use this dictionary.
// One reason to change: a signal that comes or goes.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace freshet::config {

inline constexpr std::size_t pumps_max = 8;

enum class SignalKind : std::uint8_t { analog, digital, number };

struct SignalDefinition {
    std::string_view name;  ///< as in a field map; for a pump's signal "pump_N." precedes the name
    SignalKind kind;
    std::string_view unit;  ///< SI; "" for bits and numbers
    std::string_view meaning;
};

/// Signals of the station as a whole.
enum class StationSignal : std::uint8_t {
    plant_time,
    level_1_loop,
    level_2_loop,
    level_1,
    level_2,
    header_pressure_loop,
    header_pressure,
    station_flow,
    high_float,
    low_float,
    emergency_stop,
    on_generator,
    line_voltage,
    line_frequency,
    drive_ready,
    drive_running,
    drive_tripped,
    drive_in_sync,
    drive_output_closed,
    drive_frequency,
    drive_voltage,
    drive_angle,
    emergency_stop_reset,
    count
};

inline constexpr std::array<SignalDefinition, static_cast<std::size_t>(StationSignal::count)> station_signals{
    {
        {"plant_time", SignalKind::number, "ms", "bench only: the plant's clock, Unix milliseconds"},
        {"level_1_loop", SignalKind::analog, "mA", "first level transmitter, loop current"},
        {"level_2_loop", SignalKind::analog, "mA", "second level transmitter, loop current"},
        {"level_1", SignalKind::analog, "m",
         "first level transmitter, where the site gives level and no loop current"},
        {"level_2", SignalKind::analog, "m",
         "second level transmitter, where the site gives level and no loop current"},
        {"header_pressure_loop", SignalKind::analog, "mA", "header pressure transmitter, loop current"},
        {"header_pressure", SignalKind::analog, "m",
         "header pressure head, where the site gives pressure and no loop current"},
        {"station_flow", SignalKind::analog, "m3/s", "flow meter on the main, for the record"},
        {"high_float", SignalKind::digital, "", "backup float, on above its level"},
        {"low_float", SignalKind::digital, "", "backup float, on above its level; off means nearly dry"},
        {"emergency_stop", SignalKind::digital, "", "emergency stop operated"},
        {"on_generator", SignalKind::digital, "", "standby generator feeds the line"},
        {"line_voltage", SignalKind::analog, "V", "line to line, rms"},
        {"line_frequency", SignalKind::analog, "Hz", ""},
        {"drive_ready", SignalKind::digital, "", "drive healthy and may be run"},
        {"drive_running", SignalKind::digital, "", "drive output energised"},
        {"drive_tripped", SignalKind::digital, "", ""},
        {"drive_in_sync", SignalKind::digital, "", "drive's own claim that it matches the line"},
        {"drive_output_closed", SignalKind::digital, "", "drive output contactor, auxiliary contact"},
        {"drive_frequency", SignalKind::analog, "Hz", "drive output"},
        {"drive_voltage", SignalKind::analog, "V", "drive output, line to line, rms"},
        {"drive_angle", SignalKind::analog, "deg", "drive output ahead of the line, -180 to 180"},
        {"emergency_stop_reset", SignalKind::digital, "",
         "reset button of the emergency stop, on while somebody presses the button"},
    }};

/// Signals that each pump has.
enum class PumpSignal : std::uint8_t {
    drive_side_closed,
    line_side_closed,
    tripped,
    seal_leak,
    selector,
    current,
    winding_temperature,
    count
};

inline constexpr std::array<SignalDefinition, static_cast<std::size_t>(PumpSignal::count)> pump_signals{{
    {"drive_side_closed", SignalKind::digital, "", "drive-side contactor, auxiliary contact"},
    {"line_side_closed", SignalKind::digital, "", "line-side contactor, auxiliary contact"},
    {"tripped", SignalKind::digital, "", "motor protection or local trip"},
    {"seal_leak", SignalKind::digital, "", ""},
    {"selector", SignalKind::number, "", "0 off, 1 hand, 2 automatic"},
    {"current", SignalKind::analog, "A", "motor current, rms"},
    {"winding_temperature", SignalKind::analog, "K", "hottest winding"},
}};

/// Flat index over all signals: station signals first, then pump 1's, pump 2's, ...
using SignalIndex = std::uint8_t;
inline constexpr std::size_t signal_count = station_signals.size() + pumps_max * pump_signals.size();

constexpr SignalIndex index_of(StationSignal signal) {
    return static_cast<SignalIndex>(signal);
}
/// `pump` counts from zero.
constexpr SignalIndex index_of(std::size_t pump, PumpSignal signal) {
    return static_cast<SignalIndex>(station_signals.size() + pump * pump_signals.size() +
                                    static_cast<std::size_t>(signal));
}

constexpr const SignalDefinition& definition_of(SignalIndex signal) {
    return signal < station_signals.size()
               ? station_signals[signal]
               : pump_signals[(signal - station_signals.size()) % pump_signals.size()];
}
/// The name of a signal in a field map: "level_1", "pump_2.line_side_closed".
inline std::string signal_name(SignalIndex signal) {
    const std::string own(definition_of(signal).name);
    if (signal < station_signals.size()) return own;
    const std::size_t pump = (signal - station_signals.size()) / pump_signals.size();
    return "pump_" + std::to_string(pump + 1) + "." + own;
}

/// The readings of one instant by SignalIndex, in the dictionary's units. NaN: there is no reading. Bits are
/// 0 or 1.
using Readings = std::array<double, signal_count>;

}  // namespace freshet::config
