// Contradictions of a station's water side; see the header.
//
// One reason to change: a contradiction of the water side.
#include "sim_plant/physics/hydraulic_contradictions.hpp"

#include <algorithm>
#include <array>
#include <cstdio>
#include <stdexcept>

#include "config/hydraulics/pump_curve.hpp"
#include "sim_plant/physics/well.hpp"

namespace freshet::plant {
namespace {

std::string sentence(const char* format, double figure, double limit) {
    std::array<char, 256> text{};
    const int length = std::snprintf(text.data(), text.size(), format, figure, limit);
    return {text.data(), static_cast<std::size_t>(std::max(0, length))};
}

using Sentences = std::vector<std::string>;

/// True when the curve can be read.
bool check_pump(const config::Station& station, Sentences& found) {
    bool readable = true;
    try {
        const config::PumpCurve curve(station.pump, station.fluid);
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

/// The lowest lift from the store or into the store, m.
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
