// Starts in succession: some from cold, fewer from warm, and then the motor rests.
// One reason to change: how starts in succession are counted.
#include "controller/core/succession.hpp"

#include <gtest/gtest.h>

#include "controller/core/permissives.hpp"
#include "tests/unit/core/instants.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Two starts from cold and one from warm: NEMA MG 1-2016, 12.54.1. Invented: the motor is cold after an hour
/// at rest, evenly warm after a run of half an hour, and rests a quarter of an hour when the starts are used
/// up.
Settings two_cold_one_warm() {
    Settings settings = doubles::four_pumps();
    settings.succession = {.cold_starts_max = 2,
                           .warm_starts_max = 1,
                           .cool_ms = 60_min,
                           .rest_ms = 15_min,
                           .even_run_ms = 30_min,
                           .drive_starts_count = true};
    return settings;
}

/// A motor with its starts, runs and rests one after another.
struct Motor {
    Settings settings = two_cold_one_warm();
    PumpRecord record;
    std::int64_t at_ms = now_ms;

    void rests(std::int64_t duration_ms) { at_ms += duration_ms; }
    void starts_and_runs(std::int64_t duration_ms) {
        record.succession = succession_with_start(settings, record, at_ms);
        record.started_ms = at_ms;
        at_ms += duration_ms;
        record.released_ms = record.fed_ms = at_ms;
    }
    std::int64_t waits_ms() const { return succession_wait_ms(settings, record, at_ms); }
};

TEST(Succession, admits_two_starts_from_cold_and_then_requires_the_rest) {
    Motor motor;
    motor.record.released_ms = motor.at_ms - 61_min;
    EXPECT_EQ(motor.waits_ms(), 0);
    motor.starts_and_runs(1_min);
    motor.rests(2_min);
    EXPECT_EQ(motor.waits_ms(), 0) << "the second from cold";
    motor.starts_and_runs(1_min);
    motor.rests(2_min);
    EXPECT_EQ(motor.waits_ms(), 13_min) << "a quarter of an hour from the stop";
    motor.rests(13_min);
    EXPECT_EQ(motor.waits_ms(), 0);
}

TEST(Succession, admits_one_start_from_warm) {
    Motor motor;
    motor.record.released_ms = motor.at_ms - 61_min;
    motor.starts_and_runs(45_min);
    motor.rests(5_min);
    EXPECT_EQ(motor.waits_ms(), 0) << "one from rated temperature";
    motor.starts_and_runs(1_min);
    motor.rests(5_min);
    EXPECT_EQ(motor.waits_ms(), 10_min);
}

TEST(Succession, counts_from_cold_again_after_a_long_rest) {
    Motor motor;
    motor.record.released_ms = motor.at_ms - 61_min;
    motor.starts_and_runs(45_min);
    motor.rests(60_min);
    motor.starts_and_runs(1_min);
    motor.rests(2_min);
    EXPECT_EQ(motor.waits_ms(), 0) << "the second from cold";
}

TEST(Succession, of_an_unknown_motor_admits_one_start_as_from_warm) {
    Motor motor;
    motor.record.released_ms = motor.at_ms;
    motor.rests(1_min);
    EXPECT_EQ(motor.waits_ms(), 0);
    motor.starts_and_runs(1_min);
    motor.rests(1_min);
    EXPECT_EQ(motor.waits_ms(), 14_min);
}

TEST(Succession, does_not_count_the_time_with_an_unread_contact_as_a_run) {
    Motor motor;
    motor.record.released_ms = motor.at_ms - 16_min;
    motor.starts_and_runs(10_min);
    motor.rests(25_min);
    motor.record.released_ms = motor.at_ms;  // its contacts were not read until now
    motor.rests(5_min);
    EXPECT_EQ(motor.waits_ms(), 10_min) << "the run was too short";
}

TEST(Succession, counts_a_motor_as_fed_only_by_contacts_that_are_seen_closed) {
    const Settings settings = two_cold_one_warm();
    SequencerState state;
    Picture picture;
    picture.line_side_open = picture.drive_side_open = static_cast<PumpMask>(0x0F & ~bit_of(1));
    picture.line_side_closed = bit_of(1);
    picture.drive_side_open |= bit_of(1);
    Advice advice;
    std::uint32_t number = 0;
    const auto scan_at = [&](std::int64_t at_ms) {
        picture.time_ms = at_ms;
        Journal journal(advice, number);
        carry_on(state, {picture, {}, 0}, settings, journal);
    };
    scan_at(now_ms);
    EXPECT_EQ(state.pumps[1].fed_ms, now_ms);
    EXPECT_EQ(state.pumps[0].fed_ms, never_ms);
    picture.line_side_closed = 0;  // and not open either
    scan_at(now_ms + 20_min);
    EXPECT_EQ(state.pumps[1].fed_ms, now_ms);
    EXPECT_EQ(state.pumps[1].released_ms, now_ms + 20_min) << "the rest begins when the contacts are read";
}

TEST(Succession, is_not_limited_where_the_station_sets_no_limit) {
    Motor motor;
    motor.settings.succession.cold_starts_max = 0;
    for (int start = 0; start < 5; ++start) {
        EXPECT_EQ(motor.waits_ms(), 0);
        motor.starts_and_runs(1000);
    }
}

TEST(Succession, refuses_a_start_and_gives_the_time_left) {
    SequencerState state;
    Picture picture;
    picture.time_ms = now_ms;
    picture.automatic = picture.drive_side_open = picture.line_side_open = 0x0F;
    const StationPermit permit{.settled = true, .data_starts = true};
    Settings settings = two_cold_one_warm();
    PumpRecord& record = state.pumps[0];
    record.started_ms = now_ms - 5_min;
    record.released_ms = now_ms - 4_min;
    record.succession = {2, false};
    std::int64_t wait_ms = 0;
    EXPECT_EQ(why_not_start(state, picture, permit, settings, 0, false, wait_ms), Permissive::succession);
    EXPECT_EQ(wait_ms, 11_min);
    settings.succession.drive_starts_count = false;
    EXPECT_EQ(why_not_start(state, picture, permit, settings, 0, false, wait_ms), Permissive::none)
        << "the drive starts softly";
}

/// Pump 1 of a station runs evenly warm on the drive, without an event. The other pumps are out of service
/// then.
struct LongQuietRun : Watch {
    LongQuietRun() : Watch(with_short_rests()) {
        one_on_drive();
        run_for(2_h);
        for (std::size_t pump = 1; pump < 4; ++pump) station.selector[pump] = Selector::off;
    }
    static Settings with_short_rests() {
        Settings settings = two_cold_one_warm();
        settings.succession.cool_ms = 4_h;
        settings.succession.rest_ms = 1_h;
        settings.permissives.rest_min_ms = 0;
        return settings;
    }
    void expect_one_start_from_warm() {
        station.level_m = 2.5;
        EXPECT_TRUE(run_until_state(0, PumpState::on_drive, 5_min));
        EXPECT_EQ(retained().pumps[0].succession_starts, 1);
        EXPECT_TRUE(retained().pumps[0].succession_warm);
    }
};

TEST(Succession, counts_a_long_run_without_an_event_when_its_contactor_drops_out) {
    LongQuietRun at;
    at.station.drive_side[0].fault.lies_open = true;
    at.run_for(1_s);
    at.station.drive_side[0].fault.lies_open = false;
    at.expect_one_start_from_warm();
}

TEST(Succession, counts_a_long_run_without_an_event_when_the_drive_trips_and_stops_at_once) {
    LongQuietRun at;
    at.station.drive_fault.trips = true;
    at.on_the_way = [](Inputs& inputs) { inputs.drive.running.on = false; };
    at.run_for(20_s);
    at.station.drive_fault.trips = false;
    at.on_the_way = nullptr;
    at.expect_one_start_from_warm();
}

TEST(Succession, limits_the_starts_of_a_pump_that_trips_again_and_again) {
    Settings settings = two_cold_one_warm();
    settings.permissives.starts_per_hour_max = 12;
    Watch watch(settings);
    for (std::size_t pump = 1; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.3;
    std::int64_t stopped_ms = watch.station.now_ms - 1_h;
    for (int start = 0; start < 2; ++start) {
        ASSERT_TRUE(watch.run_until_step(Step::start_run, 20_min)) << start;
        EXPECT_GE(watch.station.now_ms - stopped_ms, 15_min) << start;
        watch.run_for(2_s);
        watch.station.pump_tripped[0] = true;
        ASSERT_TRUE(watch.run_until_state(0, PumpState::unavailable, 1_min));
        stopped_ms = watch.station.now_ms;
        watch.station.pump_tripped[0] = false;
    }
}

TEST(Succession, stops_counting_at_the_largest_count) {
    Settings settings = doubles::four_pumps();
    settings.succession = {.cold_starts_max = 2, .cool_ms = 24_h, .rest_ms = 24_h, .even_run_ms = 24_h};
    PumpRecord pump;
    pump.started_ms = now_ms - 2000;
    pump.released_ms = now_ms - 1000;
    pump.succession = {255, true};
    EXPECT_EQ(succession_with_start(settings, pump, now_ms).starts, 255);
}

TEST(Succession, counts_a_motor_that_was_released_before_its_start_as_not_run) {
    Settings settings = doubles::four_pumps();
    settings.succession = {
        .cold_starts_max = 2, .warm_starts_max = 1, .cool_ms = 24_h, .rest_ms = 24_h, .even_run_ms = 500};
    PumpRecord pump;
    pump.started_ms = now_ms - 1000;
    pump.released_ms = now_ms - 2000;
    pump.succession = {1, false};
    const Succession with = succession_with_start(settings, pump, now_ms);
    EXPECT_EQ(with.starts, 2);
    EXPECT_FALSE(with.warm) << "the motor has not run evenly warm";
}

}  // namespace
}  // namespace freshet::core
