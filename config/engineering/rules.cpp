// The tables: allowable starts, full-load currents, code letters.
// One reason to change: a published table.
#include "config/engineering/rules.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace freshet::config {
namespace {

struct StartRow {
    double motor_hp = 0;
    std::array<StartDuty, 3> by_poles;  ///< 2, 4, 6
};

/// NEMA MG 10, Table 2-3: A, B, C for 2, 4 and 6 poles.
// clang-format off
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
// clang-format on

/// NEC (NFPA 70) 2008, Table 430.250.
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

}  // namespace

std::optional<StartDuty> start_duty(double motor_hp, int poles) {
    constexpr double slack_hp = 1e-3;  // 500 hp in watts and back is not 500 to the last bit
    const auto* row = std::ranges::find_if(
        start_rows, [&](const StartRow& candidate) { return candidate.motor_hp + slack_hp >= motor_hp; });
    if (row == start_rows.end() || poles % 2 != 0 || poles < 2 || poles > 6) return std::nullopt;
    return row->by_poles.at(static_cast<std::size_t>(poles / 2 - 1));
}

char code_letter(double locked_rotor_kva_per_hp) {
    struct Band {
        double below;
        char letter;
    };
    constexpr std::array<Band, 18> bands{{{3.15, 'A'},
                                          {3.55, 'B'},
                                          {4.0, 'C'},
                                          {4.5, 'D'},
                                          {5.0, 'E'},
                                          {5.6, 'F'},
                                          {6.3, 'G'},
                                          {7.1, 'H'},
                                          {8.0, 'J'},
                                          {9.0, 'K'},
                                          {10.0, 'L'},
                                          {11.2, 'M'},
                                          {12.5, 'N'},
                                          {14.0, 'P'},
                                          {16.0, 'R'},
                                          {18.0, 'S'},
                                          {20.0, 'T'},
                                          {22.4, 'U'}}};
    for (const Band& band : bands)
        if (locked_rotor_kva_per_hp < band.below) return band.letter;
    return 'V';
}

std::optional<double> table_full_load_current_a(double power_hp, double voltage_v, double frequency_hz) {
    constexpr double slack = 1e-3;  // 500 hp in watts and back is not 500 to the last bit
    if (frequency_hz != 60) return std::nullopt;
    for (const CurrentRow& row : current_rows) {
        if (std::abs(row.power_hp - power_hp) > slack) continue;
        if (voltage_v == 460) return row.at_460_v_a;
        if (voltage_v == 2300) return row.at_2300_v_a;
    }
    return std::nullopt;
}

}  // namespace freshet::config
