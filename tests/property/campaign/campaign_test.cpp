// The campaign: random storms with random faults through the real plant, for three duties. FRESHET_STORMS
// sets the number of storms (the whole campaign has 20,000), FRESHET_STORM_SEED the first seed. A seed that
// fails is printed with its faults, and can be repeated alone.
// One reason to change: the checks of a storm, or the printed figures.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <iostream>
#include <string>

#include "sim_plant/studies/comparison.hpp"
#include "tests/property/campaign/coupled.hpp"
#include "tests/property/campaign/how_many.hpp"
#include "tests/property/campaign/perfect_operator.hpp"
#include "tests/property/campaign/random_storm.hpp"

namespace freshet::campaign {
namespace {

const std::array<Base, 3>& bases() {
    static const std::array<Base, 3> all{load_base("cloudburst"), load_base("tank_day"),
                                         load_base("booster_day")};
    return all;
}
/// Half of the storms are on the well, whose spilling is compared with the bound.
const Base& base_of(std::uint64_t seed) {
    return bases()[seed % 4 < 2 ? 0 : seed % 4 - 1];
}

std::string named(const Base& base, std::uint64_t seed, const config::Scenario& storm) {
    return "seed " + std::to_string(seed) + " at " + base.station.station.name + "\n" + described(storm);
}

TEST(Campaign, breaks_no_law_runs_no_pump_dry_and_spills_only_if_the_best_operator_does) {
    std::uint64_t starts = 0, line_starts = 0, hand_overs = 0, take_backs = 0, faults = 0, wells = 0,
                  held_to_bound = 0, spilt = 0, run_dry = 0;
    std::int64_t scans = 0;
    double lowest_m = 1e9, closing_angle_deg_max = 0;
    constexpr int reported_most = 12;
    int broke = 0, dry = 0, spills = 0;
    for (std::uint64_t seed = first_seed(); seed < first_seed() + storm_count(); ++seed) {
        const Base& base = base_of(seed);
        const config::Station& station = base.station.station;
        const config::Scenario storm = random_storm(base, seed);
        const Outcome one = run(base, storm, {.laws = true, .digest = false});
        scans += one.scans;
        faults += storm.faults.size();
        hand_overs += one.summary.hand_overs;
        take_backs += one.summary.take_backs;
        line_starts += one.summary.line_starts;
        starts += studies::starts_of(one.summary);
        closing_angle_deg_max = std::max(closing_angle_deg_max, one.summary.closing_angle_deg_max);

        if (!one.broken.empty() && ++broke <= reported_most)
            ADD_FAILURE() << "law " << one.broken.front().law << " after " << one.broken_s
                          << " s: " << one.broken.front().figures << "\n"
                          << named(base, seed, storm);
        if (station.duty != config::Duty::empty_well) continue;

        ++wells;
        const Handicap handicap = handicap_of(storm, station.pump_count, station.instruments.level.size());
        lowest_m = std::min(lowest_m, one.summary.level_min_m);
        held_to_bound += handicap.station_wide ? 0 : 1;
        if (one.suction_dry_s > 0) {
            ++run_dry;
            if (!handicap.cannot_be_stopped && ++dry <= reported_most)
                ADD_FAILURE() << "a pump ran for " << one.suction_dry_s << " s with its suction dry\n"
                              << named(base, seed, storm);
        }
        if (one.summary.overflow_m3 <= 0) continue;
        ++spilt;
        if (handicap.station_wide) continue;
        const auto sound = static_cast<std::size_t>(
            std::count(handicap.pump_faulty.begin(), handicap.pump_faulty.end(), false));
        const double least_m3 = least_overflow_m3(base, storm, sound, 0);
        // The best operator has all pumps at full speed at once. The bound is accurate to a cubic metre.
        constexpr double accuracy_m3 = 1;
        if (least_m3 <= 0 && one.summary.overflow_m3 > accuracy_m3 && ++spills <= reported_most)
            ADD_FAILURE() << one.summary.overflow_m3
                          << " m3 spilt, and the best operator spills nothing (with one drive: "
                          << least_overflow_m3(base, storm, sound, 45) << " m3)\n"
                          << named(base, seed, storm);
    }
    std::cout << storm_count() << " storms with " << faults << " faults, " << scans << " scans: " << starts
              << " starts, " << line_starts << " on the line, " << hand_overs << " hand-overs, " << take_backs
              << " take-backs, widest closing angle " << closing_angle_deg_max << " deg; " << wells
              << " wells, " << held_to_bound << " of them compared with the bound; " << spilt
              << " wells spilt; lowest level " << lowest_m << " m, " << run_dry
              << " wells ran a pump dry that no advice could stop\n";
    EXPECT_EQ(broke, 0) << "storms that broke a law";
    EXPECT_EQ(dry, 0) << "storms that ran a pump dry";
    EXPECT_EQ(spills, 0) << "storms that spilt although the best operator spills nothing";
    EXPECT_GT(4 * held_to_bound, wells) << "too few storms were judged";
    if (storm_count() < 300) return;
    EXPECT_GT(hand_overs, 0U);
    EXPECT_GT(take_backs, 0U);
    EXPECT_GT(line_starts, 0U);
}

TEST(Campaign, makes_the_same_storm_from_the_same_seed) {
    constexpr std::uint64_t every = 37;
    for (std::uint64_t seed = first_seed(); seed < first_seed() + storm_count(); seed += every) {
        const Base& base = base_of(seed);
        const Watch digest_only{.laws = false, .digest = true};
        const Outcome once = run(base, random_storm(base, seed), digest_only);
        const Outcome again = run(base, random_storm(base, seed), digest_only);
        ASSERT_EQ(once.digest, again.digest) << "seed " << seed;
        ASSERT_NE(once.digest, run(base, random_storm(base, seed + 4), digest_only).digest)
            << "storms of different seeds have the same digest";
    }
}

}  // namespace
}  // namespace freshet::campaign
