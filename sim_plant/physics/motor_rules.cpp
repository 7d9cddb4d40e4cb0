// The rules' tables: see the header.
#include "sim_plant/physics/motor_rules.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace freshet::plant {

namespace {

struct StartFigures {
    double a_per_hour, b_per_hour_lb_ft2, c_rest_s;
};
struct StartRow {
    double power_hp;
    std::array<StartFigures, 3> by_poles;  // 2, 4, 6
};
constexpr std::array<StartRow, 20> start_rows{{
    {1, {{{15, 1.2, 75}, {30, 5.8, 38}, {34, 15, 33}}}},
    {1.5, {{{12.9, 1.8, 76}, {25.7, 8.6, 38}, {29.1, 23, 34}}}},
    {2, {{{11.5, 2.4, 77}, {23, 11, 39}, {26.1, 30, 35}}}},
    {3, {{{9.9, 3.5, 80}, {19.8, 17, 40}, {22.4, 44, 36}}}},
    {5, {{{8.1, 5.7, 83}, {16.3, 27, 42}, {18.4, 71, 37}}}},
    {7.5, {{{7, 8.3, 88}, {13.9, 39, 44}, {15.8, 104, 39}}}},
    {10, {{{6.2, 11, 92}, {12.5, 51, 46}, {14.2, 137, 41}}}},
    {15, {{{5.4, 16, 100}, {10.7, 75, 50}, {12.1, 200, 44}}}},
    {20, {{{4.8, 21, 110}, {9.6, 99, 55}, {10.9, 262, 48}}}},
    {25, {{{4.4, 26, 115}, {8.8, 122, 58}, {10, 324, 51}}}},
    {30, {{{4.1, 31, 120}, {8.2, 144, 60}, {9.3, 384, 53}}}},
    {40, {{{3.7, 40, 130}, {7.4, 189, 65}, {8.4, 503, 57}}}},
    {50, {{{3.4, 49, 145}, {6.8, 232, 72}, {7.7, 620, 64}}}},
    {60, {{{3.2, 58, 170}, {6.3, 275, 85}, {7.2, 735, 75}}}},
    {75, {{{2.9, 71, 180}, {5.8, 338, 90}, {6.6, 904, 79}}}},
    {100, {{{2.6, 92, 220}, {5.2, 441, 110}, {5.9, 1181, 97}}}},
    {125, {{{2.4, 113, 275}, {4.8, 542, 140}, {5.4, 1452, 120}}}},
    {150, {{{2.2, 133, 320}, {4.5, 640, 160}, {5.1, 1719, 140}}}},
    {200, {{{2, 172, 600}, {4, 831, 300}, {4.5, 2238, 265}}}},
    {250, {{{1.8, 210, 1000}, {3.7, 1017, 500}, {4.2, 2744, 440}}}},
}};

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

std::optional<AllowableStarts> allowable_starts(double power_hp, int poles, double load_wk2_lb_ft2) {
    if (poles != 2 && poles != 4 && poles != 6) return std::nullopt;
    const auto* row = std::find_if(start_rows.begin(), start_rows.end(),
                                   [&](const StartRow& r) { return r.power_hp >= power_hp; });
    if (row == start_rows.end() || power_hp < start_rows.front().power_hp) return std::nullopt;
    const StartFigures& f = row->by_poles[static_cast<std::size_t>(poles / 2 - 1)];
    const double by_inertia = load_wk2_lb_ft2 > 0 ? f.b_per_hour_lb_ft2 / load_wk2_lb_ft2 : f.a_per_hour;
    return AllowableStarts{std::min(f.a_per_hour, by_inertia), f.c_rest_s};
}

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
