// The inputs of one scan: every signal with its quality, the cause of that quality, and the age of its
// reading.
// One reason to change: a signal that the logic needs.
//
// To leave service `waiting`, the controller needs at least these two-state signals:
//   - `drive.running`, `drive.tripped` and `drive.output_closed`;
//   - `drive_side_closed` and `line_side_closed` of every pump up to Settings::pump_count.
// Each signal must be read again and again. Its `quality` must be good or uncertain, and its `age_ms` at most
// Settings::signal.stale_ms. When these signals have been known for Settings::restart.settle_ms,
// the controller takes the station over. The time starts again when one signal is missing for a scan. The
// controller also waits while the line's voltage or frequency is read and lies outside Settings::supply. The
// controller does not wait for a line that is not read.
//
// These signals alone do not start a pump. A start also needs a measured value (or the floats), a selector
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

/// Why a quality is not good. Two bytes wide, so that a two-state reading has no unused byte.
enum class Cause : std::uint16_t {
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
    contradicted  ///< by another witness of the water, see contradiction.hpp
};

/// The station time that means "never". Adding or subtracting a time cannot overflow.
inline constexpr std::int64_t never_ms = std::numeric_limits<std::int64_t>::min() / 2;

/// The age of a signal that was never read, ms. Every other age is less.
inline constexpr std::int32_t never_read_ms = std::numeric_limits<std::int32_t>::max();

/// The age, ms, in a scan at `now_ms` of a reading of station time `read_ms`. At least zero, because a reading
/// that is dated after the scan counts as new.
constexpr std::int32_t age_at_ms(std::int64_t now_ms, std::int64_t read_ms) noexcept {
    if (read_ms == never_ms) return never_read_ms;
    const std::int64_t age_ms = now_ms - read_ms;
    if (age_ms >= never_read_ms) return never_read_ms - 1;
    return age_ms > 0 ? static_cast<std::int32_t>(age_ms) : 0;
}

/// A measured value. `age_ms` is the time from the reading to the scan. After a missed answer the value and
/// the quality do not change and the age grows, but the cause names what was missing. When the reading is too
/// old, that cause explains the bad quality.
struct Analog {
    double value = 0;
    std::int32_t age_ms = never_read_ms;
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
};

/// A two-state signal. The comment on each signal says what `on` means.
struct Digital {
    std::int32_t age_ms = never_read_ms;
    bool on = false;
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
};

/// A 4-20 mA transmitter. Where the site gives the loop current, `loop_ma` holds the current, mA, and the
/// core computes the value from the transmitter's range. Where the site gives the value itself, `loop_ma` is
/// NaN.
struct Transmitter {
    Analog reading;  ///< value in m (level or head)
    double loop_ma = std::numeric_limits<double>::quiet_NaN();
};

/// The position of a pump's selector.
enum class Selector : std::uint8_t { off, hand, automatic };

/// A selector as it was read.
struct SelectorReading {
    std::int32_t age_ms = never_read_ms;
    Selector position = Selector::off;
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
};

struct PumpInputs {
    Digital drive_side_closed;  ///< true: the contactor between drive output and motor is closed
    Digital line_side_closed;   ///< true: the contactor between line and motor is closed
    Digital tripped;            ///< true: the motor protection has tripped
    Digital seal_leak;          ///< true: the seal leaks
    SelectorReading selector;
    Analog current_a, winding_temperature_k;
};

struct DriveInputs {
    Digital ready;          ///< true: the drive can be started; unread: counts as true
    Digital running;        ///< true: the drive feeds its output, at any speed; false: its output is dead
    Digital tripped;        ///< true: the drive has tripped
    Digital in_sync;        ///< true: the drive reports that its output matches the line
    Digital output_closed;  ///< true: the drive output contactor is closed
    Analog frequency_hz, voltage_v;
    Analog angle_deg;  ///< drive output ahead of the line, -180..180
};

struct LineInputs {
    Analog voltage_v, frequency_hz;
    Digital on_generator;  ///< true: a generator feeds the station; unread: counts as false
};

/// An order of people about one alarm.
enum class AlarmOrder : std::uint8_t {
    none,
    acknowledge,
    shelve,  ///< hide the alarm for a time
    unshelve,
    take_out_of_service,  ///< hide the alarm until somebody returns it to service
    return_to_service
};

/// The orders of people at the controller's own panel in this scan. The orders concern alarms, and the reset
/// after an emergency stop. Nobody can command a pump here.
struct OperatorInputs {
    bool acknowledge_all = false;
    AlarmOrder order = AlarmOrder::none;
    std::uint8_t alarm = 0;             ///< a StationAlarm, or a PumpAlarm when a pump is named
    std::uint8_t pump = 0xFF;           ///< counts from zero; no_pump: an alarm of the station
    std::int32_t shelve_ms = 0;         ///< how long to shelve; used with AlarmOrder::shelve
    bool reset_emergency_stop = false;  ///< has an effect after the emergency stop was released
    /// True when this scan brings an order.
    bool asks() const noexcept {
        return acknowledge_all || reset_emergency_stop || order != AlarmOrder::none;
    }
};

/// All inputs of one scan. `time_ms` is the station time in Unix milliseconds. The caller sets the time and
/// never lets the time go back.
struct Inputs {
    std::int64_t time_ms = never_ms;
    std::array<Transmitter, transmitters_max> level;  ///< the duty's level transmitters
    Transmitter header_pressure;                      ///< the measured value of the pressure duty
    Analog station_flow_m3s;
    Digital high_float;            ///< true: wet, the water has reached the high float
    Digital low_float;             ///< true: wet, the water is above the low float; false: nearly dry
    Digital emergency_stop;        ///< true: the emergency stop is operated
    Digital emergency_stop_reset;  ///< true: somebody presses the reset button of the emergency stop
    DriveInputs drive;
    LineInputs line;
    std::array<PumpInputs, pumps_max> pumps;
    OperatorInputs people;
};

}  // namespace freshet::core
