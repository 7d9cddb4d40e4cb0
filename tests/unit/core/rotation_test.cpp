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
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms), 1)
        << "of two equal pumps the lower number";
    EXPECT_EQ(next_to_stop(all_four, wear.state, wear.settings), 0);
}

TEST(RotationByStarts, starts_the_pump_with_the_fewest_starts_and_stops_the_pump_with_the_most) {
    Wear wear;
    wear.settings.rotation = Rotation::starts;
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms), 2);
    EXPECT_EQ(next_to_stop(all_four, wear.state, wear.settings), 1);
}

TEST(FixedOrder, starts_the_lowest_number_and_stops_the_highest) {
    Wear wear;
    wear.settings.rotation = Rotation::fixed;
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms), 0);
    EXPECT_EQ(next_to_stop(all_four, wear.state, wear.settings), 3);
}

TEST(Preference, comes_before_wear) {
    Wear wear;
    wear.settings.preference[0] = Preference::preferred;
    wear.settings.preference[1] = Preference::last;
    EXPECT_EQ(next_to_start(all_four, wear.state, wear.settings, doubles::odd_start_ms), 0);
    EXPECT_EQ(next_to_stop(all_four, wear.state, wear.settings), 1);
}

TEST(Rotation, chooses_only_among_the_given_pumps) {
    Wear wear;
    EXPECT_EQ(next_to_start(bit_of(0) | bit_of(2), wear.state, wear.settings, doubles::odd_start_ms), 2);
    EXPECT_EQ(next_to_start(0, wear.state, wear.settings, doubles::odd_start_ms), no_pump);
}

}  // namespace
}  // namespace freshet::core
