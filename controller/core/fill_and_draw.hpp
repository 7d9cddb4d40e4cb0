// Fill and draw: at a small inflow the store fills without the drive pump, and the drive pump then moves the
// water from mark to mark at the speed of least energy per volume.
// One reason to change: when and how fast the drive pump draws.
//
// The line pumps keep running. Their flow is Q_k and their power is P_k. With a share x of the time the drive
// pump runs too, with the total flow Q and the total power P. The pumps carry the inflow q when
//
//     q = Q_k + x (Q - Q_k)
//     mean power = P_k + x (P - P_k) = P_k + (q - Q_k) (P - P_k) / (Q - Q_k)
//
// The mean power is least where (P - P_k) / (Q - Q_k) is least, whatever the inflow is. That speed is
// Settings::draw. An inflow above Q needs more, so that the drive pump holds the setpoint. Source: energy and
// volume balance.
#pragma once

#include "controller/core/duty_view.hpp"
#include "controller/core/need.hpp"

namespace freshet::core {

/// The two marks between which the drive pump moves the water, as needs, m.
struct DrawMarks {
    double upper_m = 0, lower_m = 0;
};
/// One pump alone uses the marks of the first pump. With line pumps, the drive pump uses the staging marks.
DrawMarks draw_marks(const NeedMarks& marks, std::size_t line_pumps) noexcept;

/// Decides whether the drive pump draws, and how fast. The speed is zero when the pump holds the setpoint.
/// The draw lasts for the minimum run, and for so long that no pump starts more often than
/// Settings::permissives.starts_per_hour_max. `before_hz` is the speed of the last second's draw, zero for
/// none.
DutyAim judge_draw(double before_hz, const DutyView& view) noexcept;

}  // namespace freshet::core
