// The next pump on the drive when pumps differ: a pump that was idle for too long, a pump that cannot be
// handed over. One reason to change: the order in which pumps take the drive.
#include <gtest/gtest.h>

#include "controller/core/staging.hpp"
#include "controller/core/store.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

constexpr std::int64_t hour = 60_min;

TEST(Exercise, starts_an_idle_pump_that_cannot_be_handed_over_and_no_other_in_its_place) {
    Settings settings = doubles::four_pumps();
    settings.exercise_ms = 30_min;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.line_side[0].fault.does_not_close = true;
    watch.station.inflow_m3s = 1.4;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(0, PumpAlarm::line_side_does_not_close); }, hour));
    ASSERT_TRUE(watch.run_until_state(0, PumpState::off, hour)) << "the pump frees the drive";
    watch.station.inflow_m3s = 0.5;
    ASSERT_TRUE(watch.run_until(
        [&] {
            const Event* due =
                watch.last(EventKind::sequence_begun, static_cast<std::uint8_t>(Sequence::stop_on_drive));
            return due->why == Reason::exercise_due && watch.advice->drive_pump == 0;
        },
        6 * hour));
    EXPECT_EQ(watch.state(0), PumpState::starting);
    std::size_t exchanges = 0;
    for (const Event& event : watch.events)
        if (event.what == EventKind::sequence_begun && event.why == Reason::exercise_due &&
            event.detail == static_cast<std::uint8_t>(Sequence::stop_on_drive))
            ++exchanges;
    EXPECT_LE(exchanges, 3U) << "each idle pump was exercised once";
}

/// Four pumps. One runs on the drive alone, and its line-side contactor did not close.
struct Alone {
    static constexpr std::int64_t now_ms = doubles::odd_start_ms;
    Settings settings = doubles::four_pumps();
    FlowTable flows{settings};
    SequencerState state;
    Picture picture;
    StagingState staging;
    StagingInputs in;

    Alone() {
        picture.time_ms = now_ms;
        picture.automatic = picture.line_side_open = 0x0F;
        picture.drive_known = picture.drive_hz_known = picture.contacts_known = true;
        for (PumpRecord& pump : state.pumps) pump.released_ms = now_ms - 24 * hour;
        state.pumps[0].state = PumpState::on_drive;
        state.pumps[0].started_ms = now_ms - hour;
        state.drive_pump = 0;
        state.latched_pump[0] = alarm_bit(PumpAlarm::line_side_does_not_close);
        drive(true);
        in.marks = need_marks(settings);
        in.permit = {.settled = true, .data_starts = true};
        in.service = Service::normal;
        in.highest_hz = settings.drive.speed_max_hz;
        in.water.inflow_known = true;
        set_value(settings.marks.setpoint_m);
        in.water.inflow_m3s = flows.total_m3s(0, in.highest_hz, in.value_m) + 3;
    }
    void drive(bool feeds) {
        picture.drive_side_closed = feeds ? bit_of(0) : PumpMask{0};
        picture.drive_side_open = static_cast<PumpMask>(0x0F & ~picture.drive_side_closed);
        picture.output_closed = picture.drive_running = feeds;
        picture.output_open = picture.drive_stopped = !feeds;
    }
    void set_value(double value_m) {
        in.value_m = value_m;
        in.need_m = need_of(settings, value_m);
        in.lowest_hz = in.demand_hz = flows.minimum_flow_hz(0, value_m);
        in.water.volume_m3 = need_volume_m3(settings, value_m);
    }
    void stop_drive_pump() {
        state.drive_pump = no_pump;
        state.pumps[0].state = PumpState::off;
        state.pumps[0].released_ms = picture.time_ms;
        drive(false);
    }
    Decision decide_now() { return decide(staging, state, picture, in, flows, settings); }
    Decision decide_after(std::int64_t wait_ms) {
        picture.time_ms += wait_ms;
        return decide_now();
    }
};

TEST(PumpThatCannotBeHandedOver, frees_the_drive_for_another_pump_although_no_pump_runs_meanwhile) {
    Alone station;
    station.decide_now();
    const Decision change = station.decide_after(3_s);
    ASSERT_EQ(change.intention, Intention::stop_on_drive);
    ASSERT_EQ(change.why, Reason::forecast_short);
    ASSERT_TRUE(change.now);
    station.stop_drive_pump();
    ASSERT_LT(station.in.value_m, station.settings.marks.start_m);
    const Decision start = station.decide_after(10_s);
    EXPECT_EQ(start.intention, Intention::start_on_drive);
    EXPECT_EQ(start.why, Reason::forecast_short);
    EXPECT_TRUE(start.now);
    EXPECT_NE(start.pump, 0);
    EXPECT_EQ(start.chosen.pump, start.pump);
}

TEST(PumpThatCannotBeHandedOver, is_named_as_passed_over_when_it_would_have_come_first) {
    Alone station;
    station.stop_drive_pump();
    station.state.pumps[0].released_ms = Alone::now_ms - hour;
    for (const std::size_t pump : {1U, 2U, 3U}) station.state.pumps[pump].run_ms = 10 * hour;
    station.set_value(station.settings.marks.start_m + 0.05);
    const Decision start = station.decide_after(1_s);
    ASSERT_EQ(start.intention, Intention::start_on_drive);
    EXPECT_EQ(start.pump, 1);
    EXPECT_EQ(start.chosen.why, Reason::can_be_handed_over);
    EXPECT_EQ(start.chosen.values[0], 1) << "pump 1 comes before, but cannot be handed over";
}

TEST(PumpThatCannotBeHandedOver, is_replaced_when_another_pump_may_start) {
    Alone station;
    station.decide_now();
    ASSERT_TRUE(station.decide_after(3_s).now);
    station.stop_drive_pump();
    station.state.last_start_ms = station.picture.time_ms;  // the spacing of starts is not over
    EXPECT_EQ(station.decide_after(1_s).intention, Intention::none);
    EXPECT_EQ(station.decide_after(station.settings.restart.spacing_ms).intention, Intention::start_on_drive);
}

TEST(PumpThatCannotBeHandedOver, is_not_replaced_when_the_level_has_fallen) {
    Alone station;
    station.decide_now();
    ASSERT_TRUE(station.decide_after(3_s).now);
    station.stop_drive_pump();
    station.in.water.inflow_m3s = 0;
    station.set_value(station.settings.marks.stage_down_m - 0.1);
    EXPECT_EQ(station.decide_after(1_s).intention, Intention::none);
    station.set_value(station.settings.marks.setpoint_m);
    EXPECT_EQ(station.decide_after(1_s).intention, Intention::none) << "the wanted start is cancelled";
}

TEST(PumpThatCannotBeHandedOver, counts_down_to_the_later_of_its_minimum_run_and_the_delay) {
    Alone station;
    const std::int64_t minimum_run_ms = station.settings.permissives.run_min_ms;
    station.state.pumps[0].started_ms = Alone::now_ms - minimum_run_ms + 1_s;
    const Decision delay_longer = station.decide_now();
    EXPECT_EQ(delay_longer.intention, Intention::stop_on_drive);
    EXPECT_FALSE(delay_longer.now);
    EXPECT_EQ(delay_longer.countdown_ms, 3_s) << "the forecast must last";
    station.state.pumps[0].started_ms = Alone::now_ms - minimum_run_ms + 20_s;
    EXPECT_EQ(station.decide_now().countdown_ms, 20_s) << "the minimum run is not over";
    EXPECT_EQ(station.decide_after(5_s).countdown_ms, 15_s);
}

/// The level is steady at the setpoint. Pump 3 was idle for a day, the others for ten minutes.
struct OneIdleForLong : Alone {
    OneIdleForLong() {
        settings.exercise_ms = 2 * hour;
        in.water.inflow_m3s = 0.1;
        for (PumpRecord& pump : state.pumps) pump.released_ms = now_ms - 10_min;
        state.pumps[2].released_ms = now_ms - 24 * hour;
    }
    void keep_back(std::size_t pump) { state.pumps[pump].retry_after_ms = now_ms + 1_min; }
};

TEST(Exercise, frees_the_drive_for_the_pump_that_was_idle_for_too_long) {
    OneIdleForLong station;
    const Decision change = station.decide_now();
    EXPECT_EQ(change.intention, Intention::stop_on_drive);
    EXPECT_EQ(change.why, Reason::exercise_due);
    station.stop_drive_pump();
    station.set_value(station.settings.marks.start_m + 0.05);
    EXPECT_EQ(station.decide_after(1_min).pump, 2);
}

TEST(Exercise, waits_while_another_pump_would_take_the_drive) {
    OneIdleForLong station;
    station.keep_back(2);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(Exercise, waits_while_no_pump_may_start) {
    OneIdleForLong station;
    for (const std::size_t pump : {1U, 2U, 3U}) station.keep_back(pump);
    EXPECT_EQ(station.decide_now().intention, Intention::none);
}

TEST(EmergencyStop, cancels_the_start_of_the_next_pump) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.line_side[0].fault.does_not_close = true;
    watch.station.inflow_m3s = 1.4;
    ASSERT_TRUE(watch.run_until([&] { return watch.alarm(0, PumpAlarm::line_side_does_not_close); }, hour));
    ASSERT_TRUE(watch.run_until_state(0, PumpState::stopping, hour));
    watch.station.inflow_m3s = 0;
    watch.station.level_m = watch.settings().marks.setpoint_m;
    watch.station.emergency_stop = true;
    watch.run_for(1_min);
    watch.station.emergency_stop = false;
    watch.scan_once();
    watch.reset_emergency_stop();
    watch.station.level_m = watch.settings().marks.setpoint_m;
    const std::size_t starts = watch.count(EventKind::sequence_begun, Sequence::start_on_drive);
    watch.run_for(10_min);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), starts)
        << "no pump starts below the start mark";
}

}  // namespace
}  // namespace freshet::core
