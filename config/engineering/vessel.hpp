// The vessel of a booster: how often pumps start while the vessel supplies the demand, and the vessel that a
// number of starts needs.
// One reason to change: the formula that sizes a vessel.
#pragma once

#include "config/station.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

/// The cycle of a pump that charges the vessel from one pressure to another at its minimum flow, and stops.
///
/// The air follows p V^n = constant in absolute pressure, so that the drawn volume is
/// V_draw = V_air ((p0 / p1)^(1/n) - (p0 / p2)^(1/n)), p0 at pre-charge. A cycle at the demand q and the
/// pump's flow Q takes V_draw (1/q + 1/(Q - q)), which is least at q = Q/2: T = 4 V_draw / Q. Source: Boyle's
/// law for captive air, trade column on pressure tank drawdown (nationaldriller.com, article 86087, 25.1 gal
/// from 85 gal), n = 1 there; the least cycle: UFC 3-240-04A, para 7, V = t q / 4.
struct SleepCycle {
    double drawn_m3 = 0;              ///< V_draw
    double pump_m3s = 0;              ///< Q, at the minimum-flow speed and the upper pressure
    double air_m3 = 0;                ///< V_air
    int pumps = 1;                    ///< that take turns
    double shortest_charge_s = 0;     ///< without demand
    double starts_per_hour_each = 0;  ///< of each pump, at the worst demand

    /// The air at pre-charge with which each pump starts at most `starts` times an hour, m3.
    double vessel_m3(double starts) const { return air_m3 * starts_per_hour_each / starts; }
};

/// The cycle between two pressures, `lower_m` and `upper_m`. The station holds a pressure, and its settings
/// are derived.
SleepCycle vessel_cycle(const Station& station, const core::Settings& settings, double lower_m,
                        double upper_m);

/// The cycle from wake to boost.
inline SleepCycle sleep_cycle(const Station& station, const core::Settings& settings) {
    return vessel_cycle(station, settings, settings.sleep.wake_m, settings.sleep.boost_m);
}

}  // namespace freshet::config
