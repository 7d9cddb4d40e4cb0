// The advice of one scan, and the events that give its reasons.
// One reason to change: a value that people or a bench must read.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/reasons.hpp"

namespace freshet::core {

/// The state of one pump.
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

/// The service that the controller gives, best first. In `waiting` the controller waits for a consistent
/// picture. The advice then shows the station as it is and changes nothing.
enum class Service : std::uint8_t { normal, one_transmitter, floats, fixed_speed, hold, waiting };

/// The action that the staging plans next.
enum class Intention : std::uint8_t {
    none,
    start_on_drive,
    hand_over,
    take_back,
    stop_on_drive,
    stop_from_line,
    line_start
};

/// The advice on the two contactors of one pump, and the state of the pump.
struct PumpAdvice {
    bool drive_side_close = false;
    bool line_side_close = false;
    PumpState state = PumpState::off;
};

/// The next action of the staging, as announced to people.
struct NextAction {
    Intention intention = Intention::none;
    std::uint8_t pump = no_pump;    ///< counts from zero
    std::int32_t countdown_ms = 0;  ///< time until the action if nothing changes; negative: not known
    Reason reason = Reason::none;
};

/// Run time and starts of one pump.
struct PumpFigures {
    std::int64_t run_ms = 0;
    std::uint32_t starts = 0;  ///< on the drive or the line
    std::uint32_t line_starts = 0;
    std::uint8_t starts_last_hour = 0;
};

/// Further marks of alarms, in addition to active and unacknowledged. Each alarm has one bit.
struct AlarmMarks {
    std::uint32_t shelved = 0, out_of_service = 0;
    std::uint32_t suppressed = 0;  ///< not raised, because the alarm of its cause is shown
    std::uint32_t first_out = 0;   ///< first of its group; several when they came in the same scan
};

/// The quality of one transmitter by itself. When two transmitters disagree, only the quality of the measured
/// value shows that.
struct TransmitterState {
    Quality quality = Quality::bad;
    Cause cause = Cause::never_read;
};

/// Most events of one scan. A sequence leaves at most one step in a scan, so a scan has fewer events.
inline constexpr std::size_t events_max = 96;

/// The advice of one scan.
struct Advice {
    std::int64_t time_ms = never_ms;  ///< station time of the inputs
    std::uint32_t scan_count = 0;

    bool drive_run = false;
    double speed_hz = 0;  ///< reference, a multiple of 0.01 Hz
    bool synchronise = false;
    bool output_close = false;  ///< drive output contactor
    std::array<PumpAdvice, pumps_max> pumps{};

    Sequence sequence = Sequence::none;
    Step step = Step::idle;
    std::uint8_t sequence_pump = no_pump;
    std::uint8_t drive_pump = no_pump;  ///< the pump that the drive feeds
    std::uint8_t pumps_on_line = 0;
    NextAction next;
    Service service = Service::waiting;

    double measured_m = 0;  ///< the measured value, selected from the transmitters
    Quality measured_quality = Quality::bad;
    Cause measured_cause = Cause::never_read;
    /// The transmitters of the measured value: the level transmitters, or the header pressure transmitter as
    /// the first and no second.
    std::array<TransmitterState, transmitters_max> transmitters{};
    double setpoint_m = 0;
    double demand_hz = 0;        ///< speed that the demand sets
    double minimum_flow_hz = 0;  ///< minimum-flow speed with the pumps that run now
    double inflow_m3s = 0;       ///< observed; zero until first known
    double pumped_m3s = 0;       ///< estimated from curves

    /// Active alarms that are neither shelved nor out of service; a bit per StationAlarm or PumpAlarm.
    std::uint32_t station_alarms = 0;
    std::uint32_t station_alarms_unacknowledged = 0;
    std::array<std::uint16_t, pumps_max> pump_alarms{};
    std::array<std::uint16_t, pumps_max> pump_alarms_unacknowledged{};
    AlarmMarks station_alarm_marks;
    std::array<AlarmMarks, pumps_max> pump_alarm_marks{};
    std::array<PumpFigures, pumps_max> figures{};

    std::array<Event, events_max> events;  ///< only the first `event_count` are valid
    std::uint8_t event_count = 0;
    bool events_lost = false;  ///< the scan had too many events; a test proves that none has
};

}  // namespace freshet::core
