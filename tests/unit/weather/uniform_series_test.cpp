// A sampled series: read between, at and beyond its samples.
#include "sim_plant/weather/uniform_series.hpp"

#include <gtest/gtest.h>

namespace {

using freshet::plant::UniformSeries;

TEST(UniformSeries, reads_straight_lines_between_samples) {
    const UniformSeries series(100, 10, {1, 3, 2});
    EXPECT_DOUBLE_EQ(series.at(100), 1);
    EXPECT_DOUBLE_EQ(series.at(105), 2);
    EXPECT_DOUBLE_EQ(series.at(110), 3);
    EXPECT_DOUBLE_EQ(series.at(117.5), 2.25);
}

TEST(UniformSeries, holds_its_ends) {
    const UniformSeries series(100, 10, {1, 3, 2});
    EXPECT_DOUBLE_EQ(series.at(-1e9), 1);
    EXPECT_DOUBLE_EQ(series.at(120), 2);
    EXPECT_DOUBLE_EQ(series.at(1e9), 2);
}

TEST(UniformSeries, gives_its_slope_and_none_beyond_the_end) {
    const UniformSeries series(100, 10, {1, 3, 2});
    EXPECT_DOUBLE_EQ(series.slope_at(105), 0.2);
    EXPECT_DOUBLE_EQ(series.slope_at(110), -0.1);
    EXPECT_DOUBLE_EQ(series.slope_at(120), 0);
}

TEST(UniformSeries, of_one_sample_is_constant) {
    const UniformSeries series(0, 10, {4});
    EXPECT_DOUBLE_EQ(series.at(-5), 4);
    EXPECT_DOUBLE_EQ(series.at(5), 4);
    EXPECT_DOUBLE_EQ(series.slope_at(5), 0);
}

}  // namespace
