// Tasks at stated times, and setpoints that move.
// One reason to change: when a task begins or ends, or what moves the setpoint.
#include "controller/core/timed_duty.hpp"

#include <gtest/gtest.h>

#include "controller/core/moving_setpoint.hpp"
#include "controller/core/store.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::core::timed_duty {
namespace {

constexpr std::int64_t day_ms = 86'400'000, hour_ms = 3'600'000, minute_ms = 60'000;
/// A Thursday, far from the first one.
constexpr std::int64_t midnight_ms = 7 * 3000 * day_ms;
constexpr std::uint8_t thursday = 1U << 4U, friday = 1U << 5U;
constexpr std::int32_t five_ms = 5 * static_cast<std::int32_t>(hour_ms), within_ms = 5'400'000;

/// A well whose estimate knows a steady inflow, with the level at the setpoint.
struct Station {
    Settings settings = doubles::four_pumps();
    FlowTable flows{settings};
    SequencerState sequencer;
    Sight sight;
    Balance balance;
    Advice advice;
    TimedDuty duty;
    DutyAim aim;

    explicit Station(double inflow_share = 0.3) {
        sight.signals.measured.quality = Quality::good;
        sight.area_m2 = store_area_m2(settings, settings.marks.setpoint_m);
        const double inflow_m3s = inflow_share * full_m3s();
        constexpr int seconds = 120;
        for (int second = 0; second < seconds; ++second) {
            put_level(settings.marks.setpoint_m + second * inflow_m3s / sight.area_m2);
            add_to_balance(balance, sight, 1);
            update_balance(balance, sight, flows, settings, advice);
        }
        put_level(settings.marks.setpoint_m);
        settings.draw_down = {{thursday, five_ms, within_ms},
                              0.5 * (settings.marks.low_cutoff_m + settings.marks.stop_m)};
        constexpr std::int32_t lasts_ms = 60'000;
        settings.scour = {{friday, five_ms, within_ms}, 0.8 * full_m3s(), lasts_ms};
    }
    double full_m3s() const {
        return flows.total_m3s(0, settings.drive.speed_max_hz, settings.marks.setpoint_m);
    }
    void put_level(double level_m) {
        sight.signals.measured.value_m = level_m;
        sight.need_m = need_of(settings, level_m);
    }
    const DutyAim& at(std::int64_t since_midnight_ms) {
        sight.picture.time_ms = midnight_ms + since_midnight_ms;
        aim = renew_timed_duty(duty, {sight, sequencer, balance, flows, settings, Service::normal});
        return aim;
    }
};

TEST(DrawDown, begins_at_its_time_on_its_day_and_once) {
    Station station;
    station.at(five_ms - 1000);
    EXPECT_FALSE(station.duty.under_way());
    station.at(five_ms);
    EXPECT_EQ(station.duty.mode, WaterMode::draw_down);
    EXPECT_GT(station.aim.speed_hz, 0);
    station.put_level(station.settings.draw_down.level_m);
    station.at(five_ms + 1000);
    EXPECT_FALSE(station.duty.under_way());
    EXPECT_EQ(station.aim.why, Reason::well_drawn_down);
    station.at(five_ms + 2000);
    EXPECT_FALSE(station.duty.under_way()) << "once a day";
    station.put_level(station.settings.marks.setpoint_m);
    station.at(7 * day_ms + five_ms);
    EXPECT_EQ(station.duty.mode, WaterMode::draw_down) << "on the next Thursday";
}

TEST(DrawDown, has_local_time) {
    Station station;
    station.settings.utc_offset_ms = 2 * static_cast<std::int32_t>(hour_ms);
    station.at(five_ms);
    EXPECT_FALSE(station.duty.under_way());
    station.at(five_ms - 2 * hour_ms);
    EXPECT_EQ(station.duty.mode, WaterMode::draw_down);
}

TEST(DrawDown, is_left_out_by_a_controller_that_starts_after_the_time) {
    Station station;
    station.at(five_ms + 2 * minute_ms);
    EXPECT_FALSE(station.duty.under_way());
}

TEST(DrawDown, is_given_up_when_the_inflow_needs_the_pumps) {
    Station station(0.95);
    station.at(five_ms);
    EXPECT_FALSE(station.duty.under_way());
    EXPECT_EQ(station.aim.why, Reason::pumps_needed);
    Station later;
    later.at(five_ms);
    ASSERT_TRUE(later.duty.under_way());
    later.sight.picture.on_line = 1;
    later.at(five_ms + minute_ms);
    EXPECT_FALSE(later.duty.under_way());
    EXPECT_EQ(later.aim.why, Reason::pumps_needed);
}

TEST(DrawDown, is_given_up_when_a_float_calls_or_the_level_is_at_the_high_mark) {
    Station called;
    called.at(five_ms);
    ASSERT_TRUE(called.duty.under_way());
    called.sight.floats.calls = true;
    called.at(five_ms + minute_ms);
    EXPECT_EQ(called.aim.why, Reason::pumps_needed);
    Station high;
    high.at(five_ms);
    ASSERT_TRUE(high.duty.under_way());
    high.put_level(high.settings.marks.high_alarm_m);
    high.at(five_ms + minute_ms);
    EXPECT_EQ(high.aim.why, Reason::pumps_needed);
}

TEST(DrawDown, is_given_up_when_its_time_is_over) {
    Station station;
    station.at(five_ms);
    station.at(five_ms + within_ms);
    EXPECT_FALSE(station.duty.under_way());
    EXPECT_EQ(station.aim.why, Reason::time_over);
}

TEST(DrawDown, stops_the_pump_at_its_level_and_starts_the_pump_above) {
    Station station;
    station.at(five_ms);
    const NeedMarks marks = marks_of_task(station.duty, need_marks(station.settings), station.settings);
    EXPECT_EQ(marks.stop_m, need_of(station.settings, station.settings.draw_down.level_m));
    EXPECT_LT(marks.start_m, need_marks(station.settings).start_m);
    EXPECT_EQ(marks.cutoff_m, need_marks(station.settings).cutoff_m);
}

TEST(Scour, waits_for_the_water_and_then_runs_for_its_time) {
    Station station(0.2);
    station.put_level(station.settings.marks.stop_m);
    station.settings.scour.lasts_ms = 30'000;
    station.at(day_ms + five_ms);
    EXPECT_EQ(station.duty.mode, WaterMode::scour_wait);
    EXPECT_EQ(station.aim.why, Reason::water_awaited);
    station.put_level(station.settings.marks.start_m);
    station.at(day_ms + five_ms + minute_ms);
    EXPECT_EQ(station.duty.mode, WaterMode::scour);
    EXPECT_EQ(station.aim.why, Reason::water_there);
    station.sequencer.drive_pump = 0;
    station.at(day_ms + five_ms + minute_ms + 1000);
    const double flow_m3s = station.flows.total_m3s(0, station.aim.speed_hz, station.settings.marks.start_m);
    EXPECT_NEAR(flow_m3s, station.settings.scour.flow_m3s, 0.01 * station.settings.scour.flow_m3s);
    station.at(day_ms + five_ms + 2 * minute_ms);
    EXPECT_FALSE(station.duty.under_way());
    EXPECT_EQ(station.aim.why, Reason::main_scoured);
}

TEST(Scour, lets_the_store_fill_while_it_waits_and_then_starts_its_pump_above_the_stop_mark) {
    Station station(0.2);
    const NeedMarks given = need_marks(station.settings);
    station.duty.mode = WaterMode::scour_wait;
    const NeedMarks waiting = marks_of_task(station.duty, given, station.settings);
    EXPECT_EQ(waiting.start_m, given.start_m);
    EXPECT_EQ(waiting.hold_m, given.start_m);
    EXPECT_LT(waiting.stop_m, waiting.start_m);
    EXPECT_GT(waiting.stop_m, 0.5 * (given.start_m + given.stop_m)) << "a pump that runs stops soon";
    station.duty.mode = WaterMode::scour;
    const NeedMarks scouring = marks_of_task(station.duty, given, station.settings);
    EXPECT_EQ(scouring.stop_m, given.stop_m);
    EXPECT_EQ(scouring.start_m, given.stop_m + given.deadband_m);
}

TEST(Scour, is_given_up_when_its_pump_stops) {
    Station station(0.2);
    station.put_level(station.settings.marks.start_m);
    station.at(day_ms + five_ms);
    ASSERT_EQ(station.duty.mode, WaterMode::scour);
    station.sequencer.drive_pump = 0;
    station.at(day_ms + five_ms + 1000);
    station.sequencer.drive_pump = no_pump;
    station.at(day_ms + five_ms + 11'000);
    EXPECT_FALSE(station.duty.under_way());
    EXPECT_EQ(station.aim.why, Reason::scour_cut_short);
    EXPECT_EQ(station.aim.values[0], 10) << "seconds of the scour";
}

TEST(Scour, is_given_up_when_the_store_is_too_small) {
    Station station(0.2);
    station.settings.scour.lasts_ms = 3'600'000;
    station.at(day_ms + five_ms);
    EXPECT_FALSE(station.duty.under_way());
    EXPECT_EQ(station.aim.why, Reason::water_too_little);
}

// Setpoints that move

TEST(MovingSetpoint, rises_with_the_square_of_the_flow_up_to_its_limit) {
    Station station(0.5);
    MovingSetpoint setpoint;
    const double demand_m3s = station.balance.estimate.inflow_m3s();
    const double loss_s2m5 = 0.1 / (demand_m3s * demand_m3s);
    station.settings.flow_setpoint = {loss_s2m5, 0.3};
    const DutyView view{station.sight, station.sequencer, station.balance,
                        station.flows, station.settings,  Service::normal};
    renew_setpoint(setpoint, view);
    EXPECT_NEAR(setpoint.rise_m, 0.1, 1e-9);
    station.settings.flow_setpoint.rise_max_m = 0.05;
    renew_setpoint(setpoint, view);
    EXPECT_EQ(setpoint.rise_m, 0.05);
}

TEST(MovingSetpoint, follows_a_step_of_the_flow_within_minutes_and_not_at_once) {
    Station station(0.5);
    const double demand_m3s = station.balance.estimate.inflow_m3s();
    station.settings.flow_setpoint = {0.1 / (demand_m3s * demand_m3s), 1};
    MovingSetpoint setpoint;
    setpoint.flow_known = true;  // no flow until now
    const auto renew_for = [&](int seconds) {
        for (int second = 0; second < seconds; ++second)
            renew_setpoint(setpoint, {station.sight, station.sequencer, station.balance, station.flows,
                                      station.settings, Service::normal});
    };
    renew_for(1);
    EXPECT_LT(setpoint.rise_m, 0.001);
    constexpr int minutes_s = 300;
    renew_for(minutes_s);
    EXPECT_NEAR(setpoint.rise_m, 0.1, 0.002);
}

TEST(MovingSetpoint, moves_every_staging_mark_and_neither_the_cut_off_nor_the_alarm) {
    const Settings settings = doubles::four_pumps();
    MovingSetpoint setpoint;
    setpoint.rise_m = 0.1;
    const NeedMarks given = need_marks(settings), moved = moved_marks(setpoint, settings);
    EXPECT_EQ(moved.stop_m, given.stop_m - 0.1);
    EXPECT_EQ(moved.stage_up_m, given.stage_up_m - 0.1);
    EXPECT_EQ(moved.hold_m, -0.1);
    EXPECT_EQ(moved.cutoff_m, given.cutoff_m);
    EXPECT_EQ(moved.high_m, given.high_m);
}

TEST(MovingSetpoint, fills_evenly_through_the_cheap_hours_and_falls_when_they_are_over) {
    Station station;
    constexpr std::uint32_t from_ten_to_six = 0b1100'0000'0000'0000'0011'1111U;
    station.settings.cheap = {from_ten_to_six, 1.0};
    MovingSetpoint setpoint;
    const auto rise_at = [&](std::int64_t from_ms, std::int64_t to_ms) {
        for (std::int64_t at_ms = from_ms; at_ms < to_ms; at_ms += 1000) {
            station.sight.picture.time_ms = midnight_ms + at_ms;
            renew_setpoint(setpoint, {station.sight, station.sequencer, station.balance, station.flows,
                                      station.settings, Service::normal});
        }
        return setpoint.rise_m;
    };
    constexpr std::int64_t ten_ms = 22 * hour_ms, six_ms = day_ms + 6 * hour_ms;
    EXPECT_EQ(rise_at(ten_ms - minute_ms, ten_ms), 0);
    EXPECT_NEAR(rise_at(ten_ms, ten_ms + 15 * hour_ms / 4), 0.5, 0.01)
        << "half of the time to half past five";
    EXPECT_NEAR(rise_at(ten_ms + 15 * hour_ms / 4, six_ms - hour_ms / 2), 1.0, 0.02);
    EXPECT_EQ(rise_at(six_ms, six_ms + 1000), 0);
}

TEST(DayTime, knows_the_day_of_the_week_and_the_hour) {
    Settings settings;
    EXPECT_EQ(day_time(midnight_ms, settings).weekday(), 4);
    EXPECT_EQ(day_time(midnight_ms - 1, settings).weekday(), 3);
    EXPECT_EQ(day_time(midnight_ms + 23 * hour_ms, settings).hour(), 23);
    settings.utc_offset_ms = -static_cast<std::int32_t>(hour_ms);
    EXPECT_EQ(day_time(midnight_ms, settings).hour(), 23);
    EXPECT_EQ(day_time(midnight_ms, settings).weekday(), 3);
    EXPECT_EQ(day_time(-1, Settings{}).day, -1);
}

}  // namespace
}  // namespace freshet::core::timed_duty
