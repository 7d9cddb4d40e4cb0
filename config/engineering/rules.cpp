// The table of allowable starts.
// One reason to change: that table.
#include "config/engineering/rules.hpp"

#include <algorithm>
#include <array>

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

}  // namespace

std::optional<StartDuty> start_duty(double motor_hp, int poles) {
    constexpr double slack_hp = 1e-3;  // 500 hp in watts and back is not 500 to the last bit
    const auto* row = std::ranges::find_if(
        start_rows, [&](const StartRow& candidate) { return candidate.motor_hp + slack_hp >= motor_hp; });
    if (row == start_rows.end() || poles % 2 != 0 || poles < 2 || poles > 6) return std::nullopt;
    return row->by_poles.at(static_cast<std::size_t>(poles / 2 - 1));
}

}  // namespace freshet::config
