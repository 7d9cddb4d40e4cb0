// The values of an event about a quality or an alarm: readings, their cause and their age, and no value where
// none is known. One reason to change: which values an event has.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

const Event* raised(const Watch& watch, StationAlarm code) {
    return watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(code));
}

TEST(AlarmValues, of_a_bad_transmitter_are_its_last_value_its_age_and_its_cause) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_fault[1].loop_ma = 2.0;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::transmitter_2); }, 1_min));
    const Event* event = raised(watch, StationAlarm::transmitter_2);
    EXPECT_NEAR(event->values[0], watch.station.level_m, 0.3);
    EXPECT_EQ(event->values[1], 0);
    EXPECT_EQ(event->values[2], static_cast<double>(Cause::under_range));
}

TEST(EventValues, of_a_bad_measured_value_have_its_age_and_its_cause) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    for (auto& fault : watch.station.level_fault) fault.stops_reading = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->measured_quality == Quality::bad; }, 1_min));
    const Event* event = watch.last(EventKind::measured_quality, static_cast<std::uint8_t>(Quality::bad));
    EXPECT_GT(event->values[1], watch.settings().signal.stale_ms);
    EXPECT_LT(event->values[1], watch.settings().signal.stale_ms + 1'000);
    EXPECT_EQ(event->values[2], static_cast<double>(Cause::stale));
}

TEST(AlarmValues, of_transmitters_that_disagree_are_both_readings) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.level_error_m[1] = 0.5;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::transmitters_disagree); }, 2_min));
    const Event* event = raised(watch, StationAlarm::transmitters_disagree);
    EXPECT_NEAR(event->values[1] - event->values[0], 0.5, 0.01);
}

TEST(AlarmValues, that_are_unknown_are_not_numbers) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.drive_side[0].fault.does_not_close = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(0, PumpAlarm::drive_side_does_not_close); }, 3_min));
    const Event* event =
        watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(PumpAlarm::drive_side_does_not_close));
    EXPECT_TRUE(std::isnan(event->values[0]));
}

TEST(AlarmValues, of_a_missing_permissive_are_the_permissive) {
    Watch watch;
    watch.station.seal_leak[2] = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(2, PumpAlarm::seal_leak); }, 1_min));
    const Event* event = watch.last(EventKind::alarm_raised, static_cast<std::uint8_t>(PumpAlarm::seal_leak));
    EXPECT_EQ(event->values[0], static_cast<double>(Permissive::seal_leak));
}

}  // namespace
}  // namespace freshet::core
