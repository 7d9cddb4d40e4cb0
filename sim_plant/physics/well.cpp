// Stage-storage table and overflow weir; see the header for the equations and their source.
//
// One reason to change: the shape of a store, or its overflow.
#include "sim_plant/physics/well.hpp"

#include <cmath>
#include <stdexcept>

namespace freshet::plant {

double weir_head_after_step_m(double free_head_m, double area_m2, double weir_m15) {
    // In r = sqrt(h) the balance is a cubic that rises and is convex for r > 0. From above, Newton's method
    // falls to the root.
    double r = std::sqrt(free_head_m);
    constexpr int iterations_max = 60;
    for (int i = 0; i < iterations_max; ++i) {
        const double excess = area_m2 * (r * r - free_head_m) + weir_m15 * r * r * r;
        const double change = excess / (r * (2 * area_m2 + 3 * weir_m15 * r));
        r -= change;
        if (change <= 1e-12 * r) break;
    }
    return r * r;
}

StageStorage::StageStorage(const std::vector<config::StoragePoint>& points) {
    if (points.size() < 2) throw std::invalid_argument("a stage-storage table needs two points or more");
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
        const double rise = points[i + 1].level_m - points[i].level_m;
        const double gain = points[i + 1].volume_m3 - points[i].volume_m3;
        if (!(rise > 0 && gain > 0)) {
            throw std::invalid_argument(
                "levels and volumes of a stage-storage table rise from point to point");
        }
        pieces_.push_back({points[i].level_m, points[i].volume_m3, rise / gain});
    }
}

double StageStorage::volume_m3(double level_m) const {
    std::size_t at = 0;
    while (at + 1 < pieces_.size() && level_m > pieces_[at + 1].level_m) ++at;
    return pieces_[at].volume_m3 + (level_m - pieces_[at].level_m) / pieces_[at].per_area_m2;
}

}  // namespace freshet::plant
