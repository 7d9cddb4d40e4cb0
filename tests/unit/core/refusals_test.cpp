// The grounds for refusing that stand in the way one at a time: each alone refuses, and without it nothing
// does.
#include "controller/core/permissives.hpp"

#include <gtest/gtest.h>

#include <functional>
#include <string>
#include <vector>

#include "controller/core/rotation.hpp"
#include "controller/core/succession.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/durations.hpp"

namespace freshet::core {
namespace {

constexpr std::int64_t now_ms = doubles::odd_start_ms;

/// Four rested pumps, the first asked about; everything in order.
struct Station {
    Settings settings = doubles::four_pumps();
    SequencerState state;
    Picture picture;
    StationPermit permit{.settled = true, .data_starts = true};
    std::int64_t wait_ms = 0;

    Station() {
        picture.time_ms = now_ms;
        picture.automatic = picture.drive_side_open = picture.line_side_open = 0x0F;
        picture.output_open = picture.drive_stopped = picture.drive_known = true;
        for (PumpRecord& pump : state.pumps) pump.released_ms = now_ms - 24_h;
    }
};

struct Ground {
    std::string name;
    std::function<void(Station&)> lay;
    Permissive refused;
};

TEST(Refusal, of_a_start_names_each_ground_alone) {
    const std::vector<Ground> grounds{
        {"emergency stop", [](Station& s) { s.picture.emergency_stop = true; }, Permissive::emergency_stop},
        {"low cut-off", [](Station& s) { s.permit.low_cutoff = true; }, Permissive::low_cutoff},
        {"low float", [](Station& s) { s.permit.low_float = true; }, Permissive::low_cutoff},
        {"supply", [](Station& s) { s.permit.supply_poor = true; }, Permissive::supply},
        {"not settled", [](Station& s) { s.permit.settled = false; }, Permissive::settling},
        {"data", [](Station& s) { s.permit.data_starts = false; }, Permissive::data_bad},
        {"discharge pressure", [](Station& s) { s.permit.pressure_high = true; }, Permissive::pressure_high},
        {"locked out", [](Station& s) { s.state.pumps[0].state = PumpState::locked_out; },
         Permissive::locked_out},
        {"unavailable", [](Station& s) { s.state.pumps[0].state = PumpState::unavailable; },
         Permissive::not_automatic},
    };
    Station sound;
    ASSERT_EQ(
        why_not_start(sound.state, sound.picture, sound.permit, sound.settings, 0, false, sound.wait_ms),
        Permissive::none);
    for (const Ground& ground : grounds) {
        Station station;
        ground.lay(station);
        EXPECT_EQ(why_not_start(station.state, station.picture, station.permit, station.settings, 0, false,
                                station.wait_ms),
                  ground.refused)
            << ground.name;
    }
}

TEST(Refusal, of_a_transfer_names_each_ground_alone) {
    const std::vector<Ground> grounds{
        {"drive tripped", [](Station& s) { s.picture.drive_tripped = true; }, Permissive::drive},
        {"drive not ready", [](Station& s) { s.picture.drive_not_ready = true; }, Permissive::drive},
        {"drive unknown", [](Station& s) { s.picture.drive_known = false; }, Permissive::drive},
        {"drive locked out", [](Station& s) { s.state.drive_locked_out = true; }, Permissive::drive},
        {"drive pausing", [](Station& s) { s.state.drive_retry_after_ms = now_ms + 1; }, Permissive::drive},
        {"supply lost", [](Station& s) { s.permit.supply_poor = true; }, Permissive::supply},
        {"line dips", [](Station& s) { s.picture.line_poor = true; }, Permissive::supply},
        {"not settled", [](Station& s) { s.permit.settled = false; }, Permissive::settling},
        {"pause after a failure", [](Station& s) { s.state.transfer_retry_after_ms = now_ms + 1; },
         Permissive::resting},
    };
    Station sound;
    ASSERT_EQ(why_no_transfer(sound.state, sound.picture, sound.permit, sound.settings, sound.wait_ms),
              Permissive::none);
    for (const Ground& ground : grounds) {
        Station station;
        ground.lay(station);
        EXPECT_EQ(why_no_transfer(station.state, station.picture, station.permit, station.settings,
                                  station.wait_ms),
                  ground.refused)
            << ground.name;
    }
}

TEST(Refusal, of_a_line_start_are_the_owner_and_the_strength_of_the_supply) {
    const auto by_line = [](const std::function<void(Station&)>& lay) {
        Station station;
        station.settings.line_start.allowed = true;
        station.settings.line_start.short_circuit_va = 1e9;
        lay(station);
        return why_not_start(station.state, station.picture, station.permit, station.settings, 0, true,
                             station.wait_ms);
    };
    EXPECT_EQ(by_line([](Station&) {}), Permissive::none);
    EXPECT_EQ(by_line([](Station& s) { s.settings.line_start.allowed = false; }), Permissive::supply);
    EXPECT_EQ(by_line([](Station& s) { s.settings.line_start.short_circuit_va = 1e6; }), Permissive::supply);
}

TEST(HourlyLimit, of_nothing_admits_nothing_and_one_beyond_the_book_counts_what_the_book_holds) {
    HourlyCount count;
    EXPECT_FALSE(count.allows(0, now_ms));
    constexpr std::uint8_t beyond = hourly_max + 8;
    EXPECT_TRUE(count.allows(beyond, now_ms));
    for (std::size_t i = 0; i < hourly_max; ++i) count.note(now_ms);
    EXPECT_FALSE(count.allows(beyond, now_ms)) << "what the book cannot tell is refused";
}

TEST(Exercise, is_not_due_for_a_pump_whose_rest_is_not_known) {
    Station station;
    station.settings.exercise_ms = 24_h / 2;
    station.state.pumps[1].released_ms = never_ms;
    EXPECT_EQ(exercise_due(0x0F, station.state, station.settings, now_ms), 0x0D);
}

TEST(Succession, counts_no_further_than_the_count_goes) {
    Station station;
    station.settings.succession = {
        .cold_starts_max = 2, .cool_ms = 24_h, .rest_ms = 24_h, .even_run_ms = 24_h};
    PumpRecord& pump = station.state.pumps[0];
    pump.started_ms = now_ms - 2000;
    pump.released_ms = now_ms - 1000;
    pump.succession = {255, true};
    EXPECT_EQ(succession_with_start(station.settings, pump, now_ms).starts, 255);
}

TEST(Succession, takes_a_motor_released_before_it_started_for_one_that_has_not_run) {
    Station station;
    station.settings.succession = {
        .cold_starts_max = 2, .warm_starts_max = 1, .cool_ms = 24_h, .rest_ms = 24_h, .even_run_ms = 500};
    PumpRecord& pump = station.state.pumps[0];
    pump.started_ms = now_ms - 1000;
    pump.released_ms = now_ms - 2000;
    pump.succession = {1, false};
    const Succession with = succession_with_start(station.settings, pump, now_ms);
    EXPECT_EQ(with.starts, 2);
    EXPECT_FALSE(with.warm) << "it has not run itself even";
}

}  // namespace
}  // namespace freshet::core
