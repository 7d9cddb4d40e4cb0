// What stands behind a quality and an alarm is told as it is: values that were seen, their cause and age, and
// none where none are known. One reason to change: which values go with what.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

const Event* raised(const Watch& watch, StationAlarm code) {
    return watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(code));
}

TEST(Grounds, of_a_bad_transmitter_are_its_last_value_its_age_and_its_cause) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_fault[1].loop_ma = 2.0;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::transmitter_2); }, 1_min));
    const Event* event = raised(watch, StationAlarm::transmitter_2);
    EXPECT_NEAR(event->values[0], watch.station.level_m, 0.3);
    EXPECT_EQ(event->values[1], 0);
    EXPECT_EQ(event->values[2], static_cast<double>(Cause::under_range));
}

TEST(Grounds, of_a_measured_value_gone_bad_are_told_with_its_age) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    for (auto& fault : watch.station.level_fault) fault.stops_reading = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->measured_quality == Quality::bad; }, 1_min));
    const Event* event = watch.last(EventKind::measured_quality, static_cast<std::uint8_t>(Quality::bad));
    EXPECT_GT(event->values[1], watch.settings().signal.stale_ms);
    EXPECT_LT(event->values[1], watch.settings().signal.stale_ms + 1'000);
    EXPECT_EQ(event->values[2], static_cast<double>(Cause::stale));
}

TEST(Grounds, of_two_that_disagree_are_both_values) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_error_m[1] = 0.5;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::transmitters_disagree); }, 2_min));
    const Event* event = raised(watch, StationAlarm::transmitters_disagree);
    EXPECT_NEAR(event->values[1] - event->values[0], 0.5, 0.01);
}

TEST(Grounds, that_nobody_knows_are_not_made_up) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.drive_side[0].fault.does_not_close = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(0, PumpAlarm::drive_side_does_not_close); }, 3_min));
    const Event* event =
        watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(PumpAlarm::drive_side_does_not_close));
    EXPECT_TRUE(std::isnan(event->values[0]));
}

TEST(Grounds, of_an_alarm_for_want_of_a_permissive_name_it) {
    Watch watch;
    watch.station.seal_leak[2] = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(2, PumpAlarm::seal_leak); }, 1_min));
    const Event* event = watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(PumpAlarm::seal_leak));
    EXPECT_EQ(event->values[0], static_cast<double>(Permissive::seal_leak));
}

}  // namespace
}  // namespace freshet::core
