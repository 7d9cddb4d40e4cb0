// The loss table of a main; see the header.
//
// One reason to change: how the loss of a main is tabulated.
#include "sim_plant/physics/main_loss.hpp"

#include <algorithm>

#include "config/numerics/monotone_cubic.hpp"

namespace freshet::plant {
namespace {

/// Slope of the main's loss by a central difference. The distance is small enough for the table and large
/// enough for the precision of a double.
double main_loss_slope(const config::Main& main, const config::Fluid& fluid, double flow_m3s) {
    const double step = 1e-5 * flow_m3s;
    return (config::main_loss_m(main, fluid, flow_m3s + step) -
            config::main_loss_m(main, fluid, flow_m3s - step)) /
           (2 * step);
}

}  // namespace

MainLoss::MainLoss(const config::Main& main, const config::Fluid& fluid, double flow_max_m3s)
    : width_m3s_(flow_max_m3s / static_cast<double>(pieces_count)), per_width_(1 / width_m3s_) {
    std::array<double, pieces_count + 1> loss{};
    std::array<double, pieces_count + 1> slope{};
    for (std::size_t i = 1; i <= pieces_count; ++i) {
        const double flow = static_cast<double>(i) * width_m3s_;
        loss[i] = config::main_loss_m(main, fluid, flow);
        slope[i] = main_loss_slope(main, fluid, flow);
    }
    for (std::size_t i = 0; i < pieces_count; ++i) {
        pieces_[i] = config::hermite(width_m3s_, loss[i], loss[i + 1], slope[i], slope[i + 1]);
    }
    const double curvature = std::max(0.0, slope.back() / (2 * flow_max_m3s));
    pieces_.back() = {loss.back(), slope.back(), curvature, 0};
}

}  // namespace freshet::plant
