// The 4-20 mA loop: scaling both ways, and the limits that distinguish a measurement from a failure.
// One reason to change: the standard of the loop.
//
// Equations: a straight line, 4 mA at one end of the range and 20 mA at the other. Units: mA; the value in
// the unit of its range. Source: live zero of IEC 60381-1 and limits of NAMUR NE 43, both from memory. The
// limits are compared with a published quotation in tests/reference/weather/current_loop_test.cpp. Leaves
// out: square-root outputs, signals superposed on the loop.
#pragma once

namespace freshet::plant {

/// NAMUR NE 43: a transmitter in service keeps its current within 3.8 to 20.5 mA. A current of 3.6 mA or
/// less, or 21 mA or more, shows a failure.
inline constexpr double loop_measuring_low_ma = 3.8;
inline constexpr double loop_measuring_high_ma = 20.5;
inline constexpr double loop_failure_low_ma = 3.6;
inline constexpr double loop_failure_high_ma = 21.0;

/// The value for a loop current, in the unit of the two range values. The value is not limited to the range.
constexpr double loop_value(double current_ma, double value_at_4ma, double value_at_20ma) {
    return value_at_4ma + (current_ma - 4.0) / 16.0 * (value_at_20ma - value_at_4ma);
}

/// Whether a current shows a failure by NE 43. The standard leaves a gap between the measuring range and the
/// failure limits. A current in this gap counts as a measurement.
constexpr bool loop_failed(double current_ma) {
    return !(current_ma > loop_failure_low_ma && current_ma < loop_failure_high_ma);
}

}  // namespace freshet::plant
