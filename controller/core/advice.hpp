// What the controller says in one scan, and the events that say why.
// One reason to change: something that people or a bench must be told.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/reasons.hpp"

namespace freshet::core {

enum class PumpState : std::uint8_t {
    off,
    starting,
    on_drive,
    to_line,
    on_line,
    to_drive,
    stopping,
    locked_out,
    unavailable
};

/// Which of the five services the controller is giving, best first; or none yet: waiting for a picture that
/// is consistent. Advice given while waiting shows what was found and asks for nothing: whoever follows
/// advice leaves everything as it is.
enum class Service : std::uint8_t { normal, one_transmitter, floats, fixed_speed, hold, waiting };

/// What is meant to happen next.
enum class Intention : std::uint8_t {
    none,
    start_on_drive,
    hand_over,
    take_back,
    stop_on_drive,
    stop_from_line,
    line_start
};

struct PumpAdvice {
    bool drive_side_close = false;
    bool line_side_close = false;
    PumpState state = PumpState::off;
};

struct NextAction {
    Intention intention = Intention::none;
    std::uint8_t pump = no_pump;    ///< counts from zero
    std::int32_t countdown_ms = 0;  ///< to the action if nothing changes; negative: not known
    Reason reason = Reason::none;
};

struct PumpFigures {
    std::int64_t run_ms = 0;
    std::uint32_t starts = 0;  ///< on the drive or the line
    std::uint32_t line_starts = 0;
    std::uint8_t starts_last_hour = 0;
};

/// What an alarm is besides active and unacknowledged; a bit for each.
struct AlarmMarks {
    std::uint32_t shelved = 0, out_of_service = 0;
    std::uint32_t suppressed = 0;  ///< would be raised, but follows from another that is shown
    std::uint32_t first_out = 0;   ///< came first in its group; several: in the same scan
};

/// How one transmitter is believed, by itself: that it disagrees with the other is said of the measured
/// value.
struct TransmitterState {
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
};

inline constexpr std::size_t events_max = 96;  ///< of one scan; the sequencer's step bound keeps it below

struct Advice {
    std::int64_t time_ms = never_ms;  ///< of the inputs it was made from
    std::uint32_t scan_count = 0;

    bool drive_run = false;
    double speed_hz = 0;  ///< reference, a multiple of 0.01 Hz
    bool synchronise = false;
    bool output_close = false;  ///< drive output contactor
    std::array<PumpAdvice, pumps_max> pumps{};

    Sequence sequence = Sequence::none;
    Step step = Step::idle;
    std::uint8_t sequence_pump = no_pump;
    std::uint8_t drive_pump = no_pump;  ///< whose motor the drive feeds
    std::uint8_t pumps_on_line = 0;
    NextAction next;
    Service service = Service::waiting;

    double measured_m = 0;  ///< selected measured value
    Quality measured_quality = Quality::bad;
    Cause measured_cause = Cause::never_read;
    /// Of the measured value: the level transmitters, or first the header pressure's and no second.
    std::array<TransmitterState, transmitters_max> transmitters{};
    double setpoint_m = 0;
    double demand_hz = 0;        ///< what the demand would have
    double minimum_flow_hz = 0;  ///< of the present combination
    double inflow_m3s = 0;       ///< observed; zero until first known
    double pumped_m3s = 0;       ///< estimated from curves

    std::uint32_t station_alarms =
        0;  ///< bit per StationAlarm, active and neither shelved nor out of service
    std::uint32_t station_alarms_unacknowledged = 0;
    std::array<std::uint16_t, pumps_max> pump_alarms{};
    std::array<std::uint16_t, pumps_max> pump_alarms_unacknowledged{};
    AlarmMarks station_alarm_marks;
    std::array<AlarmMarks, pumps_max> pump_alarm_marks{};
    std::array<PumpFigures, pumps_max> figures{};

    std::array<Event, events_max> events;  ///< only the first `event_count` mean anything
    std::uint8_t event_count = 0;
    bool events_lost = false;  ///< never true while the step bound holds; a test watches it
};

}  // namespace freshet::core
