// The controller's settings: its station and its behaviour. SI units. The settings are fixed for the life of a
// Controller. The loader fills them from the station file, key for key.
// One reason to change: a setting that is added or removed.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/inputs.hpp"

namespace freshet::core {

/// Direct: a higher value needs more pumping (emptying a well). Reverse: a lower value does (filling, pressure).
enum class Action : std::uint8_t { direct, reverse };
/// Which transmitters carry the duty's measured value.
enum class Measured : std::uint8_t { level, header_pressure };
/// By quality: the first transmitter, while the second is not of better quality.
enum class Selection : std::uint8_t { average, higher, by_quality };
/// The order in which pumps start: the fewest hours first, the fewest starts first, the lowest number first,
/// the pump whose number follows the pump that started last, or the operator's order.
enum class Rotation : std::uint8_t { hours, starts, fixed, alternation, order };
enum class Preference : std::uint8_t { normal, preferred, last };

struct CurvePoint {
    double flow_m3s = 0, head_m = 0;
};
struct StorePoint {
    double level_m = 0, volume_m3 = 0;
};

/// The marks of one lag pump without the drive, in the measured value's unit (m).
struct LagMarks {
    double start_m = 0, stop_m = 0;
};

/// Loss of the main at a flow: h = k Q^2.
struct MainPoint {
    double flow_m3s = 0, loss_s2m5 = 0;
};

inline constexpr std::size_t curve_points_max = 64;
inline constexpr std::size_t main_points_max = 24;
inline constexpr std::size_t store_points_max = 16;

struct TransmitterSettings {
    bool fitted = false;
    double value_at_4ma_m = 0, value_at_20ma_m = 0;
};

struct Settings {
    std::uint8_t pump_count = 0;  ///< 2..8
    std::int32_t scan_ms = 100;   ///< 20..1000
    Action action = Action::direct;
    Measured measured = Measured::level;

    /// Marks of the duty, in the measured value's unit (m). Direct action: stop < stage_down < setpoint <
    /// stage_up and stop < start <= stage_up; reverse action: the mirror image.
    struct Marks {
        double setpoint_m = 0, deadband_m = 0;
        double start_m = 0;                       ///< first pump starts here
        double stop_m = 0;                        ///< last pump stops here
        double stage_up_m = 0, stage_down_m = 0;  ///< band that the store rides between two combinations
        double low_cutoff_m = 0;                  ///< below it every pump stops at once
        double high_alarm_m = 0;
    } marks;

    std::array<TransmitterSettings, transmitters_max> level_transmitter;
    TransmitterSettings pressure_transmitter;
    struct SignalLimits {
        Selection selection = Selection::average;
        std::int32_t stale_ms = 3000;       ///< older readings are bad
        std::int32_t fault_hold_ms = 4000;  ///< a loop fault shorter than this is uncertain, not bad (NE 43)
        double rate_max_m_s = 0.1;          ///< faster is not water
        double disagreement_m = 0.3;
        std::int32_t disagreement_hold_ms = 10000;
        std::int32_t freeze_ms = 0;  ///< unchanged for so long is frozen, after noise sooner; 0: not judged
        std::int32_t recover_ms = 5000;  ///< good for so long before it counts again
    } signal;

    std::array<StorePoint, store_points_max> store{};  ///< the well or tank
    std::uint8_t store_points = 0;
    /// The weir of the store, Q = C b h^1.5. A coefficient of zero means no weir.
    struct Weir {
        double crest_m = 0;            ///< level of the crest
        double coefficient_m15_s = 0;  ///< C b: discharge coefficient times width of the crest
    } weir;
    /// One pump at line frequency, straight between the points behind the loss of its branch. The first point
    /// is the shut-off head.
    std::array<CurvePoint, curve_points_max> curve{};
    std::uint8_t curve_points = 0;
    double minimum_flow_m3s =
        0;  ///< minimum continuous flow of one pump at line frequency; less at less speed
    double branch_loss_s2m5 = 0;  ///< of each pump, h = k Q^2
    /// Friction and minor losses of the main: k is straight between the points and constant beyond them. No
    /// point: no loss. A measured header pressure has the main's loss in it already.
    std::array<MainPoint, main_points_max> main{};
    std::uint8_t main_points = 0;
    double main_inertia_s2m2 =
        0;  ///< of the water in the main, sum of L / gA; zero: the flow changes at once
    double discharge_level_m = 0;  ///< level of the main's outlet; not used with a measured header pressure
    double suction_level_m = 0;    ///< reverse action: level that the pumps draw from
    double rated_current_a = 0;    ///< of one motor
    /// Current of one motor on the line, with the pump at each point of the curve. The first is zero: the
    /// currents are not known, and no current is compared with the curve.
    std::array<double, curve_points_max> curve_current_a{};
    double no_load_current_a = 0;  ///< of one motor on the line without load

    struct Drive {
        double line_frequency_hz = 60, line_voltage_v = 0;
        double speed_max_hz = 60;
        double speed_min_hz = 0;  ///< floor below which the computed minimum-flow speed may not go
        double ramp_up_hz_s = 0, ramp_down_hz_s = 0;
        double tolerance_hz = 0.3;    ///< "at speed"
        double rated_slip_ratio = 0;  ///< of a motor at rated load; zero: no slip
    } drive;

    struct Demand {
        double arrest_s = 0;       ///< arrest time of the level after a step of inflow
        double rate_max_hz_s = 2;  ///< of the speed reference
    } demand;

    /// Fill and draw: the store fills without the drive pump, and the drive pump then draws the store down at
    /// a speed of its own. See fill_and_draw.hpp.
    struct Draw {
        bool wanted = false;  ///< false: the drive pump always holds the value
        /// By number of line pumps: the speed that needs the least energy per volume, Hz. Zero: the drive
        /// pump holds the value with so many line pumps.
        std::array<double, pumps_max> speed_hz{};
    } draw;

    /// A booster sleeps at no flow; see sleep.hpp.
    struct Sleep {
        bool wanted = false;  ///< false: no mark below is used
        double wake_m = 0;    ///< the first pump starts here while the booster sleeps
        double boost_m = 0;   ///< the pump charges the vessel to this mark and stops
    } sleep;

    /// A setpoint that follows the flow: the pumps hold the pressure at the far end of a main; see
    /// moving_setpoint.hpp.
    struct FlowSetpoint {
        double loss_s2m5 =
            0;  ///< the setpoint rises by this times the square of the flow; zero: fixed setpoint
        double rise_max_m = 0;  ///< most rise
    } flow_setpoint;

    /// Cheap hours: the store is filled ahead of the dear hours; see moving_setpoint.hpp.
    struct CheapHours {
        std::uint32_t hours = 0;  ///< bit h: the hour of the day that begins at h, local time
        double rise_m = 0;        ///< all staging marks move by this towards a fuller store; zero: off
    } cheap;

    std::int32_t utc_offset_ms = 0;  ///< local time less station time

    /// A task at a stated time of day: local time, on some days of the week.
    struct Timed {
        std::uint8_t days = 0;       ///< bit d: day d of the week, 0 is Sunday; zero: never
        std::int32_t at_ms = 0;      ///< since midnight
        std::int32_t within_ms = 0;  ///< the task is given up after this time
    };
    /// Draw-down of the well to a stated level, so that floating matter leaves the well; see timed_duty.hpp.
    struct DrawDown {
        Timed time;
        double level_m = 0;
    } draw_down;
    /// Scour of the main at a stated flow; see timed_duty.hpp.
    struct Scour {
        Timed time;
        double flow_m3s = 0;
        std::int32_t lasts_ms = 0;
    } scour;

    struct Staging {
        std::int32_t up_delay_ms = 0, down_delay_ms = 0;
        bool forecast = true;
        double observer_s = 60;  ///< least memory of the inflow estimate in steady water
        double forecast_margin =
            1.2;  ///< stage up when the time to the mark is below the time needed by this factor
        /// Without the drive: the marks of the second pump, of the third pump, and so on. The first pump has
        /// Marks::start_m and stop_m. A pump that starts later has no lower start and no lower stop.
        std::array<LagMarks, pumps_max - 1> lag{};
        std::uint8_t lag_count = 0;  ///< pump_count - 1; 0: every lag pump has stage_up_m and stage_down_m
    } staging;

    struct SyncCheck {  ///< device 25
        double slip_max_hz = 0.1, voltage_max_ratio = 0.03, angle_max_deg = 10;
        std::int32_t hold_ms = 300;
        std::int32_t line_side_closing_ms = 60, drive_side_closing_ms = 60;
        std::int32_t age_max_ms = 500;
    } sync;

    struct StepLimits {
        std::int32_t close_ms = 1000, open_ms = 1000;
        std::int32_t overlap_ms = 500;  ///< both of a motor's contactors confirmed or advised closed
        std::int32_t drive_start_ms = 5000;
        std::int32_t ramp_margin_ms = 10000;  ///< over the time the ramp should take
        std::int32_t synchronise_ms = 60000;
        std::int32_t synchronise_expected_ms = 15000;  ///< what it usually takes; for looking ahead only
        std::int32_t retry_pause_ms = 60000;
        std::int32_t transfer_pause_ms = 1'800'000;  ///< before another transfer, after attempts_max failures
        std::uint8_t attempts_max = 3;               ///< then the pump or the drive is locked out
    } step;

    struct Permissives {
        std::int32_t rest_min_ms = 0, run_min_ms = 0;
        std::uint8_t starts_per_hour_max = 6;
        std::uint8_t transfers_per_hour_max = 12;
        std::uint8_t trips_per_hour_max = 3;   ///< of a pump or the drive; then it is locked out; 1..12
        std::int32_t residual_voltage_ms = 0;  ///< after de-energising, before the line may meet the motor
        double winding_temperature_max_k = 428;
        std::uint8_t pumps_max_on_line = 8, pumps_max_on_generator = 8;
        std::int32_t current_loss_ms = 3000;  ///< advised on line, no current for so long: not running
        double discharge_pressure_max_m = 0;  ///< head in the header; past it nothing more is brought on; 0:
                                              ///< not judged
        std::int32_t discharge_pressure_hold_ms = 5000;  ///< ... when it has lasted so long
    } permissives;

    /// What a pump must deliver, compared with its curve; see delivery.hpp.
    struct Delivery {
        std::int32_t hold_ms = 60'000;  ///< a pump delivers nothing for so long before the controller acts
        double lost_max_ratio = 0.1;    ///< of the curve's flow; more is a warning, 1: never
    } delivery;

    struct Succession {                    ///< of starts, for large motors; see succession.hpp
        std::uint8_t cold_starts_max = 0;  ///< from cold, one after another; 0: not judged
        std::uint8_t warm_starts_max = 1;
        std::int64_t cool_ms = 0;        ///< at rest for so long a motor is cold
        std::int64_t rest_ms = 0;        ///< the starts used up, at rest for so long it may start again
        std::int64_t even_run_ms = 0;    ///< having run for so long it is evenly warm
        bool drive_starts_count = true;  ///< else starts on the line alone
    } succession;

    struct LineStart {
        bool allowed = false;
        std::int32_t spacing_ms = 30000;
        double supply_dip_max_ratio = 0.1;  ///< estimated dip at a line start may not pass this
        double short_circuit_va = 0;
        double locked_rotor_current_ratio = 6;
    } line_start;

    struct Floats {
        bool fitted = true;
        std::int32_t hold_ms = 2000;  ///< a float must hold so long
        std::int32_t run_on_ms =
            120000;  ///< between one more pump and the next on the float that calls for them
    } floats;

    struct Restart {
        std::int32_t settle_ms = 5000;    ///< after start or return of supply, before the first action
        std::int32_t spacing_ms = 15000;  ///< between one start and the next
        /// After an emergency stop, a loss of supply or a start of the controller: how long a drive that is
        /// not ready keeps pumps from starting on the line. The high mark and a float that calls end the
        /// wait.
        std::int32_t drive_wait_ms = 45000;
    } restart;

    struct Supply {
        double voltage_min_ratio = 0.8;      ///< of line_voltage_v; below it the supply counts as lost
        double frequency_band_ratio = 0.05;  ///< of line_frequency_hz, either way
        std::int32_t lost_hold_ms = 300;     ///< a dip shorter than this is ridden through
    } supply;

    Rotation rotation = Rotation::hours;
    std::array<Preference, pumps_max> preference{};
    std::array<std::uint8_t, pumps_max> place{};  ///< of each pump in the operator's order; 0 starts first
    std::int64_t exercise_ms = 0;  ///< a pump idle for longer goes first, or takes another's place; 0: never
    std::int64_t run_longest_ms = 0;  ///< a pump that has run for longer makes room in a quiet hour; 0: never
    std::array<std::int64_t, pumps_max> run_ms_initial{};
    std::array<std::uint32_t, pumps_max> starts_initial{};
};

}  // namespace freshet::core
