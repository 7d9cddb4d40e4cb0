// Steady operating points and the contradictions that leave none; see the header for the equations.
#include "sim_plant/physics/station_capacity.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <stdexcept>

#include "sim_plant/physics/branch.hpp"
#include "sim_plant/physics/pipe.hpp"
#include "sim_plant/physics/pump_curve.hpp"
#include "sim_plant/physics/well.hpp"

namespace freshet::plant {
namespace {

constexpr double speed_ratio_max = 1.5;
constexpr int bisections = 200;

/// Root of a falling function between `low` (where it is positive) and `high`, to the last bits.
template <class Falling>
double root_of_falling(Falling falling, double low, double high) {
    for (int i = 0; i < bisections; ++i) {
        const double middle = 0.5 * (low + high);
        if (middle <= low || middle >= high) break;
        (falling(middle) > 0 ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

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

}  // namespace

double static_head_m(const config::Station& station, double level_m) {
    return discharge_m(station, level_m) - suction_m(station, level_m);
}

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
    if (most > 0) point.total_flow_m3s = root_of_falling([&](double q) { return pumped(q) - q; }, 0, most);
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

double capacity_m3s(const config::Station& station, int pumps, double speed_ratio, double level_m) {
    std::array<double, 8> speeds{};
    const auto count = static_cast<std::size_t>(std::clamp(pumps, 0, 8));
    std::fill_n(speeds.begin(), count, speed_ratio);
    return operating_point(station, std::span(speeds).first(count), level_m).total_flow_m3s;
}

double overcoming_speed_ratio(const config::Station& station, int pumps_on_line, double level_m) {
    std::array<double, 8> speeds{};
    const auto count = static_cast<std::size_t>(std::clamp(pumps_on_line, 0, 8));
    std::fill_n(speeds.begin(), count, 1.0);
    const OperatingPoint point = operating_point(station, std::span(speeds).first(count), level_m);
    const double lift = point.header_head_m - suction_m(station, level_m);
    return lift > 0 ? std::sqrt(lift / station.pump.curve.front().head_m) : 0;
}

std::optional<double> minimum_flow_speed_ratio(const config::Station& station, int pumps_on_line,
                                               double level_m) {
    std::array<double, 8> speeds{};
    const auto line = static_cast<std::size_t>(std::clamp(pumps_on_line, 0, 7));
    std::fill_n(speeds.begin(), line, 1.0);
    const auto missing = [&](double speed) {
        speeds[line] = speed;
        const OperatingPoint point = operating_point(station, std::span(speeds).first(line + 1), level_m);
        return speed * station.pump.minimum_flow_m3s - point.flow_m3s[line];
    };
    const double from =
        std::max(1e-3, overcoming_speed_ratio(station, line > 0 ? static_cast<int>(line) : 0, level_m));
    if (from >= speed_ratio_max || missing(speed_ratio_max) > 0) return std::nullopt;
    if (missing(from) <= 0) return from;
    double low = from;
    double high = speed_ratio_max;
    constexpr int halvings = 50;
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        (missing(middle) > 0 ? low : high) = middle;
    }
    return high;
}

double fitted_main_loss_s2m5(const config::Station& station, double level_m) {
    const double firm = capacity_m3s(station, std::max(1, station.pump_count - 1), 1, level_m);
    return firm > 0 ? main_loss_m(station.main, station.fluid, firm) / (firm * firm) : 0;
}

std::vector<HydraulicFinding> hydraulic_contradictions(const config::Station& station) {
    std::vector<HydraulicFinding> findings;
    const auto add = [&](Contradiction what, double figure, double limit, const char* format) {
        findings.push_back({what, figure, limit, sentence(format, figure, limit)});
    };
    if (station.pump_count < 1 || station.pump_count > 8) {
        add(Contradiction::pump_count_unusable, station.pump_count, 8,
            "%.0f pumps: a station has one to %.0f");
    }
    if (!(station.fluid.density_kgm3 > 0 && station.fluid.viscosity_m2s > 0)) {
        add(Contradiction::fluid_unusable, station.fluid.density_kgm3, 0,
            "fluid: density (%.4g kg/m3) and viscosity must be above %.0f");
    }
    bool curve_good = true;
    try {
        const PumpCurve curve(station.pump, station.fluid);
    } catch (const std::invalid_argument& problem) {
        curve_good = false;
        findings.push_back(
            {Contradiction::curve_unusable, 0, 0, std::string("pump curve: ") + problem.what()});
    }
    if (!(station.pump.branch_loss_s2m5 >= 0 && station.pump.valve_closing_s >= 0 &&
          station.pump.minimum_flow_m3s >= 0)) {
        add(Contradiction::curve_unusable, station.pump.branch_loss_s2m5, 0,
            "pump: branch loss (%.4g s2/m5), closing time and minimum flow may not be below %.0f");
    }
    for (const config::Reach& reach : station.main.reaches) {
        const bool darcy = reach.friction == config::Friction::darcy_weisbach;
        const bool wall = darcy ? reach.roughness_m >= 0 && reach.roughness_m < 0.1 * reach.diameter_m
                                : reach.hazen_williams_c > 0;
        if (!(reach.length_m > 0 && reach.diameter_m > 0 && wall && reach.minor_loss_k >= 0 &&
              reach.wave_speed_ms > 0)) {
            add(Contradiction::reach_unusable, reach.length_m, reach.diameter_m,
                "reach of %.4g m, bore %.4g m: length, bore, wall figure, fittings or wave speed out of "
                "range");
        }
    }
    double lowest_lift = station.main.discharge_level_m - station.suction_head_m;
    if (station.duty != config::Duty::hold_pressure) {
        try {
            const StageStorage storage(station.well.storage);
            if (station.well.overflow_level_m <= storage.floor_level_m()) {
                add(Contradiction::store_unusable, station.well.overflow_level_m, storage.floor_level_m(),
                    "overflow at %.4g m is not above the floor at %.4g m");
            }
            if (station.duty == config::Duty::empty_well) {
                lowest_lift = station.main.discharge_level_m - station.well.overflow_level_m;
            }
        } catch (const std::invalid_argument& problem) {
            findings.push_back({Contradiction::storage_unusable, 0, 0, problem.what()});
        }
        if (!(station.well.overflow_width_m >= 0 && station.well.overflow_coefficient >= 0)) {
            add(Contradiction::store_unusable, station.well.overflow_width_m, 0,
                "overflow weir: width (%.4g m) and coefficient may not be below %.0f");
        }
    } else if (!(station.air_vessel.air_volume_m3 >= 0 && station.air_vessel.polytropic_exponent >= 1)) {
        add(Contradiction::vessel_unusable, station.air_vessel.polytropic_exponent, 1,
            "air vessel: volume below zero or polytropic exponent %.4g below %.0f");
    }
    if (curve_good && !station.pump.curve.empty() && lowest_lift >= station.pump.curve.front().head_m) {
        add(Contradiction::never_overcomes_static_head, station.pump.curve.front().head_m, lowest_lift,
            "the pump's shut-off head of %.4g m never overcomes the least static head of %.4g m");
    }
    return findings;
}

}  // namespace freshet::plant
