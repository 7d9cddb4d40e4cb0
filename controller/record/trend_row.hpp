// One row of a trend: what is plotted, once a second of station time.
// One reason to change: a column of trend.csv.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <optional>

#include "controller/core/advice.hpp"

namespace freshet::record {

/// Values not known stay NaN and are written as an empty field.
struct TrendRow {
    static constexpr double none = std::numeric_limits<double>::quiet_NaN();

    std::int64_t time_ms = 0;  ///< station time
    double rain_mm_h = none;
    double inflow_m3s = none;           ///< true inflow, where a plant is there to know it
    double inflow_observed_m3s = none;  ///< as the controller reckons it
    double level_m = none;              ///< true value of what the duty holds (level, or header head)
    double measured_m = none;           ///< as the controller selected it
    std::optional<core::Quality> measured_quality = std::nullopt;
    core::Cause measured_cause = core::Cause::none;  ///< meant only with a quality
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

/// Fills what the controller knows; the rest of the row is the caller's.
void set_from_advice(TrendRow& row, const core::Advice& advice);

}  // namespace freshet::record
