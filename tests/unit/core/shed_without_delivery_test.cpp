// What the staging does with a pump that runs and delivers nothing.
// One reason to change: when such a pump stops.
#include <gtest/gtest.h>

#include "controller/core/alarms.hpp"
#include "tests/unit/core/staging_given.hpp"

namespace freshet::core {
namespace {

/// One pump on the line that delivers nothing, and one pump on the drive, in an inflow that rises.
struct LinePumpDeliversNothing : Given {
    LinePumpDeliversNothing() : Given(1) {
        state.latched_pump[0] = alarm_bit(PumpAlarm::no_delivery);
        in.water.pumped_m3s = 0.5;
        set_inflow(0.6);
    }
    void leave_no_other_pump() {
        for (std::size_t pump = 2; pump < settings.pump_count; ++pump)
            state.pumps[pump].state = PumpState::locked_out;
    }
};

TEST(PumpWithoutDelivery, stops_when_another_pump_may_start) {
    LinePumpDeliversNothing station;
    const Decision stop = station.decide_now();
    EXPECT_EQ(stop.intention, Intention::stop_from_line);
    EXPECT_EQ(stop.pump, 0);
    EXPECT_EQ(stop.why, Reason::no_delivery);
    EXPECT_TRUE(stop.now);
}

TEST(PumpWithoutDelivery, keeps_running_while_the_water_is_in_danger_and_no_other_pump_may_start) {
    LinePumpDeliversNothing station;
    station.leave_no_other_pump();
    station.in.permit.water_in_danger = true;
    EXPECT_NE(station.decide_now().why, Reason::no_delivery);
}

TEST(PumpWithoutDelivery, stops_without_another_pump_when_the_others_carry_the_inflow) {
    LinePumpDeliversNothing station;
    station.leave_no_other_pump();
    station.set_inflow(0.4);
    EXPECT_EQ(station.decide_now().why, Reason::no_delivery);
}

TEST(PumpWithoutDelivery, keeps_running_for_its_minimum_run) {
    LinePumpDeliversNothing station;
    station.state.pumps[0].started_ms = station.picture.time_ms - 1;
    EXPECT_NE(station.decide_now().why, Reason::no_delivery);
}

TEST(PumpWithoutDelivery, on_the_drive_stops_and_another_pump_is_wanted) {
    LinePumpDeliversNothing station;
    station.state.latched_pump = {};
    station.state.latched_pump[1] = alarm_bit(PumpAlarm::no_delivery);
    const Decision stop = station.decide_now();
    EXPECT_EQ(stop.intention, Intention::stop_on_drive);
    EXPECT_EQ(stop.why, Reason::no_delivery);
    EXPECT_TRUE(station.staging.start_wanted);
}

}  // namespace
}  // namespace freshet::core
