// Rain laid out in time. One reason to change: how a storm's rain is laid out.
#include "sim_plant/weather/rainfall.hpp"

#include <gtest/gtest.h>

namespace {

using namespace freshet;

const config::RainDistribution late{"late", {{0, 0}, {6, 0.1}, {9, 0.9}, {12, 1}}, 12};
const config::RainDistribution even{"even", {{0, 0}, {1, 1}}, 1};

TEST(CumulativeFraction, reads_between_points_and_stops_at_the_ends) {
    EXPECT_EQ(plant::cumulative_fraction(late, -0.1), 0);
    EXPECT_NEAR(plant::cumulative_fraction(late, 0.25), 0.05, 1e-12);
    EXPECT_NEAR(plant::cumulative_fraction(late, 0.625), 0.5, 1e-12);
    EXPECT_EQ(plant::cumulative_fraction(late, 1.0), 1);
    EXPECT_EQ(plant::cumulative_fraction(late, 7), 1);
}

TEST(RainDepth, stretches_a_distribution_over_the_duration) {
    const std::vector<config::Storm> storms{{late, 0.04, 7200, 600}};
    EXPECT_EQ(plant::rain_depth_m(storms, 600), 0);
    EXPECT_NEAR(plant::rain_depth_m(storms, 600 + 3600), 0.004, 1e-12);
    EXPECT_NEAR(plant::rain_depth_m(storms, 1e6), 0.04, 1e-12);
}

TEST(RainDepth, adds_storms) {
    const std::vector<config::Storm> storms{{even, 0.01, 3600, 0}, {even, 0.02, 3600, 1800}};
    EXPECT_NEAR(plant::rain_depth_m(storms, 3600), 0.02, 1e-12);
}

}  // namespace
