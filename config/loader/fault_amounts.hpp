// The meaning of an amount for each kind of fault, in a scenario file as in an instructor's order.
// One reason to change: the amount of a fault.
#pragma once

#include <cstdint>

#include "config/devices.hpp"
#include "config/loader/reader.hpp"

namespace freshet::config {

enum class AmountUse : std::uint8_t {
    none,       ///< an amount has no meaning
    optional,   ///< without an amount the fault uses its own default
    needed,     ///< without an amount nothing would happen
    of_signal,  ///< needed, in the unit of the falsified signal
    of_signal_per_s
};

/// Limits are in SI; the fault takes the SI value times `factor`.
struct AmountRule {
    AmountUse use = AmountUse::none;
    Quantity quantity = Quantity::ratio;
    Range range{};
    double factor = 1;
};

constexpr AmountRule amount_of(FaultKind kind, DeviceClass device) {
    using enum AmountUse;
    constexpr Range share{.least = 0, .most = 1, .least_excluded = true};
    constexpr double ma_per_a = 1000;
    switch (kind) {
        case FaultKind::offset:
        case FaultKind::spike:
            return {of_signal};
        case FaultKind::drift:
            return {of_signal_per_s};
        case FaultKind::lagging:
            return {optional, Quantity::duration, positive};
        case FaultKind::drops_out:
            return device == DeviceClass::transmitter ? AmountRule{optional, Quantity::ratio, fraction}
                                                      : AmountRule{optional, Quantity::duration, positive};
        case FaultKind::under_range:
        case FaultKind::over_range:
            return {optional, Quantity::current, {0, 0.024}, ma_per_a};
        case FaultKind::closes_late:
        case FaultKind::link_slow:
            return {needed, Quantity::duration, positive};
        case FaultKind::never_in_sync:
            return {optional, Quantity::angle, {-180, 180}};
        case FaultKind::slips_out_of_sync:
        case FaultKind::loses_reference:
            return {optional, Quantity::frequency, not_negative};
        case FaultKind::blocked:
        case FaultKind::worn:
        case FaultKind::dip:
        case FaultKind::link_garbled:
            return {needed, Quantity::ratio, share};
        case FaultKind::wander:
            return {needed, Quantity::frequency, not_negative};
        case FaultKind::selector_hand:  // 1: a person also starts the pump by hand
            return {optional, Quantity::ratio, fraction};
        case FaultKind::generator:
            return {optional, Quantity::apparent_power, positive};
        default:
            return {};
    }
}

/// Whether the SI value lies within the range.
constexpr bool within(const Range& range, double value) {
    return value <= range.most && (range.least_excluded ? value > range.least : value >= range.least);
}

/// "m": the unit of an amount that falsifies this device's signal. A transmitter's amounts are in the
/// quantity it measures, not in its loop's milliamperes.
constexpr std::string_view amount_unit(const Device& device) {
    const std::string_view unit = definition_of(device.signal).unit;
    return unit == "mA" ? "m" : unit;
}

}  // namespace freshet::config
