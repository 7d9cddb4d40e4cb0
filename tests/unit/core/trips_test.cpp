// Trips that reset by themselves: how many lock out a pump or the drive, and how people release them.
// One reason to change: what counts as a trip, or how many trips are too many.
#include "controller/core/trips.hpp"

#include <gtest/gtest.h>

#include <cstdint>

#include "controller/core/alarms.hpp"
#include "controller/core/availability.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

constexpr std::int64_t trips_minute_ms = 60'000;

/// Four idle pumps whose trips a test sets.
struct Trips {
    Settings settings = doubles::four_pumps();
    SequencerState state;
    Picture picture;
    Advice advice;
    std::uint32_t events = 0;

    Trips() {
        picture.time_ms = doubles::odd_start_ms;
        picture.drive_known = picture.drive_stopped = true;
        picture.automatic = picture.drive_side_open = picture.line_side_open = 0x0F;
    }
    void scan(std::int64_t after_ms) {
        picture.time_ms += after_ms;
        Journal journal(advice, events);
        count_trips(state, picture, settings, journal);
        judge_availability(state, picture, settings, journal);
    }
    /// A trip of pump 2 for a second, after some time without.
    void trip_pump(std::int64_t after_ms) {
        scan(0);
        picture.tripped = 0;
        scan(1000);
        picture.tripped = 0x2;
        scan(after_ms);
        picture.tripped = 0;
        scan(1000);
    }
    /// A trip of the drive for a second. The drive is not ready for half a minute after the trip.
    void trip_drive(std::int64_t after_ms) {
        picture.drive_tripped = picture.drive_not_ready = true;
        scan(after_ms);
        picture.drive_tripped = false;
        scan(1000);
        picture.drive_not_ready = false;
        scan(30'000);
    }
    PumpState pump() const { return state.pumps[1].state; }
};

TEST(Trips, lock_a_pump_out_at_the_third_within_an_hour) {
    Trips trips;
    trips.trip_pump(10 * trips_minute_ms);
    trips.trip_pump(10 * trips_minute_ms);
    EXPECT_EQ(trips.pump(), PumpState::off);
    trips.trip_pump(10 * trips_minute_ms);
    EXPECT_EQ(trips.pump(), PumpState::locked_out);
    EXPECT_EQ(trips.state.pumps[0].state, PumpState::off);
}

TEST(Trips, farther_apart_lock_nothing_out) {
    Trips trips;
    for (int i = 0; i < 6; ++i) trips.trip_pump(31 * trips_minute_ms);
    EXPECT_EQ(trips.pump(), PumpState::off);
}

TEST(Trips, of_a_chattering_contact_count_as_one) {
    Trips trips;
    trips.scan(trips_minute_ms);
    for (int i = 0; i < 20; ++i) {
        trips.picture.tripped = i % 2 == 0 ? 0x2 : 0;
        trips.scan(1000);
    }
    trips.picture.tripped = 0;
    trips.scan(1000);
    EXPECT_EQ(trips.pump(), PumpState::off);
}

TEST(Trips, are_forgotten_when_people_put_the_selector_to_off) {
    Trips trips;
    for (int i = 0; i < 3; ++i) trips.trip_pump(10 * trips_minute_ms);
    ASSERT_EQ(trips.pump(), PumpState::locked_out);
    trips.picture.not_automatic = 0x2;
    trips.picture.automatic = 0x0D;
    trips.scan(1000);
    trips.picture.not_automatic = 0;
    trips.picture.automatic = 0x0F;
    trips.scan(1000);
    EXPECT_EQ(trips.pump(), PumpState::off);
    trips.trip_pump(trips_minute_ms);
    EXPECT_EQ(trips.pump(), PumpState::off);
}

TEST(Trips, of_the_drive_lock_the_drive_out_and_the_trip_itself_does_not_release_the_drive) {
    Trips trips;
    trips.scan(trips_minute_ms);
    trips.trip_drive(10 * trips_minute_ms);
    trips.trip_drive(10 * trips_minute_ms);
    EXPECT_FALSE(trips.state.drive_locked_out);
    trips.trip_drive(10 * trips_minute_ms);
    EXPECT_TRUE(trips.state.drive_locked_out);
    trips.scan(10 * trips_minute_ms);
    EXPECT_TRUE(trips.state.drive_locked_out);
    trips.picture.drive_not_ready = true;  // somebody works at the drive
    trips.scan(trips_minute_ms);
    EXPECT_FALSE(trips.state.drive_locked_out);
}

TEST(Trips, that_are_allowed_more_often_lock_out_later) {
    Trips trips;
    trips.settings.permissives.trips_per_hour_max = 5;
    for (int i = 0; i < 4; ++i) trips.trip_pump(5 * trips_minute_ms);
    EXPECT_EQ(trips.pump(), PumpState::off);
    trips.trip_pump(5 * trips_minute_ms);
    EXPECT_EQ(trips.pump(), PumpState::locked_out);
}

}  // namespace
}  // namespace freshet::core
