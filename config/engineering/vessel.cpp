// The vessel of a booster; see the header.
// One reason to change: the formula that sizes a vessel.
#include "config/engineering/vessel.hpp"

#include "config/engineering/derive.hpp"
#include "config/engineering/proposal.hpp"
#include "config/engineering/rules.hpp"
#include "config/hydraulics/air_vessel.hpp"
#include "controller/core/steady_flow.hpp"

namespace freshet::config {

SleepCycle vessel_cycle(const Station& station, const core::Settings& settings, double lower_m,
                        double upper_m) {
    const AirVessel& vessel = station.air_vessel;
    const double atmosphere_m = atmosphere_head_m(station.fluid);
    SleepCycle cycle;
    cycle.air_m3 = vessel.air_volume_m3;
    cycle.drawn_m3 = vessel.air_volume_m3 *
                     (air_share(vessel, atmosphere_m, lower_m) - air_share(vessel, atmosphere_m, upper_m));
    const double upper_hz = core::minimum_flow_speed_hz(settings, 0, upper_m);
    cycle.pump_m3s = settings.minimum_flow_m3s * core::DriveSpeed(settings).ratio_of(upper_hz);
    cycle.pumps = settings.pump_count;
    cycle.shortest_charge_s = cycle.drawn_m3 / cycle.pump_m3s;
    cycle.starts_per_hour_each =
        s_per_hour / worst_cycle_time_s(cycle.drawn_m3, cycle.pump_m3s) / cycle.pumps;
    return cycle;
}

}  // namespace freshet::config
