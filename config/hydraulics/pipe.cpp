// Friction factors, losses of reaches, and the loss table of a main; see the header for equations and
// sources.
//
// One reason to change: a friction law, or how the loss is made quick to read.
#include "config/hydraulics/pipe.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "config/hydraulics/gravity.hpp"

namespace freshet::config {
namespace {

constexpr double laminar_reynolds_max = 2000;
constexpr double turbulent_reynolds_min = 4000;

}  // namespace

double area_m2(double diameter_m) {
    return std::numbers::pi / 4 * diameter_m * diameter_m;
}

double velocity_ms(double flow_m3s, double diameter_m) {
    return flow_m3s / area_m2(diameter_m);
}

double reynolds(double flow_m3s, double diameter_m, double viscosity_m2s) {
    return std::abs(velocity_ms(flow_m3s, diameter_m)) * diameter_m / viscosity_m2s;
}

double friction_factor_laminar(double reynolds) {
    return 64 / reynolds;
}

double friction_factor_colebrook(double reynolds, double relative_roughness) {
    // Newton on x = 1/sqrt f: the residual is convex and the Haaland start is close, so it settles in three
    // or four.
    double x = 1 / std::sqrt(friction_factor_haaland(reynolds, relative_roughness));
    constexpr int iterations_max = 20;
    for (int i = 0; i < iterations_max; ++i) {
        const double inside = relative_roughness / 3.7 + 2.51 * x / reynolds;
        const double residual = x + 2 * std::log10(inside);
        const double slope = 1 + 2 / std::numbers::ln10 * (2.51 / reynolds) / inside;
        const double change = residual / slope;
        x -= change;
        if (std::abs(change) < 1e-14 * x) break;
    }
    return 1 / (x * x);
}

double friction_factor_haaland(double reynolds, double relative_roughness) {
    const double x = -1.8 * std::log10(std::pow(relative_roughness / 3.7, 1.11) + 6.9 / reynolds);
    return 1 / (x * x);
}

double friction_factor(double reynolds, double relative_roughness) {
    if (reynolds <= laminar_reynolds_max) return friction_factor_laminar(reynolds);
    if (reynolds >= turbulent_reynolds_min) return friction_factor_colebrook(reynolds, relative_roughness);
    const double laminar = friction_factor_laminar(laminar_reynolds_max);
    const double turbulent = friction_factor_colebrook(turbulent_reynolds_min, relative_roughness);
    const double part = (reynolds - laminar_reynolds_max) / (turbulent_reynolds_min - laminar_reynolds_max);
    return laminar + part * (turbulent - laminar);
}

double hazen_williams_loss_m(double flow_m3s, double length_m, double diameter_m, double c) {
    return 10.67 * length_m * std::pow(flow_m3s / c, 1.852) / std::pow(diameter_m, 4.8704);
}

double reach_loss_m(const Reach& reach, const Fluid& fluid, double flow_m3s) {
    const double flow = std::abs(flow_m3s);
    if (flow == 0) return 0;
    const double velocity = velocity_ms(flow, reach.diameter_m);
    const double velocity_head = velocity * velocity / (2 * gravity_ms2);
    double loss = reach.minor_loss_k * velocity_head;
    if (reach.friction == Friction::hazen_williams) {
        loss += hazen_williams_loss_m(flow, reach.length_m, reach.diameter_m, reach.hazen_williams_c);
    } else {
        const double factor = friction_factor(reynolds(flow, reach.diameter_m, fluid.viscosity_m2s),
                                              reach.roughness_m / reach.diameter_m);
        loss += factor * reach.length_m / reach.diameter_m * velocity_head;
    }
    return std::copysign(loss, flow_m3s);
}

double main_loss_m(const Main& main, const Fluid& fluid, double flow_m3s) {
    double loss = 0;
    for (const Reach& reach : main.reaches) loss += reach_loss_m(reach, fluid, flow_m3s);
    return loss;
}

double column_inertia_s2m2(const Main& main) {
    double inertia = 0;
    for (const Reach& reach : main.reaches) {
        inertia += reach.length_m / (gravity_ms2 * area_m2(reach.diameter_m));
    }
    return inertia;
}

double narrowest_diameter_m(const Main& main) {
    double narrowest = 0;
    for (const Reach& reach : main.reaches) {
        if (narrowest == 0 || reach.diameter_m < narrowest) narrowest = reach.diameter_m;
    }
    return narrowest;
}

double widest_diameter_m(const Main& main) {
    double widest = 0;
    for (const Reach& reach : main.reaches)
        if (reach.diameter_m > widest) widest = reach.diameter_m;
    return widest;
}

}  // namespace freshet::config
