// Which pump starts or stops next. One reason to change: the order of the pumps.
#include "controller/core/rotation.hpp"

#include <gtest/gtest.h>

#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/durations.hpp"

namespace freshet::core {
namespace {

constexpr PumpMask all_four = 0x0F;

struct Wear {
    Settings settings = doubles::four_pumps();
    SequencerState state;
    Wear() {
        const std::int64_t run_h[] = {300, 100, 200, 100};
        const std::uint32_t starts[] = {5, 9, 2, 7};
        for (std::size_t pump = 0; pump < 4; ++pump) {
            state.pumps[pump].run_ms = run_h[pump] * 1_h;
            state.pumps[pump].starts_total = starts[pump];
        }
    }
};

TEST(RotationByHours, starts_the_least_worn_and_stops_the_most_worn) {
    Wear wear;
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms).pump, 1)
        << "of two equal pumps the lower number";
    EXPECT_EQ(next_to_stop(all_four, wear.state, wear.settings, doubles::odd_start_ms), 0);
}

TEST(RotationByStarts, starts_the_pump_with_the_fewest_starts_and_stops_it_first_so_that_it_can_start_again) {
    Wear wear;
    wear.settings.rotation = Rotation::starts;
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms).pump, 2);
    EXPECT_EQ(next_to_stop(all_four, wear.state, wear.settings, doubles::odd_start_ms), 2);
}

/// Pump 2 started last, pump 1 before it.
struct Alternation : Wear {
    static constexpr std::int64_t now_ms = doubles::odd_start_ms;
    Alternation() {
        settings.rotation = Rotation::alternation;
        state.pumps[0].started_ms = now_ms - 20_min;
        state.pumps[1].started_ms = now_ms - 10_min;
    }
    std::uint8_t next(PumpMask among) const { return next_to_start(among, state, settings, now_ms).pump; }
};

TEST(RotationInAlternation, starts_the_pump_whose_number_follows_the_last_started) {
    Alternation station;
    EXPECT_EQ(station.next(all_four), 2) << "pump 3 follows pump 2, whatever the hours and starts";
    station.state.pumps[3].started_ms = Alternation::now_ms - 1_min;
    EXPECT_EQ(station.next(all_four), 0) << "pump 1 follows pump 4";
}

TEST(RotationInAlternation, skips_pumps_that_may_not_start) {
    const Alternation station;
    EXPECT_EQ(station.next(bit_of(0) | bit_of(1) | bit_of(3)), 3);
    EXPECT_EQ(station.next(bit_of(0) | bit_of(1)), 0);
    EXPECT_EQ(station.next(bit_of(1)), 1) << "the pump that started last, where no other may start";
}

TEST(RotationInAlternation, begins_with_the_lowest_number_while_no_start_is_known) {
    Wear wear;
    wear.settings.rotation = Rotation::alternation;
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms).pump, 0);
}

TEST(RotationInAlternation, stops_the_pump_that_has_run_longest_since_its_start) {
    const Alternation station;
    EXPECT_EQ(next_to_stop(bit_of(0) | bit_of(1), station.state, station.settings, Alternation::now_ms), 0);
}

TEST(RotationInTheOperatorsOrder, starts_the_first_place_and_stops_the_last) {
    Wear wear;
    wear.settings.rotation = Rotation::order;
    wear.settings.place = {2, 0, 3, 1};  // the order is pump 2, 4, 1, 3
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms).pump, 1);
    EXPECT_EQ(next_to_start(bit_of(0) | bit_of(2), wear.state, wear.settings, doubles::odd_start_ms).pump, 0);
    EXPECT_EQ(next_to_stop(all_four, wear.state, wear.settings, doubles::odd_start_ms), 2);
}

TEST(FixedOrder, starts_the_lowest_number_and_stops_the_highest) {
    Wear wear;
    wear.settings.rotation = Rotation::fixed;
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms).pump, 0);
    EXPECT_EQ(next_to_stop(all_four, wear.state, wear.settings, doubles::odd_start_ms), 3);
}

TEST(Preference, comes_before_wear) {
    Wear wear;
    wear.settings.preference[0] = Preference::preferred;
    wear.settings.preference[1] = Preference::last;
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms).pump, 0);
    EXPECT_EQ(next_to_stop(all_four, wear.state, wear.settings, doubles::odd_start_ms), 1);
}

TEST(Rotation, chooses_only_among_the_given_pumps) {
    Wear wear;
    EXPECT_EQ(next_to_start(bit_of(0) | bit_of(2), wear.state, wear.settings, doubles::odd_start_ms).pump, 2);
    EXPECT_EQ(next_to_start(0, wear.state, wear.settings, doubles::odd_start_ms).pump, no_pump);
}

}  // namespace
}  // namespace freshet::core
