// The header's balance in one step, for the main's column of water and for a pressure station's header.
//
// One reason to change: the equation that a header adds to the equations of the pumps.
//
// Equations, at the end of the step (backward Euler), each with one unknown:
//
//   main, unknown Q: lift = discharge + loss(Q) + (sum L/gA) (Q - Q_before)/dt - suction; the outflow is Q.
//   pressure header, unknown H: lift = H - suction;
//     the outflow is delivered(H) + (held(H) - held_before)/dt, held from air_vessel.hpp;
//     delivered = demand at 10 m or more above the discharge level;
//     below this height, demand r (2 - r) with r = height/10 m; no flow at the discharge level.
//
// Units: SI; heads are metres of the pumped fluid above the station datum.
// Valid: any step. In both cases the lift and the outflow rise with the unknown.
// Source: rigid-column theory and pressure-driven demand, textbooks of hydraulic transients and water
// distribution. Full demand from 10 m upwards (about one bar): common practice.
// Leaves out: see hydraulics.hpp.
#pragma once

#include "sim_plant/physics/air_vessel.hpp"
#include "sim_plant/physics/main_loss.hpp"
#include "sim_plant/physics/settled_lanes.hpp"

namespace freshet::plant {

/// Height above the discharge level from which a demand is fully met, m.
inline constexpr double full_demand_height_m = 10;

/// The main as a rigid column. Its unknown is the flow.
struct MainColumn {
    const MainLoss& loss;
    double base_m;     ///< the lift at no flow, reduced by the momentum of the previous flow
    double slope_sm2;  ///< rise of the lift with the flow, without friction
    double guess;      ///< the flow of the previous step

    Balance at(double flow_m3s) const {
        const MainLoss::Reading friction = loss.at(flow_m3s);
        return {base_m + slope_sm2 * flow_m3s + friction.loss_m, slope_sm2 + friction.slope_sm2, flow_m3s, 1};
    }
    /// The first step away from the guess, in the search for a bracket.
    double first_stride(double flow_scale_m3s) const { return 0.1 * flow_scale_m3s; }
};

/// The header of a pressure station. Its unknown is the head above the datum.
struct PressureHeader {
    const HeaderStorage& storage;
    double suction_m, centre_line_m, discharge_m, demand_m3s;
    double held_m3;  ///< before the step
    double per_dt;   ///< the inverse of the step
    double guess;    ///< the head of the previous step

    /// The flow that the demand draws at a head, and its rise per metre.
    double delivered_m3s(double head_m, double& slope_m2s) const {
        const double ratio = (head_m - discharge_m) / full_demand_height_m;
        slope_m2s = 0;
        if (ratio >= 1) return demand_m3s;
        if (ratio <= 0) return 0;
        slope_m2s = demand_m3s * 2 * (1 - ratio) / full_demand_height_m;
        return demand_m3s * ratio * (2 - ratio);
    }
    Balance at(double head_m) const {
        const HeaderStorage::Reading held = storage.at(head_m - centre_line_m);
        double slope_m2s = 0;
        const double out_m3s = delivered_m3s(head_m, slope_m2s) + (held.water_m3 - held_m3) * per_dt;
        return {head_m - suction_m, 1, out_m3s, slope_m2s + held.slope_m2 * per_dt};
    }
    double first_stride(double) const { return 1; }
};

}  // namespace freshet::plant
