// What one pump delivers through its branch at a speed and a head.
// One reason to change: how a pump's curve is read at any speed.
#pragma once

#include <array>
#include <cstddef>

#include "controller/core/settings.hpp"

namespace freshet::core {

/// A flow, and how much the flow falls for each metre of head.
struct FallingFlow {
    double flow_m3s = 0;
    double fall_m2_s = 0;
};

/// One pump with its branch, behind a non-return valve. The head of the curve less the loss of the branch is
/// taken straight between the points of the curve, and the affinity laws give every other speed (Q ~ n,
/// H ~ n^2; source: common practice). The flow ends at the last point, however low the head is.
class PumpFlow {
  public:
    /// A pump that delivers nothing.
    PumpFlow() noexcept = default;
    explicit PumpFlow(const Settings& settings) noexcept;

    /// Flow at line frequency, m3/s, against a header that is `head_m` above the suction. Zero where the pump
    /// cannot open its valve.
    double at_line_m3s(double head_m) const noexcept;

    /// Flow, m3/s, at `ratio` of line frequency against a header that is `head_m` above the suction. Zero at
    /// rest, and where the pump cannot open its valve.
    double flow_m3s(double ratio, double head_m) const noexcept;

    /// The same flow, and how much the flow falls for each metre of head at this head.
    FallingFlow falling_at(double ratio, double head_m) const noexcept;

    /// Head behind the branch at line frequency, m, while the pump delivers `flow_m3s` from zero up. Zero past
    /// the last point.
    double head_at_line_m(double flow_m3s) const noexcept;

    /// Square of the ratio of line frequency at which the pump is about to open its valve against `head_m`.
    double cut_in_square(double head_m) const noexcept;

  private:
    std::size_t piece_at(double head_m) const noexcept;

    std::array<CurvePoint, curve_points_max> points_{};     ///< heads behind the branch
    std::array<double, curve_points_max - 1> m3s_per_m_{};  ///< of the piece after a point, falling head
    std::size_t last_ = 0;
};

}  // namespace freshet::core
