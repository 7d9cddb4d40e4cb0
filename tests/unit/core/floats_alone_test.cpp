// Floats alone: when every transmitter is lost, the last known inflow decides how many pumps run and how fast.
// One reason to change: what the last known inflow decides.
#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

void lose_the_transmitters(Watch& watch) {
    watch.station.level_quality = {Quality::bad, Quality::bad};
}

/// How often a sequence began by the last known inflow.
std::size_t begun_by_last_inflow(const Watch& watch) {
    std::size_t begun = 0;
    for (const Event& event : watch.events)
        if (event.what == EventKind::sequence_begun && event.why == Reason::last_inflow) ++begun;
    return begun;
}

/// One pump runs on the drive and cannot carry the inflow of `inflow_m3s`. The staging itself would wait.
Watch one_pump_short_of_flow(double inflow_m3s) {
    Settings settings = doubles::four_pumps();
    settings.staging.forecast = false;
    settings.staging.up_delay_ms = 30 * 60'000;
    Watch watch(settings);
    EXPECT_TRUE(watch.one_on_drive());
    watch.station.level_m = 2.0;
    watch.station.inflow_m3s = inflow_m3s;
    watch.run_for(1_min);
    return watch;
}

TEST(FloatsAlone, start_enough_pumps_at_once_for_the_last_known_inflow) {
    Watch watch = one_pump_short_of_flow(1.5);
    ASSERT_EQ(watch.advice->pumps_on_line, 0);
    lose_the_transmitters(watch);
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->service == Service::floats; }, 10_s));
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 1; }, 1_min));
    EXPECT_GE(begun_by_last_inflow(watch), 1U);
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->drive_pump == 1; }, 2_min)) << "the second pump";
    EXPECT_LT(watch.station.level_m, 3.6) << "no float has called";
}

TEST(FloatsAlone, start_no_pump_that_the_last_known_inflow_does_not_need) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(2_min);
    lose_the_transmitters(watch);
    watch.run_for(10_min);
    EXPECT_EQ(begun_by_last_inflow(watch), 0U);
}

TEST(FloatsAlone, hold_the_level_without_drawing_down_to_the_low_float) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.run_for(10_min);
    const double before_m = watch.station.level_m;
    lose_the_transmitters(watch);
    watch.run_for(20_min);
    EXPECT_EQ(watch.advice->service, Service::floats);
    EXPECT_EQ(watch.advice->pumps_on_line, 1);
    EXPECT_NEAR(watch.station.level_m, before_m, 0.3);
    EXPECT_FALSE(watch.alarm(StationAlarm::low_float));
}

TEST(FloatsAlone, follow_the_floats_when_the_inflow_grows) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    lose_the_transmitters(watch);
    watch.run_for(1_min);
    watch.station.inflow_m3s = 2.1;
    watch.run_for(60_min);
    EXPECT_LT(watch.station.level_m, 4.0);
    EXPECT_GT(watch.station.level_m, 2.0) << "the pumps did not draw down to the low float";
}

/// Four pumps at a well at rest without transmitters, where the inflow was nothing and suddenly is much.
Watch surprised_by_a_surge() {
    Watch watch;
    watch.station.level_m = 1.8;
    watch.run_for(1_min);
    lose_the_transmitters(watch);
    watch.run_for(5_s);
    watch.station.level_m = 3.7;
    watch.station.inflow_m3s = 2.6;
    return watch;
}

TEST(FloatsAlone, start_pump_after_pump_at_once_by_a_call_that_the_balance_did_not_expect) {
    Watch watch = surprised_by_a_surge();
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 2; }, 2_min));
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 3; }, 30_s));
}

TEST(FloatsAlone, stop_the_added_pumps_as_soon_as_the_store_may_be_empty) {
    Watch watch = surprised_by_a_surge();
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 3; }, 3_min));
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until([&] { return !watch.alarm(StationAlarm::high_float); }, 10_min));
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line <= 1; }, 10_min));
    EXPECT_GT(watch.station.level_m, 1.0) << "the pumps did not draw down to the low float";
    watch.run_for(10_s);
    EXPECT_EQ(watch.advice->pumps_on_line, 1) << "the last pump keeps running";
}

TEST(FloatsAlone, do_not_start_a_pump_by_an_inflow_that_is_older_than_five_minutes) {
    Watch watch;
    watch.station.level_m = 2.0;
    watch.station.inflow_m3s = 0;
    watch.run_for(1_min);
    for (auto& selector : watch.station.selector) selector = Selector::off;
    watch.station.inflow_m3s = 1.2;
    watch.run_for(1_min);
    lose_the_transmitters(watch);
    watch.station.inflow_m3s = 0;
    watch.run_for(6_min);
    for (auto& selector : watch.station.selector) selector = Selector::automatic;
    watch.run_for(5_min);
    EXPECT_EQ(begun_by_last_inflow(watch), 0U);
}

TEST(FloatsAlone, do_not_start_a_pump_by_the_inflow_after_the_low_float_stopped_the_pumps) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    lose_the_transmitters(watch);
    watch.run_for(10_s);
    watch.station.low_float_fault.stuck_off = true;
    watch.run_for(10_s);
    watch.station.low_float_fault.stuck_off = false;
    watch.station.inflow_m3s = 0.2;
    watch.run_for(8_min);
    EXPECT_EQ(watch.advice->pumps_on_line, 0);
    EXPECT_EQ(begun_by_last_inflow(watch), 0U);
}

}  // namespace
}  // namespace freshet::core
