// What the controller sees in one scan: every signal with its quality, its cause and when it was read.
// One reason to change: a signal that the logic needs.
//
// The least inputs that lead out of service `waiting` are two-state signals:
//   - `drive.running`, `drive.tripped` and `drive.output_closed`;
//   - `drive_side_closed` and `line_side_closed` of every pump up to Settings::pump_count.
// Each must be read again and again: `quality` good or uncertain, and `read_ms` no older than
// Settings::signal.stale_ms. When that has lasted for Settings::restart.settle_ms, the controller takes over
// what it sees. The time begins again when one signal is missing for a scan. A poor line blocks: while the
// line's voltage or frequency is read and outside Settings::supply, the controller waits. A line that is not
// read does not block.
//
// Out of `waiting` no pump starts yet. A start asks for more: a measured value (or the floats), a selector
// that is read at `automatic`, and the pump's `tripped` read as false (or its cause `not_fitted`).
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>

namespace freshet::core {

inline constexpr std::size_t pumps_max = 8;
inline constexpr std::size_t transmitters_max = 2;

enum class Quality : std::uint8_t { good, uncertain, bad };

/// Why a quality is not good.
enum class Cause : std::uint8_t {
    none,
    never_read,
    not_fitted,
    stale,
    link_lost,
    device_exception,
    undecodable,
    under_range,
    over_range,
    implausible_rate,
    frozen,
    disagrees,
    substituted
};

inline constexpr std::int64_t never_ms = std::numeric_limits<std::int64_t>::min() / 2;

/// A measured value. `read_ms` is station time of the reading, so age is the scan's time less it. Where the
/// last answer was missed, value, time and quality stand as they were and the cause says what was missing;
/// once the reading is too old, that cause tells why.
struct Analog {
    double value = 0;
    std::int64_t read_ms = never_ms;
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
};

/// A two-state signal. Which way `on` is true stands beside each signal.
struct Digital {
    std::int64_t read_ms = never_ms;
    bool on = false;
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
};

/// A 4-20 mA transmitter: `loop_ma` where the site gives the loop current (then `value` is derived by the
/// core from the transmitter's range), or NaN where the site gives the value itself.
struct Transmitter {
    Analog reading;  ///< value in m (level or head)
    double loop_ma = std::numeric_limits<double>::quiet_NaN();
};

enum class Selector : std::uint8_t { off, hand, automatic };

struct PumpInputs {
    Digital drive_side_closed;  ///< true: the contactor between drive output and motor is closed
    Digital line_side_closed;   ///< true: the contactor between line and motor is closed
    Digital tripped;            ///< true: the motor protection has tripped
    Digital seal_leak;          ///< true: the seal leaks
    Analog current_a, winding_temperature_k;
    Selector selector = Selector::off;
    Quality selector_quality = Quality::bad;
    std::int64_t selector_read_ms = never_ms;
};

struct DriveInputs {
    Digital ready;          ///< true: the drive can be started; not read: no objection
    Digital running;        ///< true: the drive feeds its output, at any speed; false: its output is dead
    Digital tripped;        ///< true: the drive has tripped
    Digital in_sync;        ///< true: the drive says that its output matches the line
    Digital output_closed;  ///< true: the drive output contactor is closed
    Analog frequency_hz, voltage_v;
    Analog angle_deg;  ///< drive output ahead of the line, -180..180
};

struct LineInputs {
    Analog voltage_v, frequency_hz;
    Digital on_generator;  ///< true: a generator feeds the station; not read: the utility does
};

/// What people decide about one alarm.
enum class AlarmOrder : std::uint8_t {
    none,
    acknowledge,
    shelve,  ///< set aside for a time
    unshelve,
    take_out_of_service,  ///< set aside until somebody returns it
    return_to_service
};

/// What people at the controller's own panel ask for in this scan. It concerns alarms only: pumps are never
/// commanded here.
struct OperatorInputs {
    bool acknowledge_all = false;
    AlarmOrder order = AlarmOrder::none;
    std::uint8_t alarm = 0;      ///< a StationAlarm, or a PumpAlarm when a pump is named
    std::uint8_t pump = 0xFF;    ///< counts from zero; no_pump: an alarm of the station
    std::int32_t shelve_ms = 0;  ///< with shelve
    bool asks() const noexcept { return acknowledge_all || order != AlarmOrder::none; }
};

/// Everything of one scan. `time_ms` is station time (Unix milliseconds), set by the caller, never going
/// back.
struct Inputs {
    std::int64_t time_ms = never_ms;
    std::array<Transmitter, transmitters_max> level;  ///< the duty's level transmitters
    Transmitter header_pressure;                      ///< the measured value of the pressure duty
    Analog station_flow_m3s;
    Digital high_float;      ///< true: wet, the water has reached the high float
    Digital low_float;       ///< true: wet, the water is above the low float; false: nearly dry
    Digital emergency_stop;  ///< true: the emergency stop is operated
    DriveInputs drive;
    LineInputs line;
    std::array<PumpInputs, pumps_max> pumps;
    OperatorInputs people;
};

/// Age of a signal in a scan; at least zero. A signal never read is as old as station time allows.
template <class Signal>
constexpr std::int64_t age_ms(const Signal& signal, std::int64_t now_ms) {
    return signal.read_ms == never_ms ? std::numeric_limits<std::int64_t>::max()
                                      : (now_ms > signal.read_ms ? now_ms - signal.read_ms : 0);
}

}  // namespace freshet::core
