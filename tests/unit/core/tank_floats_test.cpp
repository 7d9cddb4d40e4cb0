// The filling of a tank by its floats alone: the low float starts pumps, the high float stops them.
// One reason to change: the floats of the filling duty.
#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Time for settling and the start. A controller that begins charges no rest.
constexpr std::int64_t until_running_ms = 30_s;

/// The stand-in station with lost transmitters and floats that the test sets.
struct Tank : Watch {
    bool low_float_wet = true, high_float_wet = false;
    Quality level_quality = Quality::bad;
    double level_m = 2.0;

    Tank() : Watch(doubles::four_pumps_filling_a_tank()) {
        on_the_way = [this](Inputs& inputs) {
            for (Transmitter& level : inputs.level) {
                level.loop_ma = 4.0 + 16.0 * level_m / 5.0;
                level.reading.quality = level_quality;
                level.reading.cause = level_quality == Quality::bad ? Cause::device_exception : Cause::none;
            }
            inputs.low_float.on = low_float_wet;
            inputs.high_float.on = high_float_wet;
        };
    }
    bool runs() const { return advice->drive_run || advice->pumps_on_line > 0; }
};

TEST(TankFloats, start_no_pump_between_the_floats) {
    Tank tank;
    tank.run_for(5_min);
    EXPECT_EQ(tank.advice->service, Service::floats);
    EXPECT_FALSE(tank.runs());
}

TEST(TankFloats, start_a_pump_by_the_low_float_and_stop_all_by_the_high_float) {
    Tank tank;
    tank.low_float_wet = false;
    tank.run_for(until_running_ms);
    ASSERT_TRUE(tank.runs());
    EXPECT_EQ(tank.last(EventKind::sequence_begun)->why, Reason::low_float);
    EXPECT_TRUE(tank.alarm(StationAlarm::low_float)) << "the tank is nearly empty";
    EXPECT_EQ(tank.last(EventKind::protective_stop), nullptr);

    tank.low_float_wet = true;
    tank.run_for(1_min);
    EXPECT_TRUE(tank.runs()) << "only the high float stops the pump";
    tank.high_float_wet = true;
    tank.run_for(5_s);
    EXPECT_FALSE(tank.runs());
    ASSERT_NE(tank.last(EventKind::protective_stop), nullptr);
    EXPECT_EQ(tank.last(EventKind::protective_stop)->why, Reason::high_float);
    EXPECT_TRUE(tank.alarm(StationAlarm::high_float));
}

TEST(TankFloats, start_one_more_pump_after_the_run_on_time_and_the_next_at_once) {
    Tank tank;
    tank.low_float_wet = false;
    tank.run_for(until_running_ms);
    ASSERT_EQ(tank.advice->pumps_on_line, 0);
    tank.run_for(tank.settings().floats.run_on_ms - until_running_ms - 1_s);
    ASSERT_EQ(tank.advice->pumps_on_line, 0);
    ASSERT_TRUE(tank.run_until([&] { return tank.advice->pumps_on_line == 1; }, 1_min));
    EXPECT_TRUE(tank.run_until([&] { return tank.advice->pumps_on_line == 2; }, 1_min)) << "the call lasts";
}

TEST(TankFloats, that_contradict_a_good_level_are_alarmed_and_stop_nothing) {
    Tank tank;
    tank.level_quality = Quality::good;
    tank.level_m = 1.7;
    tank.run_for(until_running_ms);
    ASSERT_TRUE(tank.runs());
    tank.high_float_wet = true;
    tank.run_for(30_s);
    EXPECT_TRUE(tank.runs());
    EXPECT_TRUE(tank.alarm(StationAlarm::witnesses_contradict));
    EXPECT_FALSE(tank.alarm(StationAlarm::high_float));
}

TEST(TankFloats, that_are_both_wrong_have_an_alarm_each) {
    Tank tank;
    tank.level_quality = Quality::good;
    tank.level_m = 1.7;
    tank.run_for(until_running_ms);
    tank.high_float_wet = true;
    tank.low_float_wet = false;
    tank.run_for(30_s);
    EXPECT_TRUE(tank.alarm(StationAlarm::witnesses_contradict)) << "the high float shows a full tank";
    EXPECT_TRUE(tank.alarm(StationAlarm::low_float)) << "the low float shows an empty tank";
}

TEST(TankFloats, that_agree_with_a_full_tank_raise_the_high_float_alarm) {
    Tank tank;
    tank.level_quality = Quality::good;
    tank.level_m = 3.1;
    tank.high_float_wet = true;
    tank.run_for(30_s);
    EXPECT_TRUE(tank.alarm(StationAlarm::high_float));
    EXPECT_FALSE(tank.alarm(StationAlarm::witnesses_contradict));
}

TEST(TankFloats, change_to_level_control_without_a_bump_when_the_level_returns) {
    Tank tank;
    tank.low_float_wet = false;
    tank.run_for(until_running_ms);
    ASSERT_TRUE(tank.runs());
    tank.low_float_wet = true;
    tank.level_quality = Quality::good;
    tank.level_m = 1.9;
    double before_hz = tank.advice->speed_hz;
    for (const std::int64_t end = tank.station.now_ms + 1_min; tank.station.now_ms < end;) {
        tank.scan_once();
        const double rate_hz = tank.settings().demand.rate_max_hz_s * 0.1;
        ASSERT_LE(tank.advice->speed_hz, before_hz + rate_hz + 0.011);
        ASSERT_GE(tank.advice->speed_hz, before_hz - rate_hz - 0.011);
        before_hz = tank.advice->speed_hz;
    }
    EXPECT_EQ(tank.advice->service, Service::normal);
}

}  // namespace
}  // namespace freshet::core
