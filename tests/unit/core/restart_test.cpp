// A controller that starts at a running station. The controller advises nothing new before the picture is
// consistent, and then finishes or withdraws a transfer. One reason to change: how a found state is adopted.
#include <gtest/gtest.h>

#include <string>
#include <utility>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

constexpr std::int64_t settled_ms = 6'000;

void put_on_line(doubles::StationDouble& station, std::size_t pump) {
    station.line_side[pump].closed = station.line_side[pump].ordered = true;
}

TEST(Restart, with_a_contact_that_is_not_read_never_advises_a_running_pump_off) {
    Watch watch;
    watch.station.level_m = 2.0;
    watch.station.inflow_m3s = 0.85;
    put_on_line(watch.station, 2);
    watch.station.line_side[2].fault.silent = true;
    for (const std::int64_t end = watch.station.now_ms + 2_min; watch.station.now_ms < end;) {
        watch.scan_once();
        ASSERT_EQ(watch.advice->service, Service::waiting);
        ASSERT_TRUE(watch.advice->pumps[2].line_side_close) << "its current shows that the pump runs";
        ASSERT_TRUE(watch.station.line_side[2].closed);
    }
    EXPECT_TRUE(watch.alarm(StationAlarm::picture_inconsistent));

    watch.station.line_side[2].fault.silent = false;
    ASSERT_TRUE(watch.run_until_state(2, PumpState::on_line, settled_ms));
    watch.run_for(10_s);
    EXPECT_FALSE(watch.alarm(StationAlarm::picture_inconsistent));
}

TEST(Restart, with_neither_contact_nor_current_read_leaves_the_station_as_it_is) {
    Watch watch;
    put_on_line(watch.station, 1);
    watch.station.line_side[1].fault.silent = watch.station.drive_side[1].fault.silent = true;
    watch.station.current_missing[1] = true;
    watch.run_for(2_min);
    EXPECT_EQ(watch.advice->service, Service::waiting);
    EXPECT_TRUE(watch.station.line_side[1].closed);
}

TEST(Restart, shows_the_last_reading_of_a_contact_that_is_no_longer_read) {
    Watch watch;
    put_on_line(watch.station, 0);
    watch.run_for(2_s);
    watch.station.line_side[0].fault.silent = true;
    watch.station.current_missing[0] = true;
    watch.run_for(1_min);
    EXPECT_TRUE(watch.advice->pumps[0].line_side_close);
    EXPECT_TRUE(watch.station.line_side[0].closed);
}

TEST(Restart, waits_for_the_signals_of_the_drive_too) {
    Watch watch;
    watch.station.level_m = 2.5;
    watch.station.drive_fault.silent = true;
    watch.run_for(1_min);
    EXPECT_EQ(watch.advice->service, Service::waiting);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 0U);
    watch.station.drive_fault.silent = false;
    EXPECT_TRUE(watch.run_until_state(0, PumpState::on_drive, 2_min));
}

TEST(Restart, takes_two_pumps_off_the_drive_one_after_the_other) {
    Watch watch;
    watch.station.level_m = 1.8;
    for (const std::size_t pump : {1U, 3U})
        watch.station.drive_side[pump].closed = watch.station.drive_side[pump].ordered = true;
    ASSERT_TRUE(watch.run_until_state(3, PumpState::unavailable, settled_ms));
    const Event* found = watch.last(EventKind::pump_state, static_cast<std::uint8_t>(PumpState::unavailable));
    EXPECT_EQ(found->pump, 3);
    EXPECT_EQ(found->why, Reason::contact_contradicts) << "the pump was not found off";
    EXPECT_EQ(found->values[1], 1) << "closed";
    watch.run_for(1_min);
    EXPECT_FALSE(watch.station.drive_side[1].closed || watch.station.drive_side[3].closed);
    EXPECT_EQ(watch.state(1), PumpState::off);
    EXPECT_EQ(watch.state(3), PumpState::off);
}

TEST(Restart, ends_the_first_of_two_transfers_on_the_line_and_stops_the_other_pump) {
    Watch watch;
    watch.station.level_m = 1.8;
    watch.station.inflow_m3s = 0.85;
    for (const std::size_t pump : {1U, 3U}) {
        put_on_line(watch.station, pump);
        watch.station.drive_side[pump].closed = watch.station.drive_side[pump].ordered = true;
    }
    watch.station.output.closed = watch.station.output.ordered = true;
    watch.run_for(1_min);
    EXPECT_FALSE(watch.station.drive_side[1].closed || watch.station.drive_side[3].closed);
    EXPECT_FALSE(watch.station.line_side[3].closed);
    EXPECT_EQ(watch.state(3), PumpState::off);
}

TEST(Restart, gives_the_selector_as_the_reason_for_an_unavailable_pump_on_the_line) {
    for (const auto& [selector, reason] :
         {std::pair{Selector::off, Reason::selector_off}, std::pair{Selector::hand, Reason::selector_hand}}) {
        Watch watch;
        watch.station.level_m = 1.8;
        watch.station.selector[0] = selector;
        put_on_line(watch.station, 0);
        watch.run_for(settled_ms);
        const Event* found =
            watch.last(EventKind::pump_state, static_cast<std::uint8_t>(PumpState::unavailable));
        ASSERT_NE(found, nullptr);
        EXPECT_EQ(found->why, reason);
    }
}

TEST(Restart, continues_at_minimum_flow_speed_when_the_speed_of_the_drive_is_not_read) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(2_min);
    watch.restart();
    watch.on_the_way = [](Inputs& inputs) { inputs.drive.frequency_hz.quality = Quality::bad; };
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, settled_ms));
    EXPECT_NEAR(watch.advice->speed_hz, watch.advice->minimum_flow_hz, 0.01);
}

TEST(Restart, continues_at_the_highest_speed_when_the_drive_is_found_faster) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.restart();
    watch.on_the_way = [](Inputs& inputs) { inputs.drive.frequency_hz.value = 66; };
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, settled_ms));
    EXPECT_EQ(watch.advice->speed_hz, watch.settings().drive.speed_max_hz);
}

TEST(Restart, adopts_a_pump_on_the_line_whose_selector_is_not_read) {
    Watch watch;
    watch.station.level_m = 1.8;
    watch.station.inflow_m3s = 0.85;
    watch.station.selector_silent[2] = true;
    put_on_line(watch.station, 2);
    watch.run_for(1_min);
    EXPECT_EQ(watch.state(2), PumpState::on_line);
    EXPECT_TRUE(watch.station.line_side[2].closed) << "no selector says that people run this pump";
}

TEST(Restart, adopts_a_pump_on_the_drive_whose_selector_is_not_read) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(2_min);
    watch.station.selector_silent[0] = true;
    watch.restart();
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, settled_ms));
    watch.run_for(1_min);
    EXPECT_EQ(watch.state(0), PumpState::on_drive);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::stop_on_drive), 0U);
}

TEST(Restart, takes_a_pump_off_the_drive_whose_selector_is_at_off) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.restart();
    watch.station.selector[0] = Selector::off;
    ASSERT_TRUE(watch.run_until_state(0, PumpState::unavailable, 1_min));
    EXPECT_FALSE(watch.station.drive_side[0].closed);
}

TEST(Restart, keeps_a_pump_on_the_drive_at_its_speed) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(2_min);
    const double speed_hz = watch.station.drive_hz;
    watch.restart();
    ASSERT_TRUE(watch.run_until_state(0, PumpState::on_drive, settled_ms));
    EXPECT_NEAR(watch.advice->speed_hz, speed_hz, 1.0);
    EXPECT_EQ(watch.count(EventKind::sequence_begun, Sequence::start_on_drive), 1U);
}

/// A step of a transfer, the fault that leads to the step, and the state of the pump in the end.
struct InTransfer {
    Step step;
    PumpState end;
    bool back;  ///< take-back
    void (*cause)(doubles::StationDouble&);
};

void nothing(doubles::StationDouble&) {}

class RestartInTransfer : public testing::TestWithParam<InTransfer> {};

TEST_P(RestartInTransfer, is_finished_or_withdrawn) {
    const InTransfer& at = GetParam();
    Watch watch;
    std::size_t pump = 0;
    if (at.back) {
        ASSERT_TRUE(watch.one_on_line_one_on_drive());
        at.cause(watch.station);
        watch.station.inflow_m3s = 0.3;
    } else {
        ASSERT_TRUE(watch.one_on_drive());
        at.cause(watch.station);
        watch.station.inflow_m3s = 1.4;
    }
    ASSERT_TRUE(watch.run_until_step(at.step, 60_min));
    pump = watch.advice->sequence_pump;

    watch.restart();
    // Staging changes nothing at this level and inflow.
    watch.station.level_m = 2.0;
    watch.station.inflow_m3s = 1.0;
    watch.station.output.fault = {};
    watch.station.drive_fault = {};
    for (std::size_t p = 0; p < 4; ++p)
        watch.station.drive_side[p].fault = watch.station.line_side[p].fault = {};
    const bool drive_may_feed = at.end == PumpState::on_drive;
    bool reached = false;
    for (const std::int64_t until = watch.station.now_ms + 40_s; watch.station.now_ms < until && !reached;) {
        watch.scan_once();
        ASSERT_FALSE(watch.station.line_side[pump].closed && watch.advice->service != Service::waiting &&
                     watch.advice->pumps[pump].drive_side_close && !watch.advice->synchronise)
            << "the pump is joined to a drive that is not in sync";
        reached = watch.state(pump) == at.end && watch.advice->step == Step::idle;
    }
    ASSERT_TRUE(reached) << "ended as " << static_cast<int>(watch.state(pump));
    const auto& station = watch.station;
    watch.scan_once();
    EXPECT_EQ(station.line_side[pump].closed, at.end == PumpState::on_line);
    EXPECT_EQ(station.drive_side[pump].closed, drive_may_feed);
    if (at.end == PumpState::on_line) {
        EXPECT_TRUE(watch.run_until(
            [&] { return !station.output.closed || station.drive_side[1 - pump].closed; }, 30_s))
            << "the drive is free again";
    }
    // The next transfer is possible.
    watch.station.inflow_m3s = 1.4;
    EXPECT_TRUE(watch.run_until(
        [&] {
            return watch.advice->pumps_on_line == 1 && watch.advice->drive_pump != no_pump &&
                   watch.advice->step == Step::idle;
        },
        60_min));
}

INSTANTIATE_TEST_SUITE_P(
    Steps, RestartInTransfer,
    testing::Values(
        InTransfer{Step::over_line_frequency, PumpState::on_drive, false, nothing},
        InTransfer{Step::over_synchronise, PumpState::on_drive, false, nothing},
        InTransfer{Step::over_close_line_side, PumpState::on_line, false, nothing},
        InTransfer{Step::over_open_output, PumpState::on_line, false, nothing},
        InTransfer{Step::over_open_drive_side, PumpState::on_line, false, nothing},
        InTransfer{Step::over_withdraw_line_side, PumpState::on_drive, false,
                   [](doubles::StationDouble& s) { s.line_side[0].fault.does_not_close = true; }},
        InTransfer{Step::over_fallback_drive_side, PumpState::on_line, false,
                   [](doubles::StationDouble& s) { s.output.fault.does_not_open = true; }},
        InTransfer{Step::back_close_output, PumpState::on_line, true, nothing},
        InTransfer{Step::back_line_frequency, PumpState::on_line, true, nothing},
        InTransfer{Step::back_synchronise, PumpState::on_line, true, nothing},
        InTransfer{Step::back_close_drive_side, PumpState::on_line, true, nothing},
        InTransfer{Step::back_open_line_side, PumpState::on_drive, true, nothing},
        InTransfer{Step::back_withdraw_drive_side, PumpState::on_line, true,
                   [](doubles::StationDouble& s) { s.drive_side[0].fault.does_not_close = true; }},
        InTransfer{Step::back_withdraw_stop, PumpState::on_line, true,
                   [](doubles::StationDouble& s) { s.drive_side[0].fault.does_not_close = true; }},
        InTransfer{Step::back_withdraw_output, PumpState::on_line, true,
                   [](doubles::StationDouble& s) { s.drive_side[0].fault.does_not_close = true; }}),
    [](const testing::TestParamInfo<InTransfer>& place) {
        return "step_" + std::to_string(static_cast<int>(place.param.step));
    });

}  // namespace
}  // namespace freshet::core
