// The delivery of the pumps: each witness alone, together and lying, one pump and several pumps.
// One reason to change: how the station's own signals show that a pump does not deliver.
#include "controller/core/delivery.hpp"

#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <initializer_list>

#include "controller/core/alarms.hpp"
#include "controller/core/attempts.hpp"
#include "controller/core/pump_current.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

/// Four pumps with currents from 60 A without flow to 96 A at the end of the curve, and 30 A without load.
Settings with_currents() {
    Settings s = doubles::four_pumps();
    s.curve_current_a = {60, 70, 82, 92, 96};
    s.no_load_current_a = 30;
    return s;
}

/// Steady pumps whose flow and currents a test sets. Pump 1 is the first on the line.
struct StationOnCurve {
    Settings settings = with_currents();
    FlowTable flows{settings};
    Inputs inputs;
    Sight sight;
    Balance balance;
    SequencerState sequencer;
    DeliveryWatch watch;
    PumpMask delivering = 0x0F;  ///< the others have a shut valve
    double flow_back_m3s = 0;    ///< through a pump at rest
    bool meter_read = true, currents_read = true;
    double meter_error_m3s = 0;
    bool frozen = false;  ///< the meter reads the same while its true flow stays the same

    explicit StationOnCurve(PumpMask on_line) {
        sight.picture.time_ms = doubles::odd_start_ms;
        sight.picture.line_hz = settings.drive.line_frequency_hz;
        sight.picture.contacts_known = true;
        sight.signals.measured.quality = Quality::good;
        sight.signals.measured.value_m = 2.0;
        run(on_line);
    }
    void run(PumpMask on_line) {
        sight.picture.line_side_closed = on_line;
        sight.picture.line_side_open = static_cast<PumpMask>(0x0F & ~on_line);
        sight.picture.drive_side_open = 0x0F;
        sight.picture.on_line = static_cast<std::uint8_t>(std::popcount(on_line));
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
            sequencer.pumps[pump].state = has(on_line, pump) ? PumpState::on_line : PumpState::off;
    }
    double flow_of_m3s(PumpMask pumps) const {
        return flows.total_m3s(static_cast<std::size_t>(std::popcount(pumps)), 0, 2.0);
    }
    void pass_second() {
        Picture& picture = sight.picture;
        picture.time_ms += 1000;
        const PumpMask running = picture.line_side_closed;
        const auto flowing = static_cast<PumpMask>(running & delivering);
        balance.pumped_m3s = flow_of_m3s(running);
        // A meter that lives never reads quite the same.
        const double wobble = frozen ? 1 : 1 + 1e-4 * static_cast<double>(picture.time_ms / 1000 % 3);
        sight.station_flow_m3s = wobble * (flow_of_m3s(flowing) - flow_back_m3s + meter_error_m3s);
        sight.station_flow_known = meter_read;
        const double each_m3s = flowing == 0 ? 0 : flow_of_m3s(flowing) / std::popcount(flowing);
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump) {
            const double flow_m3s = has(flowing, pump) ? each_m3s : 0;
            const double current_a = has(running, pump) ? motor_current_a(settings, flow_m3s, 1) : 0;
            inputs.pumps[pump].current_a = {current_a, 0, currents_read ? Quality::good : Quality::bad,
                                            Cause::none};
        }
        watch_delivery(watch, sequencer, {inputs, sight, balance, flows, settings});
    }
    void pass(int seconds) {
        for (int i = 0; i < seconds; ++i) pass_second();
    }
    bool alarm(std::size_t pump, PumpAlarm which) const {
        return (sequencer.latched_pump[pump] & alarm_bit(which)) != 0;
    }
    PumpMask failing() const { return without_delivery(sequencer); }
};

constexpr int settled_s = 30, held_s = 60, long_enough_s = settled_s + held_s + 5;

TEST(Delivery, of_pumps_that_follow_their_curves_is_not_doubted) {
    for (const PumpMask running : std::initializer_list<PumpMask>{0x1, 0x3, 0x7, 0xF}) {
        StationOnCurve station{running};
        station.pass(1800);
        EXPECT_EQ(doubtful_delivery(station.sequencer), 0) << int{running};
        EXPECT_EQ(station.watch.lost, 0) << int{running};
    }
}

TEST(Delivery, missing_by_flow_and_current_is_found_after_the_hold) {
    StationOnCurve station{0x1};
    station.pass(300);
    station.delivering = 0xE;
    station.pass(held_s - 5);
    EXPECT_EQ(station.failing(), 0);
    station.pass(10);
    EXPECT_EQ(station.failing(), 0x1);
    EXPECT_NEAR(station.watch.pumps[0].flow_m3s, 0, 1e-9);
    EXPECT_NEAR(station.watch.pumps[0].expected_m3s, station.flow_of_m3s(0x1), 1e-9);
    EXPECT_NEAR(station.watch.pumps[0].current_a, 60, 1e-9);
}

TEST(Delivery, is_judged_by_the_current_alone_where_no_flow_is_read) {
    StationOnCurve station{0x3};
    station.meter_read = false;
    station.delivering = 0xD;
    station.pass(long_enough_s);
    EXPECT_EQ(station.failing(), 0x2);
    EXPECT_TRUE(std::isnan(station.watch.pumps[1].flow_m3s));
}

TEST(Delivery, is_judged_by_the_flow_alone_where_no_current_is_read) {
    StationOnCurve station{0x1};
    station.currents_read = false;
    station.pass(300);
    station.delivering = 0xE;
    station.pass(held_s + 5);
    EXPECT_EQ(station.failing(), 0x1);
}

TEST(Delivery, without_flow_and_current_is_never_doubted) {
    StationOnCurve station{0x1};
    station.currents_read = station.meter_read = false;
    station.delivering = 0;
    station.pass(3600);
    EXPECT_EQ(doubtful_delivery(station.sequencer), 0);
}

TEST(Delivery, of_one_of_three_pumps_is_found_by_its_current) {
    StationOnCurve station{0x7};
    station.pass(300);
    station.delivering = 0xD;
    station.pass(held_s + 5);
    EXPECT_EQ(station.failing(), 0x2);
}

TEST(Delivery, of_the_pump_that_started_last_is_found_by_the_flow_that_did_not_come) {
    StationOnCurve station{0x1};
    station.currents_read = false;
    station.pass(300);
    station.delivering = 0x1;
    station.run(0x3);
    station.pass(long_enough_s);
    EXPECT_EQ(station.failing(), 0x2);
}

TEST(Delivery, is_not_judged_by_a_meter_that_stays_the_same_while_another_pump_starts) {
    StationOnCurve station{0x1};
    station.currents_read = false;
    station.frozen = true;
    station.pass(300);
    station.delivering = 0x1;
    station.run(0x3);
    station.pass(600);
    EXPECT_EQ(station.failing(), 0);
}

TEST(Delivery, of_a_pump_that_failed_before_the_next_started_is_found_by_the_flow_that_came) {
    StationOnCurve station{0x1};
    station.currents_read = false;
    station.pass(300);
    station.delivering = 0xE;
    station.pass(30);  // too short for a judgement
    station.run(0x3);
    station.pass(long_enough_s);
    EXPECT_EQ(station.failing(), 0x1);
}

TEST(Delivery, of_one_of_two_pumps_that_failed_while_both_ran_stays_unclaimed_without_currents) {
    StationOnCurve station{0x3};
    station.currents_read = false;
    station.pass(300);
    station.delivering = 0xD;
    station.pass(600);
    EXPECT_EQ(doubtful_delivery(station.sequencer), 0);
}

TEST(Delivery, of_a_pump_known_to_fail_is_not_blamed_on_the_next) {
    StationOnCurve station{0x1};
    station.currents_read = false;
    station.pass(300);
    station.delivering = 0xE;
    station.pass(held_s + 5);
    ASSERT_EQ(station.failing(), 0x1);
    station.run(0x3);
    station.pass(600);
    EXPECT_EQ(station.failing(), 0x1);
}

TEST(Delivery, seen_again_clears_the_alarm_and_the_count) {
    StationOnCurve station{0x1};
    station.delivering = 0;
    station.meter_read = false;
    station.pass(long_enough_s);
    ASSERT_EQ(station.failing(), 0x1);
    station.sequencer.pumps[0].attempts = 2;
    station.delivering = 0xF;
    station.pass(held_s + 5);
    EXPECT_EQ(station.failing(), 0);
    EXPECT_EQ(station.sequencer.pumps[0].attempts, 0);
}

TEST(Delivery, a_current_that_shows_flow_contradicts_a_meter_that_shows_none) {
    StationOnCurve station{0x1};
    station.pass(300);
    station.meter_error_m3s = -station.flow_of_m3s(0x1);
    station.pass(600);
    EXPECT_EQ(station.failing(), 0);
}

TEST(Delivery, a_meter_that_shows_the_flow_contradicts_a_current_that_shows_none) {
    StationOnCurve station{0x1};
    station.pass(300);
    station.delivering = 0;
    station.meter_error_m3s = station.flow_of_m3s(0x1);
    station.pass(600);
    EXPECT_EQ(station.failing(), 0);
}

TEST(Delivery, a_meter_that_never_showed_a_flow_is_not_believed) {
    StationOnCurve station{0x1};
    station.currents_read = false;
    station.delivering = 0;
    station.pass(600);
    EXPECT_EQ(station.failing(), 0);
}

TEST(Delivery, a_store_that_loses_water_contradicts_meter_and_current) {
    StationOnCurve station{0x1};
    station.pass(300);
    station.balance.estimate.start_at(100, 0);
    for (int i = 0; i < 60; ++i) station.balance.estimate.step({100.0 - 0.8 * i, 0.8, 0.001, 1}, 60);
    ASSERT_LT(station.balance.estimate.inflow_m3s(), 0.1);
    station.delivering = 0;
    station.pass(600);
    EXPECT_EQ(station.failing(), 0);
}

TEST(Delivery, of_a_pump_that_only_a_contact_shows_as_running_is_not_judged) {
    StationOnCurve station{0x3};
    station.sequencer.pumps[1].state = PumpState::unavailable;
    station.delivering = 0x1;
    station.pass(600);
    EXPECT_EQ(doubtful_delivery(station.sequencer), 0);
}

TEST(FlowBack, is_found_when_flow_is_missing_although_the_currents_show_that_the_pumps_deliver) {
    StationOnCurve station{0x1};
    station.flow_back_m3s = 0.6 * station.flow_of_m3s(0x1);
    station.pass(long_enough_s);
    EXPECT_EQ(station.failing(), 0);
    for (const std::size_t pump : {1U, 2U, 3U})
        EXPECT_TRUE(station.alarm(pump, PumpAlarm::flow_back)) << pump;
    EXPECT_FALSE(station.alarm(0, PumpAlarm::flow_back));
}

TEST(FlowBack, names_the_pump_that_stopped_when_the_flow_went) {
    StationOnCurve station{0x3};
    station.pass(300);
    station.run(0x1);
    station.flow_back_m3s = 0.6 * station.flow_of_m3s(0x1);
    station.pass(long_enough_s);
    EXPECT_TRUE(station.alarm(1, PumpAlarm::flow_back));
    EXPECT_FALSE(station.alarm(2, PumpAlarm::flow_back) || station.alarm(3, PumpAlarm::flow_back));
}

TEST(FlowBack, ends_when_no_flow_is_missing_with_the_pump_at_rest) {
    StationOnCurve station{0x1};
    station.flow_back_m3s = 0.6 * station.flow_of_m3s(0x1);
    station.pass(long_enough_s);
    ASSERT_TRUE(station.alarm(1, PumpAlarm::flow_back));
    station.flow_back_m3s = 0;
    station.pass(5);
    EXPECT_EQ(doubtful_delivery(station.sequencer), 0);
}

TEST(FlowLost, is_the_share_that_a_pump_alone_delivers_less_for_minutes) {
    StationOnCurve station{0x1};
    station.meter_error_m3s = -0.2 * station.flow_of_m3s(0x1);
    station.pass(600);
    EXPECT_EQ(station.watch.lost, 0);
    station.pass(60);
    EXPECT_EQ(station.watch.lost, 0x1);
    EXPECT_NEAR(station.watch.pumps[0].lost_ratio, 0.2, 1e-3);
    EXPECT_EQ(station.failing(), 0);
}

TEST(FlowLost, is_no_warning_below_its_limit) {
    StationOnCurve station{0x1};
    station.meter_error_m3s = -0.08 * station.flow_of_m3s(0x1);
    station.pass(1800);
    EXPECT_EQ(station.watch.lost, 0);
}

TEST(NoDelivery, locks_the_pump_out_after_repeated_failure_and_a_clean_start_does_not_end_the_count) {
    const Settings settings = doubles::four_pumps();
    SequencerState state;
    state.latched_pump[1] = alarm_bit(PumpAlarm::no_delivery);
    core::Run start;
    start.sequence = Sequence::start_on_drive;
    start.pump = 1;
    Judgement clean;
    clean.leave = clean.confirmed = true;
    clean.way = end(PumpState::on_drive);
    for (int i = 1; i < settings.step.attempts_max; ++i) {
        count_no_delivery(state, 1, settings, doubles::odd_start_ms);
        count_end(state, start, clean, settings, doubles::odd_start_ms);
        EXPECT_EQ(state.pumps[1].attempts, i);
    }
    EXPECT_EQ(state.latched_pump[1] & alarm_bit(PumpAlarm::locked_out), 0);
    count_no_delivery(state, 1, settings, doubles::odd_start_ms);
    EXPECT_NE(state.latched_pump[1] & alarm_bit(PumpAlarm::locked_out), 0);
}

// The torque of a pump goes with the square of its speed, and the current of an induction motor is the sum,
// at right angles, of a constant and of a part in proportion to the torque (common practice). At half speed
// the torque is a quarter.
TEST(MotorCurrent, at_half_speed_bears_a_quarter_of_the_load) {
    const Settings settings = with_currents();
    const double load_a = std::sqrt(82.0 * 82.0 - 30.0 * 30.0);
    EXPECT_NEAR(motor_current_a(settings, 0.6, 1), 82, 1e-9);
    EXPECT_NEAR(motor_current_a(settings, 0.3, 0.5), std::hypot(30.0, 0.25 * load_a), 1e-9);
}

TEST(MotorCurrent, is_straight_between_the_points_and_constant_beyond_them) {
    const Settings settings = with_currents();
    EXPECT_NEAR(motor_current_a(settings, 0.15, 1), 65, 1e-9);
    EXPECT_NEAR(motor_current_a(settings, 5, 1), 96, 1e-9);
    EXPECT_NEAR(motor_current_a(settings, -1, 1), 60, 1e-9);
}

}  // namespace
}  // namespace freshet::core
