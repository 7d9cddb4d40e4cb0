// Surge figures; see the header for the equations and their source.
#include "sim_plant/physics/surge.hpp"

#include <algorithm>
#include <cmath>

#include "sim_plant/physics/gravity.hpp"
#include "sim_plant/physics/pipe.hpp"

namespace freshet::plant {

double wave_speed_ms(double bulk_pa, double density_kgm3, double elasticity_pa, double diameter_m,
                     double wall_m) {
    return std::sqrt(bulk_pa / density_kgm3 / (1 + bulk_pa * diameter_m / (elasticity_pa * wall_m)));
}

double joukowsky_head_m(double wave_speed_ms, double velocity_change_ms) {
    return wave_speed_ms * velocity_change_ms / gravity_ms2;
}

double critical_period_s(const config::Main& main) {
    double period = 0;
    for (const config::Reach& reach : main.reaches) period += 2 * reach.length_m / reach.wave_speed_ms;
    return period;
}

double stop_head_m(double wave_speed_ms, double velocity_change_ms, double critical_period_s, double stop_s) {
    const double head = joukowsky_head_m(wave_speed_ms, velocity_change_ms);
    return stop_s <= critical_period_s ? head : head * critical_period_s / stop_s;
}

double trip_surge_head_m(const config::Main& main, double flow_m3s) {
    double head = 0;
    for (const config::Reach& reach : main.reaches) {
        head = std::max(
            head, joukowsky_head_m(reach.wave_speed_ms, std::abs(velocity_ms(flow_m3s, reach.diameter_m))));
    }
    return head;
}

double elastic_storage_m2(const config::Main& main) {
    double storage = 0;
    for (const config::Reach& reach : main.reaches) {
        storage += gravity_ms2 * area_m2(reach.diameter_m) * reach.length_m /
                   (reach.wave_speed_ms * reach.wave_speed_ms);
    }
    return storage;
}

}  // namespace freshet::plant
