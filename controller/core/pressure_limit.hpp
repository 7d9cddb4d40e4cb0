// The discharge pressure against its limit. One reason to change: when the pressure counts as too high.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/signals.hpp"

namespace freshet::core {

/// The header pressure where the station limits it. Where the pressure is the measured value itself, the
/// duty's own transmitter is judged and `transmitter` stays not fitted.
struct PressureLimit {
    TransmitterRecord transmitter;
    double pressure_m = 0;  ///< head in the header, last believed
    bool high = false;      ///< past the limit for the holding time
    std::int64_t high_since_ms = never_ms;
};

PressureLimit pressure_limit_of(const Settings& settings) noexcept;

/// Judges the pressure of one scan. A pressure that is not known is not judged, but alarmed: the protection
/// of the main stays in the equipment. A pressure that was past its limit and whose reading then fails
/// upwards counts as past its limit.
void judge_pressure(PressureLimit& limit, const SignalRecords& signals, const Inputs& inputs,
                    const Settings& settings) noexcept;

}  // namespace freshet::core
