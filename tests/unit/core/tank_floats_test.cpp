// A tank that is filled, on its floats alone: the low one starts pumps, the high one stops them. One reason
// to change: the floats of the filling duty.
#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Settling, the first minimum rest, and the start itself.
constexpr std::int64_t start_ms = 90_s;

Settings filling() {
    Settings settings = doubles::four_pumps();
    settings.action = Action::reverse;
    settings.discharge_level_m = settings.suction_level_m = -12;  // filled from below
    // The mirror image of the well's marks about the setpoint.
    settings.marks = {.setpoint_m = 2.0,
                      .deadband_m = 0.1,
                      .start_m = 1.8,
                      .stop_m = 3.0,
                      .stage_up_m = 1.4,
                      .stage_down_m = 2.6,
                      .low_cutoff_m = 3.4,
                      .high_alarm_m = 0.6};
    return settings;
}

/// The stand-in station with its transmitters gone and its floats set by hand.
struct Tank : Watch {
    bool low_float_wet = true, high_float_wet = false;
    Quality level_quality = Quality::bad;
    double level_m = 2.0;

    Tank() : Watch(filling()) {
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

TEST(TankFloats, start_no_pump_between_them) {
    Tank tank;
    tank.run_for(5_min);
    EXPECT_EQ(tank.advice->service, Service::floats);
    EXPECT_FALSE(tank.runs());
}

TEST(TankFloats, start_a_pump_by_the_low_one_and_stop_all_by_the_high_one) {
    Tank tank;
    tank.low_float_wet = false;
    tank.run_for(start_ms);
    ASSERT_TRUE(tank.runs());
    EXPECT_EQ(tank.last(EventKind::sequence_begun)->why, Reason::low_float);
    EXPECT_TRUE(tank.alarm(StationAlarm::low_float)) << "the tank is nearly empty";
    EXPECT_EQ(tank.last(EventKind::protective_stop), nullptr);

    tank.low_float_wet = true;
    tank.run_for(1_min);
    EXPECT_TRUE(tank.runs()) << "the high float ends it";
    tank.high_float_wet = true;
    tank.run_for(5_s);
    EXPECT_FALSE(tank.runs());
    ASSERT_NE(tank.last(EventKind::protective_stop), nullptr);
    EXPECT_EQ(tank.last(EventKind::protective_stop)->why, Reason::high_float);
    EXPECT_TRUE(tank.alarm(StationAlarm::high_float));
}

TEST(TankFloats, bring_on_one_more_pump_after_the_run_on_time) {
    Tank tank;
    tank.low_float_wet = false;
    tank.run_for(start_ms);
    ASSERT_EQ(tank.advice->pumps_on_line, 0);
    tank.run_for(tank.settings().floats.run_on_ms + 1_min);
    EXPECT_EQ(tank.advice->pumps_on_line, 1);
}

TEST(TankFloats, that_contradict_a_good_level_are_alarmed_and_stop_nothing) {
    Tank tank;
    tank.level_quality = Quality::good;
    tank.level_m = 1.7;
    tank.run_for(start_ms);
    ASSERT_TRUE(tank.runs());
    tank.high_float_wet = true;
    tank.run_for(30_s);
    EXPECT_TRUE(tank.runs());
    EXPECT_TRUE(tank.alarm(StationAlarm::low_float_contradicts));
    EXPECT_FALSE(tank.alarm(StationAlarm::high_float));
}

TEST(TankFloats, both_wrong_are_told_apart) {
    Tank tank;
    tank.level_quality = Quality::good;
    tank.level_m = 1.7;
    tank.run_for(start_ms);
    tank.high_float_wet = true;
    tank.low_float_wet = false;
    tank.run_for(30_s);
    EXPECT_TRUE(tank.alarm(StationAlarm::low_float_contradicts)) << "full, says the float that stops pumps";
    EXPECT_TRUE(tank.alarm(StationAlarm::low_float)) << "empty, says the other";
}

TEST(TankFloats, that_agree_with_a_full_tank_are_alarmed_as_what_they_say) {
    Tank tank;
    tank.level_quality = Quality::good;
    tank.level_m = 3.1;
    tank.high_float_wet = true;
    tank.run_for(30_s);
    EXPECT_TRUE(tank.alarm(StationAlarm::high_float));
    EXPECT_FALSE(tank.alarm(StationAlarm::low_float_contradicts));
}

TEST(TankFloats, give_way_without_a_bump_when_the_level_is_back) {
    Tank tank;
    tank.low_float_wet = false;
    tank.run_for(start_ms);
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
