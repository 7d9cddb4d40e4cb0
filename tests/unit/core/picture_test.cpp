// What the picture of a scan takes for known.
#include "controller/core/picture.hpp"

#include <limits>

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

TEST(Picture, takes_what_is_no_number_for_not_read) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    const Settings settings = doubles::four_pumps();
    Inputs inputs = doubles::StationDouble(settings).look();
    EXPECT_TRUE(has(picture_of(inputs, settings).current_missing, 0)) << "a current of zero is one";
    inputs.pumps[0].current_a.value = nan;
    inputs.line.frequency_hz.value = nan;
    inputs.line.voltage_v.value = nan;
    const Picture picture = picture_of(inputs, settings);
    EXPECT_FALSE(has(picture.current_missing, 0));
    EXPECT_FALSE(has(picture.current_seen, 0));
    EXPECT_FALSE(picture.line_poor);
    EXPECT_EQ(picture.line_hz, settings.drive.line_frequency_hz);
}

TEST(Picture, knows_the_speed_of_the_drive_up_to_twice_its_highest_either_way_round) {
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    const Settings settings = doubles::four_pumps();
    Inputs inputs = doubles::StationDouble(settings).look();
    for (const double speed_hz : {-119.0, 0.0, 60.0, 119.0}) {
        inputs.drive.frequency_hz.value = speed_hz;
        EXPECT_TRUE(picture_of(inputs, settings).drive_hz_known);
        EXPECT_EQ(picture_of(inputs, settings).drive_hz, speed_hz);
    }
    for (const double speed_hz : {-121.0, 121.0, -9.2e16, nan}) {
        inputs.drive.frequency_hz.value = speed_hz;
        EXPECT_FALSE(picture_of(inputs, settings).drive_hz_known);
        EXPECT_EQ(picture_of(inputs, settings).drive_hz, 0);
    }
}

}  // namespace
}  // namespace freshet::core
