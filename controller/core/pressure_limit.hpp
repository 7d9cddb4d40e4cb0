// The discharge pressure against its limit.
// One reason to change: when the pressure counts as too high.
#pragma once

#include <cstdint>

#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/signals.hpp"

namespace freshet::core {

/// The header pressure and its limit. Where the header pressure is the measured value, the transmitter of the
/// measured value counts, and `transmitter` stays not fitted.
struct PressureLimit {
    Settings::SignalLimits limits;  ///< of the transmitter
    TransmitterRecord transmitter;
    double pressure_m = 0;  ///< last believed head in the header
    bool high = false;      ///< past the limit for the holding time
    std::int64_t high_since_ms = never_ms;
};

/// The state before the first scan.
PressureLimit pressure_limit_of(const Settings& settings) noexcept;

/// Judges the pressure of one scan. An unknown pressure raises an alarm but limits nothing, because the
/// equipment itself protects the main. When the pressure was past its limit and the reading then fails over
/// range, the pressure still counts as past its limit.
void judge_pressure(PressureLimit& limit, const SignalRecords& signals, const Inputs& inputs,
                    const Settings& settings) noexcept;

}  // namespace freshet::core
