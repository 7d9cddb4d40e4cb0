// Copies the values of a trend row from the advice.
#include "controller/record/trend_row.hpp"

namespace freshet::record {

void set_from_advice(TrendRow& row, const core::Advice& advice) {
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
