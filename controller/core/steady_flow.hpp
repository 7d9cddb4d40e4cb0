// What the pumps of a combination deliver together when nothing changes: the one place where a flow is
// solved. One reason to change: how pumps and main are solved together.
#pragma once

#include <cstdint>

#include "controller/core/pump_flow.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Pumps that run together: `line_pumps` at line frequency and, with `drive_hz` > 0, one more on the drive,
/// at a measured value.
struct Combination {
    std::uint8_t line_pumps = 0;
    double drive_hz = 0;
    double measured_m = 0;
};

struct Delivery {
    double total_m3s = 0;
    double line_pump_m3s = 0;   ///< of each pump at line frequency
    double drive_pump_m3s = 0;  ///< of the pump on the drive
    double lift_m = 0;          ///< head of the header above the suction
};

/// Head of the header above the suction at no flow.
class StaticHead {
  public:
    StaticHead() noexcept = default;
    explicit StaticHead(const Settings& settings) noexcept;

    /// At a measured value, m. A tank that is filled from above takes its water at the main's outlet until
    /// the outlet is drowned.
    double at_m(double measured_m) const noexcept;

  private:
    double sign_ = 1, least_m_ = 0, offset_m_ = 0;
};

/// The speed of a motor on the drive, as a ratio of its speed on the line at rated load. The motor's slip grows
/// with its torque, and the torque of a pump with the square of the speed, so that a slow motor slips less:
///
///     frequency / line frequency = n (1 - s) + s n^2,   s the slip at rated load
///
/// Source: the straight part of an induction motor's torque curve at constant voltage per frequency, and the
/// affinity laws, common practice.
class DriveSpeed {
  public:
    DriveSpeed() noexcept = default;
    explicit DriveSpeed(const Settings& settings) noexcept
        : line_hz_(settings.drive.line_frequency_hz),
          per_line_hz_(1 / settings.drive.line_frequency_hz),
          slip_(settings.drive.rated_slip_ratio) {}

    /// Speed ratio at a frequency of the drive, Hz; zero at rest.
    double ratio_of(double drive_hz) const noexcept;
    /// Frequency of the drive at a speed ratio, Hz.
    double hz_of(double ratio) const noexcept { return line_hz_ * ratio * (1 - slip_ + slip_ * ratio); }

  private:
    double line_hz_ = 1, per_line_hz_ = 1, slip_ = 0;
};

/// Head lost in the main, m, at a flow >= 0. The coefficient is straight between its points.
double main_loss_m(const Settings& settings, double flow_m3s) noexcept;

/// Pumps and main of one station. Each pump's flow falls and the main's loss rises with the flow of the
/// station, so that each combination has one answer. Source: parallel pumps on one system curve, common
/// practice.
class SteadyFlow {
  public:
    /// `settings` must have passed core::check and outlive this object.
    explicit SteadyFlow(const Settings& settings) noexcept : settings_(settings), pump_(settings) {}

    /// `drive_ratio`: speed of the pump on the drive over line frequency, 0 for none.
    Delivery at(std::uint8_t line_pumps, double drive_ratio, double static_m) const noexcept;

    /// Square of the ratio of line frequency at which a pump on the drive, with `line_pumps` on the line, delivers its
    /// minimum continuous flow at that speed. At most `fastest_square`.
    double minimum_flow_square(std::uint8_t line_pumps, double static_m) const noexcept;
    static constexpr double fastest_square = 4;  ///< far above any drive's highest speed

    const PumpFlow& pump() const noexcept { return pump_; }

  private:
    const Settings& settings_;
    PumpFlow pump_;
};

/// A moment of a station whose flow is not steady.
struct MovingColumn {
    std::size_t line_pumps = 0;
    double drive_ratio = 0;  ///< speed of the pump on the drive over line frequency, 0 for none
    double static_m = 0;     ///< head of the header above the suction at no flow
    double flow_m3s = 0;     ///< in the main, now
};

/// Flow of the station after `elapsed_s` > 0, m3/s. The water in the main moves as a rigid column:
///
///     I dQ/dt = header head - static head - loss of the main
///
/// The running pumps deliver the flow of the column, which decides the header head. After a stop the column
/// draws water through the pumps at rest until the column has lost its speed. The step is implicit, so that
/// any time is stable. Source: the rigid column, common practice. The inertia must be above zero.
double flow_after(const MovingColumn& now, double elapsed_s, const PumpFlow& pump,
                  const Settings& settings) noexcept;

/// The direct solution for one combination: the figure that every other flow of the station is held to.
Delivery solve_combination(const Settings& settings, const Combination& combination) noexcept;

/// Speed at which a pump on the drive, with `line_pumps` at line frequency, just delivers its minimum
/// continuous flow, Hz. The minimum flow shrinks with the speed by the affinity laws (source: common
/// practice). Not bounded by the drive's highest or lowest speed.
double minimum_flow_speed_hz(const Settings& settings, std::uint8_t line_pumps, double measured_m) noexcept;

}  // namespace freshet::core
