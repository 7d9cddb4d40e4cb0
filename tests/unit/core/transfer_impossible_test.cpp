// The staging at a station whose transfers are impossible: the drive pump stays, and the other pumps start and stop
// on the line.
// One reason to change: what replaces an impossible transfer, or who ends the pause.
#include <gtest/gtest.h>

#include "tests/unit/core/line_starts.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

constexpr double one_pump_m3s = 0.6, two_pumps_m3s = 1.4;

/// Pump 1 runs on the drive, the drive never reaches synchronism, and the inflow needs a second pump.
struct NeverInSync : Watch {
    explicit NeverInSync(const Settings& settings = four_pumps_with_line_starts()) : Watch(settings) {}

    bool fails() {
        if (!one_on_drive()) return false;
        station.drive_fault.never_in_sync = true;
        station.inflow_m3s = two_pumps_m3s;
        return run_until([&] { return alarm(0, PumpAlarm::hand_over_failed); }, 30_min);
    }
    bool second_on_line() {
        return fails() && run_until([&] { return advice->pumps_on_line == 1; }, 5_min);
    }
    std::size_t hand_overs_begun() const { return count(EventKind::sequence_begun, Sequence::hand_over); }
};

TEST(FailedTransfers, start_the_next_pump_on_the_line_while_the_drive_pump_keeps_running) {
    NeverInSync watch;
    ASSERT_TRUE(watch.second_on_line());
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
    EXPECT_EQ(watch.advice->service, Service::normal);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::stop_on_drive), 0U);
}

TEST(FailedTransfers, leave_the_speed_to_the_drive_pump) {
    NeverInSync watch;
    ASSERT_TRUE(watch.second_on_line());
    // Between the flows that one pump on the line and one on the drive can hold.
    const double value_m = watch.settings().marks.setpoint_m;
    const FlowTable flows(watch.settings());
    const double least_m3s = flows.total_m3s(1, flows.minimum_flow_hz(1, value_m), value_m);
    watch.station.inflow_m3s =
        0.5 * (least_m3s + flows.total_m3s(1, doubles::StationDouble::line_hz, value_m));
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->speed_hz < doubles::StationDouble::line_hz - 1; },
                                20_min));
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
    EXPECT_GE(watch.advice->pumps_on_line, 1);
}

TEST(FailedTransfers, stop_a_line_pump_from_the_line_when_the_inflow_falls) {
    NeverInSync watch;
    ASSERT_TRUE(watch.second_on_line());
    watch.station.inflow_m3s = one_pump_m3s;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 0; }, 25_min));
    EXPECT_EQ(watch.state(0), PumpState::on_drive) << "the drive pump varies its speed";
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::take_back), 0U);
}

TEST(FailedTransfers, are_tried_again_after_the_transfer_pause_and_not_before) {
    NeverInSync watch;
    ASSERT_TRUE(watch.fails());
    const std::size_t before = watch.hand_overs_begun();
    const std::int64_t pause_ms = watch.settings().step.transfer_pause_ms;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 1; }, 5_min));
    watch.station.inflow_m3s = 0.5 * (two_pumps_m3s + one_pump_m3s);
    watch.run_for(pause_ms - 6_min);
    EXPECT_EQ(watch.hand_overs_begun(), before);
    watch.run_for(6_min);
    watch.station.inflow_m3s = 3.0;  // one more pump is wanted
    EXPECT_TRUE(watch.run_until([&] { return watch.hand_overs_begun() > before; }, 3_min));
}

TEST(FailedTransfers, are_released_by_people_at_the_selector_of_the_pump_with_the_alarm) {
    NeverInSync watch;
    ASSERT_TRUE(watch.second_on_line());
    const std::size_t before = watch.hand_overs_begun();
    watch.station.drive_fault.never_in_sync = false;
    watch.station.selector[0] = Selector::off;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::unavailable, 2_min));
    watch.run_for(1_s);
    watch.station.selector[0] = Selector::automatic;
    watch.station.inflow_m3s = 2.0;
    const std::int64_t released_ms = watch.station.now_ms;
    ASSERT_TRUE(watch.run_until([&] { return watch.hand_overs_begun() > before; }, 20_min));
    EXPECT_LT(watch.station.now_ms - released_ms, watch.settings().step.transfer_pause_ms);
}

TEST(FailedTransfers, are_not_released_at_the_selector_of_another_pump) {
    NeverInSync watch;
    ASSERT_TRUE(watch.second_on_line());
    const std::size_t before = watch.hand_overs_begun();
    watch.station.selector[3] = Selector::off;
    watch.station.inflow_m3s = 2.0;
    watch.run_for(10_min);
    EXPECT_EQ(watch.hand_overs_begun(), before);
}

TEST(FailedTransfers, are_released_by_people_at_the_drive) {
    NeverInSync watch;
    ASSERT_TRUE(watch.second_on_line());
    const std::size_t before = watch.hand_overs_begun();
    watch.station.drive_fault.never_in_sync = false;
    watch.station.drive_fault.not_ready = true;
    watch.run_for(10_s);
    watch.station.drive_fault.not_ready = false;
    watch.station.inflow_m3s = 2.6;
    const std::int64_t released_ms = watch.station.now_ms;
    ASSERT_TRUE(watch.run_until([&] { return watch.hand_overs_begun() > before; }, 20_min));
    EXPECT_LT(watch.station.now_ms - released_ms, watch.settings().step.transfer_pause_ms);
}

TEST(StuckLineSide, of_the_drive_pump_starts_the_next_pump_on_the_line) {
    Watch watch(four_pumps_with_line_starts());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.line_side[0].fault.does_not_close = true;
    watch.station.inflow_m3s = two_pumps_m3s;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->pumps_on_line == 1; }, 10_min));
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::hand_over), 1U);
}

TEST(StuckLineSide, does_not_stop_the_drive_pump_above_the_high_mark) {
    Watch watch;  // without line starts
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.line_side[0].fault.does_not_close = true;
    watch.station.level_m = watch.settings().marks.high_alarm_m + 0.2;
    watch.station.inflow_m3s = 3.0;
    watch.run_for(5_min);
    ASSERT_TRUE(watch.alarm(0, PumpAlarm::line_side_does_not_close));
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::stop_on_drive), 0U);
}

}  // namespace
}  // namespace freshet::core
