// Constant inflows that no combination holds: one pump cycles as the store permits, and nothing else moves.
// One reason to change: how many starts and transfers such an inflow may cost.
#include <gtest/gtest.h>

#include <iostream>
#include <sstream>
#include <string>

#include "tests/property/staging/cycles.hpp"
#include "tests/property/staging/selection.hpp"

namespace freshet::staging_campaign {
namespace {

constexpr std::uint64_t usual_bands = 12;
constexpr double excess_most = 0.05;

struct CyclingResult {
    Cycling cycling;
    Cycles cycles;
    int starts_allowed = 0;
    std::string line;

    bool too_many_starts() const { return cycles.excess() > excess_most; }
    bool above_limit() const { return cycles.starts_per_hour_max > starts_allowed; }
};

constexpr double share_least = 0.1, share_most = 0.9;  // of a band

/// Between k pumps at full speed, and k at full speed with one more at its minimum flow.
Cycling within_band(const RandomStation& station, Dice& dice) {
    const double level_m = station.settings.marks.setpoint_m;
    const std::size_t steady_pumps = dice.below(station.given.pump_count);
    const double low_m3s = station.capacity.full_m3s(steady_pumps, level_m);
    const double high_m3s = station.capacity.least_m3s(steady_pumps, level_m);
    return {steady_pumps, low_m3s + dice.between(share_least, share_most) * (high_m3s - low_m3s), high_m3s,
            true};
}

/// Between k pumps on the line and k plus one.
Cycling between_line_pumps(const RandomStation& station, Dice& dice) {
    const double level_m = station.settings.marks.setpoint_m;
    const std::size_t steady_pumps = dice.below(station.given.pump_count);
    const double low_m3s = station.capacity.full_m3s(steady_pumps, level_m);
    const double high_m3s = station.capacity.full_m3s(steady_pumps + 1, level_m);
    return {steady_pumps, low_m3s + dice.between(share_least, share_most) * (high_m3s - low_m3s), high_m3s,
            false};
}

template <Cycling draw(const RandomStation&, Dice&)>
CyclingResult judge_cycling(std::uint64_t seed, bool trace) {
    constexpr std::uint64_t for_inflow = 3;
    Dice dice(seed, for_inflow);
    const RandomStation station = random_station(seed, Scan::second);
    CyclingResult result;
    result.cycling = draw(station, dice);
    std::ostringstream rows;
    result.cycles = cycles_of(station, result.cycling, seed, trace ? &rows : nullptr);
    result.starts_allowed = station.settings.permissives.starts_per_hour_max;
    result.line = rows.str() + (trace ? described(station) + "\n" : "") + "seed " + std::to_string(seed) +
                  ": " + described(station, result.cycling, result.cycles);
    if (result.cycles.transfers > 0 && result.cycling.with_drive) result.line += "  TRANSFERS";
    if (result.too_many_starts()) result.line += "  STARTS";
    if (result.above_limit()) result.line += "  LIMIT";
    return result;
}

struct CyclingCounts {
    int too_many_starts = 0, with_transfers = 0, above_limit = 0, judged = 0;
};

CyclingCounts count(const std::vector<CyclingResult>& results, const char* name) {
    CyclingCounts counts;
    for (const CyclingResult& one : results) {
        std::cout << one.line << "\n";
        counts.judged += one.cycles.measured_s > 0 ? 1 : 0;
        counts.too_many_starts += one.too_many_starts() ? 1 : 0;
        counts.with_transfers += one.cycles.transfers > 0 ? 1 : 0;
        counts.above_limit += one.above_limit() ? 1 : 0;
    }
    std::cout << results.size() << " inflows " << name << ", " << counts.judged
              << " with three starts or more: " << counts.too_many_starts
              << " with more starts than the theory and 5 %, " << counts.with_transfers << " with transfers, "
              << counts.above_limit << " above the limit of starts an hour\n";
    return counts;
}

/// The counts that the usual cases may have. The aim is zero.
constexpr int band_starts_most = 0, band_transfers_most = 0, band_limit_most = 0;
constexpr int fixed_starts_most = 4, fixed_limit_most = 0;

TEST(Band, cycles_the_drive_pump_alone_as_the_store_permits) {
    const Selection chosen = selection(usual_bands);
    const CyclingCounts counts =
        count(judged<CyclingResult>(
                  chosen, [&](std::uint64_t seed) { return judge_cycling<within_band>(seed, chosen.trace); }),
              "within a band");
    if (!chosen.usual) return;
    EXPECT_LE(counts.too_many_starts, band_starts_most);
    EXPECT_LE(counts.with_transfers, band_transfers_most);
    EXPECT_LE(counts.above_limit, band_limit_most);
}

TEST(FixedSpeed, cycles_one_pump_as_the_store_permits) {
    const Selection chosen = selection(usual_bands);
    const CyclingCounts counts =
        count(judged<CyclingResult>(
                  chosen,
                  [&](std::uint64_t seed) { return judge_cycling<between_line_pumps>(seed, chosen.trace); }),
              "without the drive");
    if (!chosen.usual) return;
    EXPECT_LE(counts.too_many_starts, fixed_starts_most);
    EXPECT_LE(counts.above_limit, fixed_limit_most);
}

}  // namespace
}  // namespace freshet::staging_campaign
