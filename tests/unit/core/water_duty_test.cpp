// What the duty asks of the water: fill and draw, sleep, and the marks in force.
// One reason to change: when a rule of the duty applies, or what the rule asks.
#include "controller/core/water_duty.hpp"

#include <gtest/gtest.h>

#include "controller/core/store.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::core::water_duty {
namespace {

constexpr double draw_hz = 50;

/// A station whose estimate knows the inflow, with `on_line` pumps on the line.
struct Station {
    Settings settings = doubles::four_pumps();
    FlowTable flows;
    SequencerState sequencer;
    Sight sight;
    Balance balance;
    Advice advice;
    std::uint32_t events = 0;
    Service service = Service::normal;
    WaterDuty duty;

    explicit Station(std::uint8_t on_line = 0) {
        settings.draw.wanted = true;
        settings.draw.speed_hz = {draw_hz, draw_hz + 2, draw_hz + 4, draw_hz + 6};
        sight.picture.on_line = on_line;
        sight.picture.time_ms = doubles::odd_start_ms;
        for (std::uint8_t pump = 0; pump < on_line; ++pump) sequencer.pumps[pump].state = PumpState::on_line;
        prepare();
    }
    void prepare() {
        flows = FlowTable(settings);
        duty.marks = need_marks(settings);
        sight.signals.measured.quality = Quality::good;
        sight.signals.measured.value_m = settings.marks.setpoint_m;
        sight.area_m2 = store_area_m2(settings, settings.marks.setpoint_m);
    }
    double flow_m3s(std::size_t line_pumps, double hz) const {
        return flows.total_m3s(line_pumps, hz, settings.marks.setpoint_m);
    }
    /// The level moves by this inflow, without pumps, until the estimate knows the inflow.
    void know(double inflow_m3s) {
        balance = {};
        // The pumps that run count in the balance.
        const double pumped_m3s = flow_m3s(sight.picture.on_line, 0);
        double value_m = settings.marks.setpoint_m;
        constexpr int seconds = 120;
        for (int second = 0; second < seconds; ++second) {
            value_m += (inflow_m3s - pumped_m3s) / sight.area_m2;
            sight.signals.measured.value_m = value_m;
            sight.need_m = need_of(settings, value_m);
            add_to_balance(balance, sight, 1);
            update_balance(balance, sight, flows, settings, advice);
        }
    }
    void renew_once() {
        Journal journal(advice, events);
        renew_water_duty(duty, {sight, sequencer, balance, flows, settings, service}, advice, journal);
    }
    /// Renews now, and again a minute later when nothing changed.
    void renew() {
        renew_once();
        if (event() != nullptr) return;
        constexpr std::int64_t minute_ms = 60'000;
        sight.picture.time_ms += minute_ms;
        renew_once();
    }
    const Event* event() const { return advice.event_count > 0 ? &advice.events[0] : nullptr; }
};

TEST(FillAndDraw, draws_at_the_speed_of_least_energy_while_that_speed_carries_the_inflow) {
    for (std::uint8_t on_line = 0; on_line < 3; ++on_line) {
        Station station(on_line);
        const double alone_m3s = station.flow_m3s(on_line, 0);
        const double drawn_m3s = station.flow_m3s(on_line, station.settings.draw.speed_hz[on_line]);
        ASSERT_GT(drawn_m3s, alone_m3s);
        station.know(alone_m3s + 0.5 * (drawn_m3s - alone_m3s));
        station.renew();
        EXPECT_EQ(station.duty.mode, WaterMode::fill_and_draw);
        EXPECT_EQ(station.duty.draw_hz, station.settings.draw.speed_hz[on_line]) << int{on_line};
        ASSERT_NE(station.event(), nullptr);
        EXPECT_EQ(station.event()->what, EventKind::water_mode);
        EXPECT_EQ(station.event()->why, Reason::draw_saves_energy);
    }
}

TEST(FillAndDraw, holds_when_the_inflow_is_more_than_the_draw_carries) {
    Station station;
    station.know(0.5 * station.flow_m3s(0, draw_hz));
    station.renew();
    ASSERT_TRUE(station.duty.draws());
    station.know(1.1 * station.flow_m3s(0, draw_hz));
    station.renew();
    EXPECT_FALSE(station.duty.draws());
    EXPECT_EQ(station.duty.mode, WaterMode::hold);
    ASSERT_NE(station.event(), nullptr);
    EXPECT_EQ(station.event()->why, Reason::draw_too_small);
}

TEST(FillAndDraw, begins_when_the_inflow_is_clearly_less_than_the_draw_carries) {
    Station station;
    station.know(0.95 * station.flow_m3s(0, draw_hz));
    station.renew();
    EXPECT_EQ(station.duty.mode, WaterMode::hold);
    station.know(0.85 * station.flow_m3s(0, draw_hz));
    station.renew();
    ASSERT_EQ(station.duty.mode, WaterMode::fill_and_draw);
    station.advice = {};
    station.know(0.95 * station.flow_m3s(0, draw_hz));
    station.renew();
    EXPECT_EQ(station.duty.mode, WaterMode::fill_and_draw);
}

TEST(FillAndDraw, draws_on_through_less_than_a_minute_of_more_inflow_and_ends_at_once_when_blind) {
    Station station;
    station.know(0.5 * station.flow_m3s(0, draw_hz));
    station.renew();
    ASSERT_EQ(station.duty.draw_hz, draw_hz);
    station.know(1.1 * station.flow_m3s(0, draw_hz));
    station.renew_once();
    constexpr std::int64_t just_less_ms = 59'999;
    station.sight.picture.time_ms += just_less_ms;
    station.renew_once();
    EXPECT_EQ(station.duty.mode, WaterMode::fill_and_draw);
    EXPECT_EQ(station.duty.draw_hz, draw_hz);
    station.service = Service::fixed_speed;
    station.renew_once();
    EXPECT_EQ(station.duty.mode, WaterMode::hold);
    EXPECT_FALSE(station.duty.draws());
}

TEST(FillAndDraw, holds_while_the_inflow_is_not_known_or_the_drive_pump_does_not_see_the_level) {
    Station unknown;
    unknown.renew();
    EXPECT_FALSE(unknown.duty.draws());
    Station blind;
    blind.know(0.5 * blind.flow_m3s(0, draw_hz));
    blind.service = Service::floats;
    blind.renew();
    EXPECT_FALSE(blind.duty.draws());
}

TEST(FillAndDraw, holds_with_line_pumps_that_are_too_many) {
    Station station(2);
    station.know(0.9 * station.flow_m3s(2, 0));
    station.renew();
    EXPECT_FALSE(station.duty.draws());
}

TEST(FillAndDraw, draws_more_slowly_where_the_starts_limit_needs_a_longer_cycle) {
    Station station;
    station.settings.permissives.starts_per_hour_max = 1;
    for (std::size_t pump = 1; pump < station.settings.pump_count; ++pump)
        station.sequencer.pumps[pump].state = PumpState::unavailable;
    const double inflow_m3s = 0.5 * station.flow_m3s(0, draw_hz);
    station.know(inflow_m3s);
    station.renew();
    ASSERT_TRUE(station.duty.draws());
    EXPECT_LT(station.duty.draw_hz, draw_hz);
    EXPECT_GE(station.duty.draw_hz,
              station.flows.minimum_flow_hz(0, station.settings.marks.setpoint_m) - 0.1);
}

TEST(FillAndDraw, is_off_where_nobody_wants_it) {
    Station station;
    station.settings.draw = {};
    station.know(0.5 * station.flow_m3s(0, draw_hz));
    station.renew();
    EXPECT_FALSE(station.duty.draws());
    EXPECT_EQ(station.event(), nullptr);
}

/// A station that sleeps, with marks of the sleep halfway to the outer marks.
struct Sleeper : Station {
    Sleeper() {
        settings.draw = {};
        settings.sleep = {true, 0.5 * (settings.marks.start_m + settings.marks.high_alarm_m),
                          0.5 * (settings.marks.stop_m + settings.marks.low_cutoff_m)};
        prepare();
    }
    double least_m3s() const { return flow_m3s(0, flows.minimum_flow_hz(0, settings.marks.setpoint_m)); }
    double boost_m() const { return need_of(settings, settings.sleep.boost_m); }
};

TEST(Sleep, uses_the_marks_of_the_sleep_while_the_demand_is_below_the_minimum_flow) {
    Sleeper station;
    station.know(0.5 * station.least_m3s());
    station.renew();
    EXPECT_EQ(station.duty.mode, WaterMode::sleep);
    EXPECT_EQ(station.duty.marks.stop_m, station.boost_m());
    EXPECT_EQ(station.duty.marks.start_m, need_of(station.settings, station.settings.sleep.wake_m));
    EXPECT_GT(station.duty.marks.stage_up_m, station.duty.marks.start_m);
    EXPECT_LT(station.duty.marks.stage_up_m, station.duty.marks.high_m);
    ASSERT_NE(station.event(), nullptr);
    EXPECT_EQ(station.event()->why, Reason::demand_below_minimum);
}

TEST(Sleep, begins_when_the_demand_has_been_small_for_a_minute) {
    Sleeper station;
    station.know(0.5 * station.least_m3s());
    station.renew_once();
    EXPECT_EQ(station.duty.mode, WaterMode::hold);
    station.know(1.2 * station.least_m3s());
    station.renew_once();
    station.know(0.5 * station.least_m3s());
    station.renew_once();
    constexpr std::int64_t just_less_ms = 59'999;
    station.sight.picture.time_ms += just_less_ms;
    station.renew_once();
    EXPECT_EQ(station.duty.mode, WaterMode::hold);
    ++station.sight.picture.time_ms;
    station.renew_once();
    EXPECT_EQ(station.duty.mode, WaterMode::sleep);
}

TEST(Sleep, begins_when_the_demand_is_clearly_below_the_minimum_flow) {
    Sleeper station;
    station.know(0.95 * station.least_m3s());
    station.renew();
    EXPECT_EQ(station.duty.mode, WaterMode::hold);
    station.know(0.8 * station.least_m3s());
    station.renew();
    EXPECT_EQ(station.duty.mode, WaterMode::sleep);
}

TEST(Sleep, ends_when_the_demand_is_more_than_the_minimum_flow) {
    Sleeper station;
    station.know(0.5 * station.least_m3s());
    station.renew();
    station.know(1.2 * station.least_m3s());
    station.renew();
    EXPECT_EQ(station.duty.mode, WaterMode::hold);
    EXPECT_EQ(station.duty.marks.start_m, need_marks(station.settings).start_m);
    EXPECT_EQ(station.duty.marks.stop_m, need_marks(station.settings).stop_m);
}

TEST(Sleep, does_not_begin_while_a_pump_runs_on_the_line) {
    Sleeper station;
    station.sight.picture.on_line = 1;
    station.know(0.5 * station.least_m3s());
    station.renew();
    EXPECT_EQ(station.duty.mode, WaterMode::hold);
}

TEST(Sleep, keeps_the_pump_running_when_the_demand_returns_to_a_charged_vessel) {
    Sleeper station;
    station.know(1.2 * station.least_m3s());
    station.sequencer.drive_pump = 0;
    station.sight.need_m = 0.5 * (need_marks(station.settings).stop_m + station.boost_m());
    station.renew();
    EXPECT_EQ(station.duty.marks.stop_m, station.boost_m());
}

// The setpoint in force, and tasks that are refused
// ------------------------------------------------------------

TEST(WaterDuty, publishes_the_setpoint_in_force) {
    Station station;
    station.settings.draw = {};
    const double demand_m3s = 0.5;
    constexpr double rise_m = 0.1;
    station.settings.flow_setpoint = {rise_m / (demand_m3s * demand_m3s), 1};
    station.know(demand_m3s);
    station.renew_once();
    const double known_m3s = station.balance.estimate.inflow_m3s();
    const double expected_m = rise_m * known_m3s * known_m3s / (demand_m3s * demand_m3s);
    EXPECT_NEAR(station.advice.setpoint_m, station.settings.marks.setpoint_m - expected_m, 1e-9)
        << "a well that is emptied further";
}

TEST(WaterDuty, reports_a_task_that_could_not_begin) {
    Station station;
    station.settings.draw = {};
    constexpr std::uint8_t every_day = 0x7F;
    constexpr std::int32_t hour_ms = 3'600'000;
    const DayTime now = day_time(station.sight.picture.time_ms, station.settings);
    station.settings.draw_down = {{every_day, now.since_ms, hour_ms}, station.settings.marks.stop_m};
    station.know(1.1 * station.flow_m3s(0, station.settings.drive.speed_max_hz));
    station.renew_once();
    ASSERT_NE(station.event(), nullptr);
    EXPECT_EQ(station.event()->what, EventKind::water_mode);
    EXPECT_EQ(station.event()->why, Reason::pumps_needed);
    EXPECT_EQ(station.duty.mode, WaterMode::hold);
}

}  // namespace
}  // namespace freshet::core::water_duty
