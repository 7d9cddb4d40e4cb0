// Arithmetic that stays defined for senseless numbers. A device may send NaN, infinity, or a number far
// beyond any real value.
// One reason to change: how a senseless number is treated.
#pragma once

namespace freshet::core {

/// `value` limited to `low` .. `high`; NaN becomes `low`. Use this before every conversion from floating
/// point to an integer, because a conversion outside the range of the integer is undefined.
constexpr double bounded(double value, double low, double high) noexcept {
    return !(value > low) ? low : (value < high ? value : high);
}

/// The absolute value; NaN stays NaN.
constexpr double magnitude(double value) noexcept {
    return value < 0 ? -value : value;
}

}  // namespace freshet::core
