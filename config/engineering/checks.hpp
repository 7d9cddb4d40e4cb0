// The checks of a station's values against one another.
// One reason to change: a contradiction that a station file can hold.
#pragma once

#include <vector>

#include "config/engineering/findings.hpp"
#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {
class FlowTable;
}

namespace freshet::config {

/// Each checks one table that was read without error and adds its findings.
void check_well(Findings& findings, const Well& well);
void check_pump(Findings& findings, const PumpType& pump);
void check_main(Findings& findings, const Main& main);
void check_motor(Findings& findings, const Motor& motor);
void check_drive(Findings& findings, const Drive& drive);
void check_instruments(Findings& findings, const Instruments& instruments);
void check_tariff(Findings& findings, const std::vector<TariffBand>& tariff);
/// The marks in the order of the duty. The findings use the duty's names of the marks.
void check_marks(Findings& findings, const core::Settings& settings);

/// Checks a whole station file that was read without error: equipment against equipment, settings against
/// equipment.
Findings check_station(const Station& station, const core::Settings& settings);

/// Finds the settings that the hydraulics and the store make impossible, and suggests values.
/// `derive_settings` must have run.
Findings check_service(const Station& station, const core::Settings& settings);

/// The parts of `check_station`.
void check_supply(Findings& findings, const Station& station);
void check_ranges(Findings& findings, const Station& station, const core::Settings& settings);
void check_floats(Findings& findings, const Station& station, const core::Settings& settings);
void check_discharge_pressure(Findings& findings, const Station& station, const core::Settings& settings);
void check_succession(Findings& findings, const core::Settings& settings);
void check_times(Findings& findings, const Station& station, const core::Settings& settings);
void check_lag_marks(Findings& findings, const core::Settings& settings);
void check_draw(Findings& findings, const Station& station, const core::Settings& settings);
void check_moving_setpoint(Findings& findings, const Station& station, const core::Settings& settings);
void check_timed_duties(Findings& findings, const Station& station, const core::Settings& settings);
void check_sleep_marks(Findings& findings, const Station& station, const core::Settings& settings);

/// The parts of `check_service`. `check_lift` says whether the pumps lift any water; the other checks need
/// that.
bool check_lift(Findings& findings, const Station& station, const core::Settings& settings);
void check_minimum_flow(Findings& findings, const core::Settings& settings, const core::FlowTable& flows);
void check_transfers(Findings& findings, const Station& station, const core::Settings& settings);
void check_arrest(Findings& findings, const Station& station, const core::Settings& settings,
                  const core::FlowTable& flows);
void check_band(Findings& findings, const Station& station, const core::Settings& settings,
                const core::FlowTable& flows);
void check_starts(Findings& findings, const Station& station, const core::Settings& settings);
void check_rest(Findings& findings, const Station& station, const core::Settings& settings);
void check_run(Findings& findings, const Station& station, const core::Settings& settings);
void check_raised_setpoint(Findings& findings, const core::Settings& settings);
void check_draw_down(Findings& findings, const Station& station, const core::Settings& settings,
                     const core::FlowTable& flows);
void check_scour(Findings& findings, const Station& station, const core::Settings& settings,
                 const core::FlowTable& flows);
void check_sleep(Findings& findings, const Station& station, const core::Settings& settings);
void check_forecast(Findings& findings, const Station& station, core::Settings settings,
                    const core::FlowTable& flows);

}  // namespace freshet::config
