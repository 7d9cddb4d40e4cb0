// A constant inflow that one combination holds: after a while nothing starts, nothing changes over, and
// the speed is constant. One reason to change: how constant a station must be at a constant inflow.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <iomanip>
#include <iostream>
#include <sstream>
#include <string>
#include <vector>

#include "controller/core/steady_flow.hpp"
#include "tests/property/staging/coupled.hpp"
#include "tests/property/staging/random_inflow.hpp"
#include "tests/property/staging/seconds.hpp"
#include "tests/property/staging/selection.hpp"

namespace freshet::staging_campaign {
namespace {

constexpr std::uint64_t usual_constant_inflows = 16;
constexpr double speed_hz_most = 0.2;

struct ConstantResult {
    bool settled = false;
    double settled_s =
        0;  ///< from the start of the run until the value has been inside the deadband for ten minutes
    int starts = 0, transfers = 0;
    double speed_off_hz = 0;  ///< largest distance of the speed from its mean
    std::string line;

    bool is_constant() const { return settled && starts + transfers == 0 && speed_off_hz <= speed_hz_most; }
};

struct Held {
    std::size_t line_pumps = 0;
    double inflow_m3s = 0;
};

/// True flow of `line_pumps` at line frequency and one more on the drive at the minimum-flow speed that the
/// controller calculates from its own curves, m3/s. The controller runs no pump slower.
double least_advised_m3s(const RandomStation& station, std::size_t line_pumps) {
    const double setpoint_m = station.settings.marks.setpoint_m;
    const double lowest_hz =
        core::minimum_flow_speed_hz(station.settings, static_cast<std::uint8_t>(line_pumps), setpoint_m);
    return flow_at_drive_hz_m3s(station.real, line_pumps,
                                std::max(lowest_hz, station.settings.drive.speed_min_hz), setpoint_m);
}

/// An inflow at least 1 % inside the flows that a combination holds at the setpoint.
Held held_inflow(const RandomStation& station, Dice& dice) {
    constexpr double inside = 0.01;
    const double setpoint_m = station.settings.marks.setpoint_m;
    const std::size_t first = dice.below(station.given.pump_count);
    const double share = dice.between(0, 1);
    for (std::size_t i = 0; i < station.given.pump_count; ++i) {
        const std::size_t line_pumps = (first + i) % station.given.pump_count;
        const double low_m3s = (1 + inside) * std::max(station.capacity.least_m3s(line_pumps, setpoint_m),
                                                       least_advised_m3s(station, line_pumps));
        const double high_m3s = (1 - inside) * station.capacity.full_m3s(line_pumps + 1, setpoint_m);
        if (low_m3s < high_m3s) return {line_pumps, low_m3s + share * (high_m3s - low_m3s)};
    }
    return {};
}

struct Totals {
    std::uint32_t starts = 0, transfers = 0;
};
Totals totals_of(const plant::Plant& plant) {
    const plant::Figures figures = plant.figures();
    Totals totals{0, figures.hand_overs + figures.take_backs};
    for (const std::uint32_t starts : figures.starts) totals.starts += starts;
    return totals;
}

/// Watches the settled station for an hour.
void watch(const RandomStation& station, Coupled& coupled, ConstantResult& result) {
    const Totals before = totals_of(coupled.plant());
    const auto scans = static_cast<std::int64_t>(s_per_h / s_per_ms) / station.settings.scan_ms;
    std::vector<double> speeds_hz;
    for (std::int64_t scan = 0; scan < scans; ++scan) speeds_hz.push_back(coupled.scan().speed_hz);
    const Totals after = totals_of(coupled.plant());
    result.starts = static_cast<int>(after.starts - before.starts);
    result.transfers = static_cast<int>(after.transfers - before.transfers);
    double sum_hz = 0;
    for (const double speed_hz : speeds_hz) sum_hz += speed_hz;
    const double mean_hz = sum_hz / static_cast<double>(speeds_hz.size());
    for (const double speed_hz : speeds_hz)
        result.speed_off_hz = std::max(result.speed_off_hz, std::abs(speed_hz - mean_hz));
}

ConstantResult judge_constant(std::uint64_t seed, bool trace) {
    constexpr std::uint64_t for_inflow = 2;
    Dice dice(seed, for_inflow);
    const RandomStation station = random_station(seed, Scan::second);
    const core::Settings::Marks& marks = station.settings.marks;
    const Held held = held_inflow(station, dice);
    constexpr double longest_s = 8 * s_per_h, settling_s = 10 * s_per_min;
    std::ostringstream line;
    Coupled coupled{station,
                    constant_inflow(held.inflow_m3s, dice.decades(10, 1200), longest_s + s_per_h,
                                    dice.between(marks.stop_m, marks.stage_up_m), seed),
                    trace ? &line : nullptr};
    ConstantResult result;
    double outside_s = 0;
    for (double t_s = 0; t_s < longest_s && !result.settled; t_s += station.settings.scan_ms * s_per_ms) {
        const bool filling = coupled.scan().drive_pump == core::no_pump;
        if (filling || std::abs(coupled.plant().water().level_m - marks.setpoint_m) > marks.deadband_m)
            outside_s = t_s;
        result.settled_s = t_s;
        result.settled = t_s - outside_s >= settling_s;
    }
    if (result.settled) watch(station, coupled, result);
    if (trace) line << described(station) << "\n";
    line << std::setprecision(4) << "seed " << seed << ": " << held.inflow_m3s << " m3/s, " << held.line_pumps
         << " of " << int{station.given.pump_count} << " pumps on the line, "
         << (result.settled ? "settled after " : "not settled after ") << result.settled_s / s_per_min
         << " min; then in an hour starts " << result.starts << ", transfers " << result.transfers
         << ", speed within " << result.speed_off_hz << " Hz";
    result.line = line.str() + (result.is_constant() ? "" : "  NOT CONSTANT");
    return result;
}

/// The counts that the usual cases may have. The aim is zero.
constexpr int not_settled_most = 0, starting_most = 0, changing_over_most = 0, moving_speed_most = 0;

TEST(ConstantInflow, within_a_combination_settles_without_starts_or_transfers_and_with_a_constant_speed) {
    const Selection chosen = selection(usual_constant_inflows);
    const auto results = judged<ConstantResult>(
        chosen, [&](std::uint64_t seed) { return judge_constant(seed, chosen.trace); });
    int not_settled = 0, starting = 0, changing_over = 0, moving_speed = 0;
    std::vector<double> settled_s;
    for (const ConstantResult& one : results) {
        std::cout << one.line << "\n";
        not_settled += one.settled ? 0 : 1;
        starting += one.starts > 0 ? 1 : 0;
        changing_over += one.transfers > 0 ? 1 : 0;
        moving_speed += one.speed_off_hz > speed_hz_most ? 1 : 0;
        if (one.settled) settled_s.push_back(one.settled_s);
    }
    std::ranges::sort(settled_s);
    std::cout << results.size() << " constant inflows: not settled " << not_settled << ", with starts "
              << starting << ", with transfers " << changing_over << ", speed beyond " << speed_hz_most
              << " Hz " << moving_speed << "; settled after";
    for (const double share : {0.5, 0.9, 1.0})
        if (!settled_s.empty())
            std::cout
                << " "
                << settled_s[static_cast<std::size_t>(share * static_cast<double>(settled_s.size() - 1))] /
                       s_per_min;
    std::cout << " min (half, nine tenths, all)\n";
    if (!chosen.usual) return;
    EXPECT_LE(not_settled, not_settled_most);
    EXPECT_LE(starting, starting_most);
    EXPECT_LE(changing_over, changing_over_most);
    EXPECT_LE(moving_speed, moving_speed_most);
}

}  // namespace
}  // namespace freshet::staging_campaign
