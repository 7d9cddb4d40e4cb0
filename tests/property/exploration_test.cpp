// The exploration for two, three and four pumps: no reachable edge breaks a law.
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
    for (const std::string& way : found.told) ADD_FAILURE() << way;
    return found;
}

TEST(Exploration, of_two_pumps_with_any_one_deviation_in_every_scan_breaks_no_law) {
    const Findings found =
        explored({.pumps = 2, .states_max = bounded ? 20'000U : 40'000'000U}, "one deviation per scan");
    EXPECT_EQ(found.broken, 0U);
    EXPECT_TRUE(found.closed || bounded);
}

}  // namespace
}  // namespace freshet::exploration
