// What the controller sees in one scan: every signal with its quality, its cause and when it was read.
// One reason to change: a signal that the logic needs.
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

/// A two-state signal.
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
    Digital drive_side_closed, line_side_closed, tripped, seal_leak;
    Analog current_a, winding_temperature_k;
    Selector selector = Selector::off;
    Quality selector_quality = Quality::bad;
    std::int64_t selector_read_ms = never_ms;
};

struct DriveInputs {
    Digital ready, running, tripped, in_sync, output_closed;
    Analog frequency_hz, voltage_v;
    Analog angle_deg;  ///< drive output ahead of the line, -180..180
};

struct LineInputs {
    Analog voltage_v, frequency_hz;
    Digital on_generator;
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
    Digital high_float, low_float, emergency_stop;
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
