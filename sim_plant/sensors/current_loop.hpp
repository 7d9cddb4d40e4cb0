// The 4-20 mA loop: scaling both ways and the limits that tell a measurement from a failure.
// One reason to change: the standard of the loop.
//
// Equations: straight line, 4 mA at one end of the range and 20 mA at the other. Units: mA; the value in the
// unit of its range. Source: live zero of IEC 60381-1 and limits of NAMUR NE 43, both from memory; the
// limits are held against a published quotation in tests/reference/weather/current_loop_test.cpp. Left out:
// square-root outputs, signals superposed on the loop.
#pragma once

namespace freshet::plant {

/// NAMUR NE 43: a transmitter in service keeps its current within 3.8 to 20.5 mA; a failure is shown by 3.6
/// mA or less, or 21 mA or more.
inline constexpr double loop_measuring_low_ma = 3.8;
inline constexpr double loop_measuring_high_ma = 20.5;
inline constexpr double loop_failure_low_ma = 3.6;
inline constexpr double loop_failure_high_ma = 21.0;

/// Value that a loop current stands for, in the unit of the two range values. Not limited.
constexpr double loop_value(double current_ma, double value_at_4ma, double value_at_20ma) {
    return value_at_4ma + (current_ma - 4.0) / 16.0 * (value_at_20ma - value_at_4ma);
}

/// What a current says by NE 43: whether the transmitter shows a failure. Between the measuring range and the
/// failure limits the standard leaves a gap; it counts as measuring here.
constexpr bool loop_failed(double current_ma) {
    return !(current_ma > loop_failure_low_ma && current_ma < loop_failure_high_ma);
}

}  // namespace freshet::plant
