// Sequences whose confirmation is not read: a lost link, or a contact that fell silent. What is not known is
// neither a fault of the contactor nor a ground to start on. One reason to change: what a step does whose
// time is over while it sees nothing.
#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Alarms that stand, of the station and of every pump.
int alarms_standing(const Watch& watch) {
    int standing = __builtin_popcount(watch.advice->station_alarms);
    for (const std::uint16_t word : watch.advice->pump_alarms) standing += __builtin_popcount(word);
    return standing;
}

TEST(LostLink, in_a_stop_of_everything_locks_no_pump_out_whose_contactors_opened) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.run_for(3_min);
    watch.station.emergency_stop = true;
    watch.scan_once();
    watch.scan_once();
    watch.station.link_lost = true;
    watch.run_for(10_s);
    EXPECT_EQ(watch.advice->station_alarms, alarm_bit(StationAlarm::link_lost));
    EXPECT_EQ(alarms_standing(watch), 1);
    watch.station.link_lost = false;
    watch.station.emergency_stop = false;
    watch.run_for(10_s);
    for (const std::size_t pump : {0U, 1U}) {
        EXPECT_EQ(watch.state(pump), PumpState::off) << pump;
        EXPECT_FALSE(watch.alarm(pump, PumpAlarm::locked_out)) << pump;
    }
    EXPECT_EQ(watch.advice->station_alarms, 0U);
    EXPECT_EQ(alarms_standing(watch), 0);
}

TEST(LostLink, in_a_stop_on_the_drive_leaves_the_pump_unavailable_until_it_is_seen_again) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until_step(Step::stop_open_output, 60_min));
    watch.station.link_lost = true;
    watch.run_for(40_s);
    EXPECT_EQ(watch.state(0), PumpState::unavailable);
    EXPECT_FALSE(watch.advice->output_close || watch.advice->pumps[0].drive_side_close);
    EXPECT_EQ(alarms_standing(watch), 1) << "the link";
    watch.station.link_lost = false;
    watch.run_for(2_s);
    EXPECT_EQ(watch.state(0), PumpState::off);
}

TEST(LostLink, in_a_start_is_one_alarm_and_withdraws_it) {
    Watch watch;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    ASSERT_TRUE(watch.run_until_step(Step::start_run, 2_min));
    watch.station.link_lost = true;
    watch.run_for(3_min);
    EXPECT_TRUE(watch.alarm(StationAlarm::link_lost));
    EXPECT_EQ(alarms_standing(watch), 1);
    EXPECT_FALSE(watch.advice->drive_run || watch.advice->output_close);
    watch.station.link_lost = false;
    watch.run_for(2_s);
    EXPECT_EQ(watch.state(0), PumpState::off);
    EXPECT_TRUE(watch.run_until([&] { return watch.advice->drive_pump != no_pump; }, 2_min))
        << "the start is made anew";
}

TEST(LostLink, over_which_a_contactor_did_not_open_leaves_its_pump_unavailable_when_it_is_read_again) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.line_side[0].fault.does_not_open = true;
    watch.station.emergency_stop = true;
    watch.scan_once();
    watch.station.link_lost = true;
    watch.run_for(10_s);
    watch.station.link_lost = watch.station.emergency_stop = false;
    watch.run_for(10_s);
    EXPECT_EQ(watch.state(0), PumpState::unavailable);
    EXPECT_TRUE(watch.alarm(0, PumpAlarm::runs_unadvised));
}

TEST(SilentContact, beside_one_that_is_seen_closed_leaves_the_lock_out_as_it_is) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    watch.station.inflow_m3s = 0;
    ASSERT_TRUE(watch.run_until_step(Step::stop_open_output, 60_min));
    const std::uint8_t pump = watch.advice->sequence_pump;
    watch.station.drive_side[pump].fault.silent = true;
    watch.station.line_side[pump].closed = watch.station.line_side[pump].ordered = true;
    watch.station.line_side[pump].fault.does_not_open = true;
    ASSERT_TRUE(watch.run_until_state(pump, PumpState::locked_out, 1_min));
    EXPECT_TRUE(watch.alarm(pump, PumpAlarm::line_side_does_not_open)) << "that one is seen closed";
    EXPECT_FALSE(watch.alarm(pump, PumpAlarm::drive_side_does_not_open));
}

TEST(SilentContact, of_a_pump_whose_stop_has_ended_lets_no_start_begin_in_any_scan) {
    Settings settings = doubles::four_pumps();
    settings.line_start = {.allowed = true,
                           .spacing_ms = 0,
                           .supply_dip_max_ratio = 0.15,
                           .short_circuit_va = 100e6,
                           .locked_rotor_current_ratio = 6};
    settings.permissives.rest_min_ms = settings.permissives.residual_voltage_ms = 0;
    settings.restart.spacing_ms = 0;
    for (int later = 0; later < 10; ++later) {
        Watch watch(settings);
        watch.station.drive_fault.not_ready = true;
        watch.station.level_m = 2.5;
        watch.station.inflow_m3s = 0.6;
        for (std::size_t pump = 1; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;
        ASSERT_TRUE(watch.run_until_state(0, PumpState::on_line, 3_min));
        watch.run_for(10_s);
        for (int scan = 0; scan < later; ++scan) watch.scan_once();
        watch.station.line_side[0].fault.silent = true;
        watch.station.pump_tripped[0] = true;
        watch.scan_once();
        watch.station.pump_tripped[0] = false;
        for (const std::int64_t end = watch.station.now_ms + 10_s; watch.station.now_ms < end;) {
            watch.scan_once();
            ASSERT_FALSE(watch.advice->pumps[0].line_side_close) << later;
            ASSERT_NE(watch.state(0), PumpState::off) << "in no scan is it one that may be started";
        }
        EXPECT_EQ(watch.state(0), PumpState::unavailable);
        EXPECT_FALSE(watch.alarm(0, PumpAlarm::locked_out));
        watch.station.line_side[0].fault.silent = false;
        EXPECT_TRUE(watch.run_until_state(0, PumpState::on_line, 2_min)) << "it may start when it is read";
    }
}

}  // namespace
}  // namespace freshet::core
