// The return after an outage: the drive that is waited for, the rest of pumps that stopped involuntarily, and
// a sag that the contactors hold. One reason to change: what delays the first starts after an outage.
#include <gtest/gtest.h>

#include "tests/unit/core/line_starts.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// A station whose drive is not ready after an outage, with the level between start mark and high mark.
struct AfterOutage : Watch {
    explicit AfterOutage(const Settings& settings = four_pumps_with_line_starts()) : Watch(settings) {
        EXPECT_TRUE(one_on_drive());
        run_for(3_min);
        station.line_voltage_v = 0;
        station.drive_fault.not_ready = true;
        run_for(2_min);
        station.line_voltage_v = 2300;
        back_ms = station.now_ms;
    }
    /// Time from the return to the first start, ms; -1 when none begins within the limit.
    std::int64_t time_to_start_ms(Sequence sequence, std::int64_t limit_ms, double level_m) {
        const std::size_t before = count(EventKind::sequence_begun, sequence);
        for (const std::int64_t end = station.now_ms + limit_ms; station.now_ms < end;) {
            station.level_m = level_m;
            scan_once();
            if (count(EventKind::sequence_begun, sequence) > before)
                return station.now_ms - settings().scan_ms - back_ms;
        }
        return -1;
    }
    std::int64_t back_ms = 0;
};

constexpr double above_start_m = 2.4;

TEST(DriveAfterAnOutage, that_returns_within_the_wait_starts_the_first_pump_and_no_pump_starts_on_the_line) {
    AfterOutage watch;
    watch.run_for(30_s);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::line_start), 0U);
    watch.station.drive_fault.not_ready = false;
    EXPECT_GE(watch.time_to_start_ms(Sequence::start_on_drive, 1_min, above_start_m), 30_s);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::line_start), 0U);
}

TEST(DriveAfterAnOutage, that_does_not_return_is_waited_for_no_longer_than_the_wait) {
    AfterOutage watch;
    const std::int64_t started_after_ms = watch.time_to_start_ms(Sequence::line_start, 10_min, above_start_m);
    const std::int64_t wait_ms = watch.settings().restart.drive_wait_ms;
    EXPECT_GE(started_after_ms, wait_ms - watch.settings().scan_ms);
    EXPECT_LE(started_after_ms, wait_ms + 2_s);
}

TEST(DriveAfterAnOutage, that_is_waited_for_is_announced_with_the_time_left) {
    AfterOutage watch;
    watch.station.level_m = above_start_m;
    watch.run_for(10_s);
    EXPECT_EQ(watch.advice->next.intention, Intention::line_start);
    EXPECT_EQ(watch.advice->next.reason, Reason::drive_awaited);
    EXPECT_NEAR(watch.advice->next.countdown_ms, watch.settings().restart.drive_wait_ms - 10_s, 2_s);
}

TEST(DriveAfterAnOutage, is_not_waited_for_at_the_high_mark) {
    AfterOutage watch;
    const std::int64_t started_after_ms =
        watch.time_to_start_ms(Sequence::line_start, 10_min, watch.settings().marks.high_alarm_m + 0.05);
    EXPECT_GE(started_after_ms, watch.settings().restart.settle_ms - watch.settings().scan_ms);
    EXPECT_LT(started_after_ms, watch.settings().restart.drive_wait_ms / 2);
}

TEST(DriveAfterAnOutage, is_not_waited_for_when_a_person_set_no_wait) {
    Settings settings = four_pumps_with_line_starts();
    settings.restart.drive_wait_ms = 0;
    AfterOutage watch(settings);
    EXPECT_LT(watch.time_to_start_ms(Sequence::line_start, 10_min, above_start_m), 20_s);
}

TEST(DriveThatFailedBefore, is_not_waited_for_after_an_outage) {
    Watch watch(four_pumps_with_line_starts());
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.drive_fault.not_ready = true;
    watch.station.level_m = 1.5;
    watch.station.inflow_m3s = 0;
    watch.run_for(5_min);
    watch.station.line_voltage_v = 0;
    watch.run_for(2_min);
    watch.station.line_voltage_v = 2300;
    watch.station.level_m = above_start_m;
    watch.station.inflow_m3s = 0.6;
    EXPECT_TRUE(watch.run_until(
        [&] { return watch.count(EventKind::sequence_begun, Sequence::line_start) > 0; }, 20_s));
}

TEST(DriveThatTripsInALossOfSupply, is_not_blamed_for_the_loss) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.line_voltage_v = 0;
    watch.station.drive_fault.trips = true;
    watch.run_for(10_s);
    EXPECT_EQ(watch.retained().drive_attempts, 0);
    EXPECT_EQ(watch.retained().drive_retry_after_ms, never_ms);
    EXPECT_EQ(watch.retained().pumps[0].attempts, 0);
}

/// Four pumps with a long rest, of which one has stopped by a loss of supply.
struct StoppedBySupply : Watch {
    StoppedBySupply() : Watch(with_long_rest()) {
        EXPECT_TRUE(one_on_drive());
        for (std::size_t pump = 1; pump < 4; ++pump) station.selector[pump] = Selector::off;
        run_for(3_min);
        station.line_voltage_v = 0;
        run_for(30_s);
        station.line_voltage_v = 2300;
    }
    static Settings with_long_rest() {
        Settings settings = doubles::four_pumps();
        settings.permissives.rest_min_ms = 600'000;
        return settings;
    }
    bool starts_within(std::int64_t limit_ms, double level_m) {
        return run_until(
            [&] {
                station.level_m = level_m;
                return advice->drive_run;
            },
            limit_ms);
    }
};

TEST(LossOfSupply, charges_no_rest_when_the_water_calls) {
    StoppedBySupply watch;
    EXPECT_TRUE(watch.starts_within(30_s, watch.settings().marks.stage_up_m + 0.1));
}

TEST(LossOfSupply, charges_the_rest_while_the_water_does_not_call) {
    StoppedBySupply watch;
    EXPECT_FALSE(watch.starts_within(2_min, watch.settings().marks.start_m + 0.1));
}

TEST(StopByStaging, charges_the_rest_even_when_the_water_calls) {
    Watch watch(StoppedBySupply::with_long_rest());
    ASSERT_TRUE(watch.one_on_drive());
    for (std::size_t pump = 1; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::off, 2_h));
    watch.station.level_m = watch.settings().marks.stage_up_m + 0.1;
    EXPECT_FALSE(watch.run_until([&] { return watch.advice->drive_run; }, 5_min));
}

TEST(EmergencyStop, charges_no_rest_after_the_reset_when_the_water_calls) {
    Watch watch(StoppedBySupply::with_long_rest());
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.run_for(3_min);
    watch.station.emergency_stop = true;
    watch.run_for(10_s);
    watch.station.emergency_stop = false;
    watch.run_for(2_s);
    watch.reset_emergency_stop();
    watch.station.level_m = watch.settings().marks.stage_up_m + 0.2;
    for (std::size_t pump = 2; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->drive_run; }, 30_s));
}

TEST(ColdStart, charges_no_rest_when_the_water_calls) {
    Watch watch(StoppedBySupply::with_long_rest());
    watch.station.inflow_m3s = 1.0;
    watch.station.level_m = watch.settings().marks.stage_up_m + 0.1;
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->drive_run; }, 20_s));
}

TEST(Sag, that_the_contactors_hold_stops_nothing) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    ASSERT_EQ(watch.advice->sequence, Sequence::none);
    const std::size_t events = watch.events.size();
    constexpr double sagging_v = 1700;  // above the drop-out of the contactors, below voltage_min
    watch.station.line_voltage_v = sagging_v;
    watch.run_for(watch.settings().supply.lost_hold_ms - watch.settings().scan_ms);
    watch.station.line_voltage_v = 2300;
    watch.run_for(2_s);
    for (std::size_t i = events; i < watch.events.size(); ++i)
        EXPECT_NE(watch.events[i].what, EventKind::sequence_begun) << i;
    EXPECT_EQ(watch.state(0), PumpState::on_line);
    EXPECT_EQ(watch.state(1), PumpState::on_drive);
    EXPECT_FALSE(watch.alarm(StationAlarm::supply));
}

}  // namespace
}  // namespace freshet::core
