// Runs the checks of a whole station in order.
// One reason to change: a check that comes or goes.
#include "config/engineering/checks.hpp"
#include "controller/core/flow_table.hpp"

namespace freshet::config {

Findings check_station(const Station& station, const core::Settings& settings) {
    Findings findings;
    check_supply(findings, station);
    check_ranges(findings, station, settings);
    check_floats(findings, station, settings);
    check_discharge_pressure(findings, station, settings);
    check_succession(findings, settings);
    check_times(findings, station, settings);
    check_lag_marks(findings, settings);
    check_draw(findings, station, settings);
    check_sleep_marks(findings, station, settings);
    check_moving_setpoint(findings, station, settings);
    check_timed_duties(findings, station, settings);
    return findings;
}

Findings check_service(const Station& station, const core::Settings& settings) {
    Findings findings;
    if (!check_lift(findings, station, settings)) return findings;
    const core::FlowTable flows(settings);
    check_minimum_flow(findings, settings, flows);
    if (!findings.empty()) return findings;
    check_transfers(findings, station, settings);
    check_band(findings, station, settings, flows);
    check_arrest(findings, station, settings, flows);
    check_starts(findings, station, settings);
    check_rest(findings, station, settings);
    check_run(findings, station, settings);
    check_sleep(findings, station, settings);
    check_raised_setpoint(findings, settings);
    check_draw_down(findings, station, settings, flows);
    check_scour(findings, station, settings, flows);
    check_forecast(findings, station, settings, flows);
    return findings;
}

}  // namespace freshet::config
