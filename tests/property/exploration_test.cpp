// The exploration of two, three and four pumps: no reachable step breaks a law.
// One reason to change: the explorations of each test run.
#include "tests/property/exploration.hpp"

#include <gtest/gtest.h>

#include <cstdio>

namespace freshet::exploration {
namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool bounded = true;
#else
constexpr bool bounded = false;
#endif

Findings explored(const Plan& plan, const char* bound) {
    const Findings found = explore(plan);
    std::printf("%d pumps, %s: %zu states, %zu edges, depth %d scans, %s, %.1f s, %zu edges break a law\n",
                plan.pumps, bound, found.states, found.edges, found.depth,
                found.closed ? "closed" : "not closed", found.seconds, found.broken);
    std::printf(
        "  %zu edges end a line start next to a pump on the drive, %zu have a line start and a main "
        "sequence\n",
        found.line_starts_in_addition, found.edges_of_both);
    for (const std::string& way : found.ways) ADD_FAILURE() << way;
    return found;
}

constexpr std::size_t states_max = bounded ? 20'000 : 40'000'000;

void expect_no_broken_law(const Findings& found) {
    EXPECT_EQ(found.broken, 0U);
    EXPECT_TRUE(found.closed || bounded);
    EXPECT_TRUE(every_sequence_ends(found) || bounded);
    EXPECT_TRUE(found.line_starts_in_addition > 0 || bounded);
    EXPECT_TRUE(found.edges_of_both > 0 || bounded);
}

TEST(Exploration, of_two_pumps_with_a_deviation_in_every_scan_breaks_no_law) {
    expect_no_broken_law(
        explored({.pumps = 2, .states_max = states_max}, "any number of deviations, one a scan"));
}

TEST(Exploration, of_two_pumps_with_two_deviations_at_once_breaks_no_law) {
    expect_no_broken_law(
        explored({.pumps = 2, .deviations_per_scan = 2, .deviations_per_path = 4, .states_max = states_max},
                 "up to four deviations, two a scan"));
}

TEST(Exploration, of_three_pumps_with_four_deviations_breaks_no_law) {
    expect_no_broken_law(explored({.pumps = 3, .deviations_per_path = 4, .states_max = states_max},
                                  "up to four deviations, one a scan"));
}

TEST(Exploration, of_four_pumps_with_three_deviations_breaks_no_law) {
    expect_no_broken_law(explored({.pumps = 4, .deviations_per_path = 3, .states_max = states_max},
                                  "up to three deviations, one a scan"));
}

}  // namespace
}  // namespace freshet::exploration
