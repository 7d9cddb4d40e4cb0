// Where the simulated plant's pumps work together when nothing changes: the plant's own branches and its own
// friction laws, solved to the last bits. Tests hold the flows of the controller and of the stepped plant to
// this. One reason to change: what the plant's steady balance consists of.
#pragma once

#include <algorithm>
#include <array>
#include <span>
#include <vector>

#include "config/hydraulics/pipe.hpp"
#include "config/hydraulics/pump_curve.hpp"
#include "config/numerics/root.hpp"
#include "config/station.hpp"
#include "sim_plant/physics/branch.hpp"

namespace freshet::doubles {

/// Pumps together on the main, steady.
struct OperatingPoint {
    double total_flow_m3s = 0;
    double header_head_m = 0;                                         ///< above the station datum
    double lift_m = 0;                                                ///< header less suction
    std::array<double, 8> flow_m3s{}, shaft_power_w{}, efficiency{};  ///< of each pump
};

/// Head where the water comes from, above the station datum, at a level of the store (pressure duty: at a
/// pressure head of the header).
inline double suction_m(const config::Station& station, double level_m) {
    return station.duty == config::Duty::empty_well ? level_m : station.suction_head_m;
}

/// Head at the far end of the header's main at no flow.
inline double discharge_m(const config::Station& station, double level_m) {
    switch (station.duty) {
        case config::Duty::empty_well:
            return station.main.discharge_level_m;
        case config::Duty::fill_tank:
            return std::max(station.main.discharge_level_m, level_m);
        case config::Duty::hold_pressure:
            return level_m + station.well.suction_level_m;
    }
    return 0;
}

/// Head lost between the header and the far end. A demand is taken at the header.
inline double loss_m(const config::Station& station, double flow_m3s) {
    return station.duty == config::Duty::hold_pressure
               ? 0
               : config::main_loss_m(station.main, station.fluid, flow_m3s);
}

/// Where pumps of these speeds, ratios of rated speed, work together; up to eight.
inline OperatingPoint operating_point(const config::Station& station, std::span<const double> speed_ratio,
                                      double level_m) {
    const config::PumpCurve curve(station.pump, station.fluid);
    std::vector<plant::Branch> branches(speed_ratio.size());
    for (std::size_t i = 0; i < branches.size(); ++i)
        set_branch(branches[i], curve, station.pump.branch_loss_s2m5, speed_ratio[i], 1);
    const double suction = suction_m(station, level_m);
    const double discharge = discharge_m(station, level_m);
    const auto pumped = [&](double flow) {
        const double lift = discharge + loss_m(station, flow) - suction;
        double sum = 0;
        for (const plant::Branch& branch : branches) sum += branch_flow(branch, curve, lift, 0).flow_m3s;
        return sum;
    };
    OperatingPoint point;
    const double most = pumped(0);
    if (most > 0)
        point.total_flow_m3s = config::root_between([&](double q) { return pumped(q) - q; }, 0, most);
    point.header_head_m = discharge + loss_m(station, point.total_flow_m3s);
    point.lift_m = point.header_head_m - suction;
    for (std::size_t i = 0; i < branches.size(); ++i) {
        const double s = branches[i].speed_ratio;
        point.flow_m3s[i] = branch_flow(branches[i], curve, point.lift_m, 0).flow_m3s;
        if (branches[i].per_speed == 0) continue;
        const double at_rated = point.flow_m3s[i] * branches[i].per_speed;
        point.shaft_power_w[i] = s * s * s * curve.torque_nm(at_rated) * curve.rated_speed_rad_s();
        point.efficiency[i] = curve.efficiency(at_rated);
    }
    return point;
}

/// Flow of up to eight pumps at one speed, m3/s.
inline double capacity_m3s(const config::Station& station, std::size_t pumps, double speed_ratio,
                           double level_m) {
    std::array<double, 8> speeds{};
    speeds.fill(speed_ratio);
    return operating_point(station, std::span(speeds).first(pumps), level_m).total_flow_m3s;
}

}  // namespace freshet::doubles
