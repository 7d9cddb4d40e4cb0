// One row of a trend. A row has the plotted values. A row comes once a second of station time.
// One reason to change: a column of trend.csv.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <optional>

#include "controller/core/advice.hpp"

namespace freshet::record {

/// Unknown values stay NaN. The trend has an empty field for such a value.
struct TrendRow {
    static constexpr double none = std::numeric_limits<double>::quiet_NaN();

    std::int64_t time_ms = 0;  ///< station time
    double rain_mm_h = none;
    double inflow_m3s = none;           ///< true inflow, known to a simulated station only
    double inflow_observed_m3s = none;  ///< estimate of the controller
    double level_m = none;              ///< true value of the level or header head that the duty holds
    double measured_m = none;           ///< value that the controller selected
    std::optional<core::Quality> measured_quality = std::nullopt;
    core::Cause measured_cause = core::Cause::none;  ///< meaningful only with a quality
    double setpoint_m = none;
    double pumped_m3s = none;
    double overflow_m3s = none;
    double header_head_m = none;
    double speed_reference_hz = none;  ///< advised
    double drive_frequency_hz = none;
    double line_voltage_v = none;
    double power_kw = none;                                     ///< at the line
    std::array<core::PumpState, core::pumps_max> pump_state{};  ///< as advised
    std::array<double, core::pumps_max> pump_current_a{none, none, none, none, none, none, none, none};
};

/// Fills the values that advice has, with the time of the advice. The caller fills the rest of the row.
/// `Advice` is core::Advice, or a type with those members of core::Advice that a reader of the registers has.
/// A bad measured value counts as unknown.
template <class Advice>
void set_from_advice(TrendRow& row, const Advice& advice) {
    row.time_ms = advice.time_ms;
    row.measured_m = advice.measured_quality == core::Quality::bad ? TrendRow::none : advice.measured_m;
    row.measured_quality = advice.measured_quality;
    row.measured_cause = advice.measured_cause;
    row.setpoint_m = advice.setpoint_m;
    row.inflow_observed_m3s = advice.inflow_m3s;
    row.speed_reference_hz = advice.speed_hz;
    for (std::size_t pump = 0; pump < core::pumps_max; ++pump)
        row.pump_state[pump] = advice.pumps[pump].state;
}

}  // namespace freshet::record
