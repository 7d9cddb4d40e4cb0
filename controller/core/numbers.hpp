// Numbers without sense: what a device sends may be no number at all, without end, or far beyond any measure.
// One reason to change: how reckoning with them stays defined.
#pragma once

namespace freshet::core {

/// `value` within `low` to `high`; what is no number becomes `low`. Every conversion of a number to a whole
/// one goes through this first: outside of the whole one's range it would be undefined.
constexpr double bounded(double value, double low, double high) noexcept {
    return !(value > low) ? low : (value < high ? value : high);
}

constexpr double magnitude(double value) noexcept {
    return value < 0 ? -value : value;
}

}  // namespace freshet::core
