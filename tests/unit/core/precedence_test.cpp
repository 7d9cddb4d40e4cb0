// Water before wear in the whole scan: a refusal is an event and an alarm, and a limit of wear gives way with an
// event and an alarm while the water is in danger.
// One reason to change: what people learn of a limit that refuses or gives way.
#include "controller/core/precedence.hpp"

#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Pump 1 alone may run. The drive tripped and is ready again, so that pump 1 rests.
Watch with_one_pump_that_rests() {
    Settings settings = doubles::four_pumps();
    settings.permissives.rest_min_ms = 10_min;
    settings.step.retry_pause_ms = 5'000;
    Watch watch(settings);
    for (std::size_t pump = 1; pump < settings.pump_count; ++pump)
        watch.station.selector[pump] = Selector::off;
    EXPECT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0.01;
    watch.station.drive_fault.trips = true;
    EXPECT_TRUE(watch.run_until_state(0, PumpState::off, 1_min));
    watch.station.drive_fault.trips = false;
    watch.events.clear();
    return watch;
}

TEST(Refusal, of_a_start_that_is_wanted_is_an_event_with_the_time_left_and_an_alarm) {
    Watch watch = with_one_pump_that_rests();
    ASSERT_GT(watch.station.level_m, watch.settings().marks.start_m);
    const auto resting = static_cast<std::uint8_t>(Permissive::resting);
    ASSERT_TRUE(watch.run_until([&] { return watch.last(EventKind::refused, resting) != nullptr; }, 1_min));
    const Event* refused = watch.last(EventKind::refused, resting);
    EXPECT_EQ(refused->pump, 0);
    EXPECT_EQ(refused->why, Reason::refused);
    EXPECT_GT(refused->values[1], 8.0 * 60'000) << "most of the rest is left, ms";
    EXPECT_TRUE(watch.run_until([&] { return watch.alarm(StationAlarm::limit_refuses); }, 2_min));
    const std::size_t events = watch.events.size();
    watch.run_for(2_min);
    EXPECT_EQ(watch.events.size(), events) << "one refusal is one event";
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 15_min));
    EXPECT_TRUE(watch.run_until([&] { return !watch.alarm(StationAlarm::limit_refuses); }, 1_min));
}

TEST(Danger, lets_the_rest_give_way_with_an_event_and_an_alarm) {
    Watch watch = with_one_pump_that_rests();
    watch.run_for(1_min);
    ASSERT_EQ(watch.state(0), PumpState::off) << "the pump rests while the water is in no danger";
    watch.station.inflow_m3s = 2.0;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, 3_min));
    const Event* yielded =
        watch.last(EventKind::limit_yielded, static_cast<std::uint8_t>(Permissive::resting));
    ASSERT_NE(yielded, nullptr);
    EXPECT_EQ(yielded->pump, 0);
    EXPECT_EQ(yielded->why, Reason::limit_yields);
    EXPECT_TRUE(watch.alarm(StationAlarm::limit_yields));
}

TEST(Danger, does_not_let_the_residual_voltage_give_way) {
    Watch watch = with_one_pump_that_rests();
    const std::int64_t stopped_ms = watch.station.now_ms;
    watch.station.inflow_m3s = 3.0;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->drive_run; }, 3_min));
    EXPECT_GE(watch.station.now_ms - stopped_ms, watch.settings().permissives.residual_voltage_ms);
}

TEST(Danger, that_a_float_calls_lets_the_rest_give_way_while_no_value_is_known) {
    Watch watch = with_one_pump_that_rests();
    watch.station.level_quality = {Quality::bad, Quality::bad};
    watch.run_for(1_min);
    ASSERT_EQ(watch.advice->service, Service::floats);
    ASSERT_EQ(watch.state(0), PumpState::off);
    watch.station.level_m = 3.7;  // at the high float
    EXPECT_TRUE(watch.run_until_state(0, PumpState::on_drive, 1_min));
    EXPECT_TRUE(watch.alarm(StationAlarm::limit_yields));
}

TEST(Precedence, table_puts_wear_below_water_and_harm_above) {
    for (const PrecedenceRow& row : precedence) {
        if (row.ground == Permissive::none) continue;
        const bool wear = row.ground == Permissive::seal_leak || row.ground == Permissive::resting ||
                          row.ground == Permissive::starts_limit ||
                          row.ground == Permissive::transfers_limit || row.ground == Permissive::minimum_run;
        EXPECT_EQ(yields_to_water(row.ground), wear) << static_cast<int>(row.ground);
    }
}

}  // namespace
}  // namespace freshet::core
