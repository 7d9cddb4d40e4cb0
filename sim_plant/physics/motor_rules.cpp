// The rules' tables: see the header.
#include "sim_plant/physics/motor_rules.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace freshet::plant {

namespace {

struct CurrentRow {
    double power_hp, at_460_v_a, at_2300_v_a;
};
constexpr std::array<CurrentRow, 12> current_rows{{
    {60, 77, 16},
    {75, 96, 20},
    {100, 124, 26},
    {125, 156, 31},
    {150, 180, 37},
    {200, 240, 49},
    {250, 302, 60},
    {300, 361, 72},
    {350, 414, 83},
    {400, 477, 95},
    {450, 515, 103},
    {500, 590, 118},
}};

struct DeratingPoint {
    double unbalance, factor;
};
constexpr std::array<DeratingPoint, 10> derating_points{{{0.00, 1.0},
                                                         {0.01, 0.99},
                                                         {0.015, 0.97},
                                                         {0.02, 0.95},
                                                         {0.025, 0.93},
                                                         {0.03, 0.89},
                                                         {0.035, 0.85},
                                                         {0.04, 0.82},
                                                         {0.045, 0.78},
                                                         {0.05, 0.76}}};

}  // namespace

double locked_rotor_current_a(double kva_per_hp, double power_hp, double voltage_v) {
    return 1000 * kva_per_hp * power_hp / (std::numbers::sqrt3 * voltage_v);
}

double voltage_dip(double start_va, double short_circuit_va, bool in_series) {
    return start_va / (short_circuit_va + (in_series ? start_va : 0));
}

double voltage_unbalance(const std::array<double, 3>& line_v) {
    const double mean = (line_v[0] + line_v[1] + line_v[2]) / 3;
    double deviation = 0;
    for (const double v : line_v) deviation = std::max(deviation, std::abs(v - mean));
    return deviation / mean;
}

double unbalance_rise_factor(double unbalance) {
    const double percent = 100 * unbalance;
    return 1 + 2 * percent * percent / 100;
}

double unbalance_derating(double unbalance) {
    if (unbalance <= 0) return 1;
    for (std::size_t i = 1; i < derating_points.size(); ++i) {
        const DeratingPoint& a = derating_points[i - 1];
        const DeratingPoint& b = derating_points[i];
        if (unbalance <= b.unbalance)
            return a.factor + (b.factor - a.factor) * (unbalance - a.unbalance) / (b.unbalance - a.unbalance);
    }
    return derating_points.back().factor;
}

std::optional<double> table_full_load_current_a(double power_hp, double voltage_v) {
    for (const CurrentRow& row : current_rows) {
        if (row.power_hp != power_hp) continue;
        if (voltage_v == 460) return row.at_460_v_a;
        if (voltage_v == 2300) return row.at_2300_v_a;
    }
    return std::nullopt;
}

}  // namespace freshet::plant
