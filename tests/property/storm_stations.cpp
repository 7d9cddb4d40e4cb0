// The stations of the random storms.
// One reason to change: a difference between the stations.
#include <array>

#include "tests/property/storms.hpp"

namespace freshet::storms {

using core::Settings;
using doubles::StationDouble;

core::Settings station_settings(std::size_t station) {
    Settings s = doubles::four_pumps();
    constexpr std::array<std::uint8_t, 4> pumps{4, 3, 2, 5};
    constexpr std::array<std::int32_t, 3> scans_ms{200, 500, 250};
    s.pump_count = pumps[station % pumps.size()];
    s.scan_ms = scans_ms[station % scans_ms.size()];
    s.store = {{{0.0, 0.0}, {5.0, station % 2 == 0 ? 400.0 : 900.0}}};
    s.staging.forecast = station % 3 != 1;
    s.staging.up_delay_ms = s.staging.down_delay_ms = 10'000;
    s.line_start.allowed = station % 4 != 3;
    s.line_start.short_circuit_va = 60e6;
    s.floats.fitted = station % 5 != 4;
    s.floats.run_on_ms = 40'000;
    s.permissives.starts_per_hour_max = static_cast<std::uint8_t>(3 + station % 4);
    s.permissives.transfers_per_hour_max = static_cast<std::uint8_t>(4 + 2 * (station % 4));
    s.permissives.rest_min_ms = station % 2 == 0 ? 20'000 : 90'000;
    s.permissives.run_min_ms = station % 3 == 0 ? 30'000 : 120'000;
    s.permissives.residual_voltage_ms = station % 2 == 0 ? 3'000 : 30'000;
    s.permissives.pumps_max_on_generator = 2;
    s.signal.freeze_ms = station % 6 == 5 ? 120'000 : 0;
    s.step.overlap_ms = station % 2 == 0 ? 500 : 1'000;
    s.step.attempts_max = static_cast<std::uint8_t>(2 + station % 2);
    s.step.retry_pause_ms = 20'000;
    s.step.synchronise_ms = 12'000;
    s.sync.hold_ms = station % 2 == 0 ? 300 : 1'000;
    s.exercise_ms = station % 4 == 1 ? 1'200'000 : 0;
    if (station % 4 == 0) {
        // Three or four pumps reach this pressure with the header that a storm gives the station.
        s.pressure_transmitter = {true, 0, 50};
        s.permissives.discharge_pressure_max_m = 26;
        s.permissives.discharge_pressure_hold_ms = 2'000;
    }
    if (station % 3 == 2)
        s.succession = {.cold_starts_max = 2,
                        .warm_starts_max = 1,
                        .cool_ms = 1'800'000,
                        .rest_ms = 300'000,
                        .even_run_ms = 600'000,
                        .drive_starts_count = station % 2 == 0};
    s.signal.selection = station % 5 == 3 ? core::Selection::by_quality : core::Selection::average;
    s.rotation = station % 3 == 0 ? core::Rotation::hours : core::Rotation::starts;
    return s;
}

Prototypes make_prototypes(void (*spoil)(core::Settings&)) {
    Prototypes prototypes;
    for (std::size_t station = 0; station < station_count; ++station) {
        const Settings judged = station_settings(station);
        Settings spoilt = judged;
        if (spoil != nullptr) spoil(spoilt);
        prototypes.push_back(
            std::make_unique<Prototype>(Prototype{judged, core::Controller(spoilt), StationDouble(judged)}));
    }
    return prototypes;
}

}  // namespace freshet::storms
