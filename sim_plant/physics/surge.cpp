// Surge figures; see the header for the equations and their source.
//
// One reason to change: which surge figures a report gives.
#include "sim_plant/physics/surge.hpp"

#include <algorithm>
#include <cmath>

#include "config/hydraulics/gravity.hpp"
#include "config/hydraulics/pipe.hpp"

namespace freshet::plant {

double joukowsky_head_m(double wave_speed_ms, double velocity_change_ms) {
    return wave_speed_ms * velocity_change_ms / config::gravity_ms2;
}

double critical_period_s(const config::Main& main) {
    double period = 0;
    for (const config::Reach& reach : main.reaches) period += 2 * reach.length_m / reach.wave_speed_ms;
    return period;
}

double even_stop_s(double sudden_m, double head_m, double critical_period_s) {
    return sudden_m <= head_m ? 0 : critical_period_s * sudden_m / head_m;
}

double trip_surge_head_m(const config::Main& main, double flow_m3s) {
    double head = 0;
    for (const config::Reach& reach : main.reaches) {
        head = std::max(head, joukowsky_head_m(reach.wave_speed_ms,
                                               std::abs(config::velocity_ms(flow_m3s, reach.diameter_m))));
    }
    return head;
}

double elastic_storage_m2(const config::Main& main) {
    double storage = 0;
    for (const config::Reach& reach : main.reaches) {
        storage += config::gravity_ms2 * config::area_m2(reach.diameter_m) * reach.length_m /
                   (reach.wave_speed_ms * reach.wave_speed_ms);
    }
    return storage;
}

}  // namespace freshet::plant
