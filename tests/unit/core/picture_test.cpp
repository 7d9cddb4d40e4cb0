// What the picture of a scan takes for known.
#include "controller/core/picture.hpp"

#include <gtest/gtest.h>

#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

TEST(Picture, knows_the_floats_only_when_both_are_read) {
    const Settings settings = doubles::four_pumps();
    const Inputs read = doubles::StationDouble(settings).look();
    EXPECT_TRUE(picture_of(read, settings).floats_known);

    Inputs without_high = read;
    without_high.high_float.quality = Quality::bad;
    EXPECT_FALSE(picture_of(without_high, settings).floats_known);
    Inputs without_low = read;
    without_low.low_float.quality = Quality::bad;
    EXPECT_FALSE(picture_of(without_low, settings).floats_known);
}

}  // namespace
}  // namespace freshet::core
