// A small stand-in for the station in tests of the core alone: contactors with times and faults, a drive that
// ramps and synchronises, and a well. The stand-in is invented, so it serves no check against the world.
// One reason to change: a way in which a confirmation can be late, missing or wrong.
#pragma once

#include <array>
#include <cstdint>
#include <limits>

#include "controller/core/controller.hpp"

namespace freshet::doubles {

using core::Advice;
using core::Inputs;
using core::Settings;

inline constexpr std::int64_t odd_start_ms =
    1'931'234'567'300;  ///< odd and large, so that a fault with time zero shows

/// Four equal pumps that empty a well, in round figures.
Settings four_pumps();

/// The same pumps filling a tank. The marks are the mirror image of the well's marks about the setpoint.
Settings four_pumps_filling_a_tank();

/// The same pumps holding a pressure in the header, in metres of head.
Settings four_pumps_holding_a_pressure();

/// How one contactor misbehaves.
struct ContactorFault {
    bool does_not_close = false, does_not_open = false;
    std::int32_t extra_ms = 0;  ///< later than usual, when it closes and when it opens
    bool lies_closed = false, lies_open = false;
    bool silent = false;  ///< its auxiliary contact is not read: bad quality
};

struct Contactor {
    bool closed = false;
    bool ordered = false;
    std::int64_t due_ms = 0;
    ContactorFault fault;

    void follow(bool order, std::int64_t now_ms);
    bool shown() const { return fault.lies_closed || (closed && !fault.lies_open); }
};

struct DriveFault {
    bool trips = false, not_ready = false, never_in_sync = false, claims_falsely = false,
         does_not_run = false, does_not_stop = false;
    bool silent = false;
    double angle_error_deg = 0;  ///< error of the angle while the drive claims to be in sync
};

/// How one level transmitter misbehaves, in addition to `level_quality` and `level_error_m`.
struct TransmitterFault {
    double loop_ma = std::numeric_limits<
        double>::quiet_NaN();    ///< forced current of the loop; not a number: the true current
    bool stops_reading = false;  ///< its last reading ages
};

/// How a float misbehaves.
struct FloatFault {
    bool stuck_on = false, stuck_off = false, silent = false;
};

/// The station. A test calls look(), scans, and calls step() with the advice.
class StationDouble {
  public:
    explicit StationDouble(const Settings& settings);

    double level_m = 1.8;
    double inflow_m3s = 0;
    std::int64_t now_ms = odd_start_ms;
    std::array<Contactor, core::pumps_max> drive_side, line_side;
    Contactor output;
    DriveFault drive_fault;
    std::array<bool, core::pumps_max> pump_tripped{};
    std::array<core::Selector, core::pumps_max> selector = [] {
        std::array<core::Selector, core::pumps_max> all{};
        all.fill(core::Selector::automatic);
        return all;
    }();
    std::array<bool, core::pumps_max> selector_silent{};  ///< the selector is not read
    std::array<core::Quality, 2> level_quality{core::Quality::good, core::Quality::good};
    std::array<double, 2> level_error_m{};
    bool emergency_stop = false;
    bool reset_pressed = false;  ///< the reset button of the emergency stop
    bool link_lost = false;
    double line_voltage_v = 2300;
    bool on_generator = false;
    std::array<bool, core::pumps_max> current_missing{}, hot{}, seal_leak{};
    std::array<TransmitterFault, 2> level_fault;
    FloatFault high_float_fault, low_float_fault;
    double header_pressure_m = 0;
    double header_m_per_m3s2 = 0;  ///< if not zero, the header's head is 15 m plus this times flow squared
    core::Quality header_pressure_quality = core::Quality::good;
    double drive_hz = 0;
    double overflow_level_m = 4.5;
    std::int32_t meters_update_ms = 0;  ///< level and drive meters hold their value for this time

    /// Advances by one scan and follows the advice.
    void step(const Advice& given);

    /// The inputs of the controller at this time.
    const Inputs& look();

    static constexpr double line_hz = 60;

  private:
    Settings settings_;
    core::FlowTable flows_;
    Advice followed_;
    std::int64_t metered_ms_ = core::never_ms;
    double metered_level_m_ = 0, metered_drive_hz_ = 0, metered_header_m_ = 0;
    Inputs inputs_;
    std::int64_t read_ms_ = core::never_ms;
    std::array<std::int64_t, 2> level_read_ms_{core::never_ms, core::never_ms};
    std::int64_t synchronising_ms_ = 0;
    bool running_ = false, in_sync_ = false;
};

}  // namespace freshet::doubles
