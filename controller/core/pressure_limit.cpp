// Judging the discharge pressure; see the header.
#include "controller/core/pressure_limit.hpp"

#include "controller/core/held.hpp"

namespace freshet::core {

namespace {

/// Signal limits for a pressure. Unlike a level, a pressure may jump. A pressure may also stay constant while
/// no pump runs.
Settings::SignalLimits limits_of_pressure(const Settings& settings) noexcept {
    Settings::SignalLimits limits = settings.signal;
    constexpr double any_m_s = 1e9;
    limits.rate_max_m_s = limits.disagreement_m = any_m_s;
    limits.freeze_ms = 0;
    return limits;
}

}  // namespace

PressureLimit pressure_limit_of(const Settings& settings) noexcept {
    PressureLimit limit;
    limit.limits = limits_of_pressure(settings);
    const bool limits_pressure = settings.permissives.discharge_pressure_max_m > 0;
    if (!limits_pressure || settings.measured != Measured::level) limit.transmitter.cause = Cause::not_fitted;
    return limit;
}

void judge_pressure(PressureLimit& limit, const SignalRecords& signals, const Inputs& inputs,
                    const Settings& settings) noexcept {
    const double limit_m = settings.permissives.discharge_pressure_max_m;
    if (!(limit_m > 0)) return;
    const bool by_level = settings.measured == Measured::level;
    if (by_level)
        judge_transmitter(limit.transmitter, inputs.header_pressure, settings.pressure_transmitter,
                          limit.limits, inputs.time_ms);
    const TransmitterRecord& one = by_level ? limit.transmitter : signals.transmitter[0];
    limit.pressure_m = one.value_m;

    // Deadband of a pressure, 2 % (ISA-18.2 starting point).
    constexpr double release_ratio = 0.98;
    const double mark_m = limit.high ? release_ratio * limit_m : limit_m;
    const bool was_past = limit.high_since_ms != never_ms;
    const bool is_past =
        one.quality != Quality::bad ? one.value_m >= mark_m : was_past && one.cause == Cause::over_range;
    limit.high = held_for(limit.high_since_ms, is_past, settings.permissives.discharge_pressure_hold_ms,
                          inputs.time_ms);
}

}  // namespace freshet::core
