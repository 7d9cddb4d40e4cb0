// Steady operating points and the contradictions that leave none; see the header for the equations.
//
// One reason to change: which steady figure of a station is needed.
#include "sim_plant/physics/station_capacity.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <stdexcept>

#include "sim_plant/physics/branch.hpp"
#include "sim_plant/physics/pipe.hpp"
#include "sim_plant/physics/pump_curve.hpp"
#include "sim_plant/physics/root.hpp"
#include "sim_plant/physics/well.hpp"

namespace freshet::plant {
namespace {

double suction_m(const config::Station& station, double level_m) {
    return station.duty == config::Duty::empty_well ? level_m : station.suction_head_m;
}

/// Head at the far end of the header's main at no flow.
double discharge_m(const config::Station& station, double level_m) {
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

double loss_m(const config::Station& station, double flow_m3s) {
    return station.duty == config::Duty::hold_pressure ? 0
                                                       : main_loss_m(station.main, station.fluid, flow_m3s);
}

std::vector<Branch> branches_at(const config::Station& station, const PumpCurve& curve,
                                std::span<const double> speed_ratio) {
    std::vector<Branch> branches(speed_ratio.size());
    for (std::size_t i = 0; i < branches.size(); ++i) {
        set_branch(branches[i], curve, station.pump.branch_loss_s2m5, speed_ratio[i], 1);
    }
    return branches;
}

std::string sentence(const char* format, double figure, double limit) {
    std::array<char, 256> text{};
    const int length = std::snprintf(text.data(), text.size(), format, figure, limit);
    return {text.data(), static_cast<std::size_t>(std::max(0, length))};
}

using Sentences = std::vector<std::string>;

/// True: the curve can be read.
bool check_pump(const config::Station& station, Sentences& found) {
    bool readable = true;
    try {
        const PumpCurve curve(station.pump, station.fluid);
    } catch (const std::invalid_argument& problem) {
        readable = false;
        found.push_back(std::string("pump curve: ") + problem.what());
    }
    const config::PumpType& pump = station.pump;
    if (!(pump.branch_loss_s2m5 >= 0 && pump.valve_closing_s >= 0 && pump.minimum_flow_m3s >= 0))
        found.push_back(
            sentence("pump: branch loss (%.4g s2/m5), closing time and minimum flow may not be below %.0f",
                     pump.branch_loss_s2m5, 0));
    return readable;
}

void check_main(const config::Main& main, Sentences& found) {
    for (const config::Reach& reach : main.reaches) {
        const bool darcy = reach.friction == config::Friction::darcy_weisbach;
        const bool wall = darcy ? reach.roughness_m >= 0 && reach.roughness_m < 0.1 * reach.diameter_m
                                : reach.hazen_williams_c > 0;
        if (!(reach.length_m > 0 && reach.diameter_m > 0 && wall && reach.minor_loss_k >= 0 &&
              reach.wave_speed_ms > 0))
            found.push_back(
                sentence("reach of %.4g m, bore %.4g m: length, bore, wall figure, fittings or wave speed is "
                         "out of range",
                         reach.length_m, reach.diameter_m));
    }
}

/// The lowest lift from or into the store, m.
double check_store(const config::Station& station, Sentences& found) {
    const config::Well& well = station.well;
    try {
        const StageStorage storage(well.storage);
        if (well.overflow_level_m <= storage.floor_level_m())
            found.push_back(sentence("overflow at %.4g m is not above the floor at %.4g m",
                                     well.overflow_level_m, storage.floor_level_m()));
    } catch (const std::invalid_argument& problem) {
        found.emplace_back(problem.what());
    }
    if (!(well.overflow_width_m >= 0 && well.overflow_coefficient >= 0))
        found.push_back(sentence("overflow weir: width (%.4g m) and coefficient may not be below %.0f",
                                 well.overflow_width_m, 0));
    return station.main.discharge_level_m -
           (station.duty == config::Duty::empty_well ? well.overflow_level_m : station.suction_head_m);
}

/// The lowest lift into the header, m.
double check_vessel(const config::Station& station, Sentences& found) {
    if (!(station.air_vessel.air_volume_m3 >= 0 && station.air_vessel.polytropic_exponent >= 1))
        found.push_back(sentence("air vessel: volume below zero or polytropic exponent %.4g below %.0f",
                                 station.air_vessel.polytropic_exponent, 1));
    return station.main.discharge_level_m - station.suction_head_m;
}

}  // namespace

OperatingPoint operating_point(const config::Station& station, std::span<const double> speed_ratio,
                               double level_m) {
    if (speed_ratio.size() > 8) throw std::invalid_argument("a station has at most eight pumps");
    const PumpCurve curve(station.pump, station.fluid);
    const std::vector<Branch> branches = branches_at(station, curve, speed_ratio);
    const double suction = suction_m(station, level_m);
    const double discharge = discharge_m(station, level_m);
    const auto pumped = [&](double flow) {
        const double lift = discharge + loss_m(station, flow) - suction;
        double sum = 0;
        for (const Branch& branch : branches) sum += branch_flow(branch, curve, lift, 0).flow_m3s;
        return sum;
    };
    OperatingPoint point;
    const double most = pumped(0);
    if (most > 0) point.total_flow_m3s = root_between([&](double q) { return pumped(q) - q; }, 0, most);
    point.header_head_m = discharge + loss_m(station, point.total_flow_m3s);
    const double lift = point.header_head_m - suction;
    for (std::size_t i = 0; i < branches.size(); ++i) {
        const double s = branches[i].speed_ratio;
        const double flow = branch_flow(branches[i], curve, lift, 0).flow_m3s;
        point.flow_m3s[i] = flow;
        if (branches[i].per_speed == 0) continue;
        const double at_rated = flow * branches[i].per_speed;
        point.shaft_power_w[i] = s * s * s * curve.torque_nm(at_rated) * curve.rated_speed_rad_s();
        point.efficiency[i] = curve.efficiency(at_rated);
    }
    return point;
}

std::vector<std::string> hydraulic_contradictions(const config::Station& station) {
    std::vector<std::string> found;
    if (station.pump_count < 1 || station.pump_count > 8)
        found.push_back(sentence("%.0f pumps: a station has one to %.0f", station.pump_count, 8));
    if (!(station.fluid.density_kgm3 > 0 && station.fluid.viscosity_m2s > 0))
        found.push_back(sentence("fluid: density (%.4g kg/m3) and viscosity must be above %.0f",
                                 station.fluid.density_kgm3, 0));
    const bool curve_good = check_pump(station, found);
    check_main(station.main, found);
    const double lowest_lift_m = station.duty == config::Duty::hold_pressure ? check_vessel(station, found)
                                                                             : check_store(station, found);
    if (!curve_good || station.pump.curve.empty()) return found;
    const double shut_off_m = station.pump.curve.front().head_m;
    if (lowest_lift_m >= shut_off_m)
        found.push_back(
            sentence("the pump's shut-off head of %.4g m never overcomes the least static head of %.4g m",
                     shut_off_m, lowest_lift_m));
    return found;
}

}  // namespace freshet::plant
