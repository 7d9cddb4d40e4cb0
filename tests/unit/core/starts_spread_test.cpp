// How starts are spread among the pumps while pumps start and stop often.
// One reason to change: which starts an hour of cycling gives to each pump.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <vector>

#include "controller/core/rotation.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/durations.hpp"

namespace freshet::core {
namespace {

constexpr std::size_t cycling_pumps = 4;

/// Four pumps of one rank, with unlike hours and starts. Pumps start and stop without a station around them.
struct Cycling {
    Settings settings = doubles::four_pumps();
    SequencerState state;
    std::int64_t now_ms = doubles::odd_start_ms;
    std::array<int, cycling_pumps> starts{};
    std::vector<std::uint8_t> running;

    explicit Cycling(Rotation rotation) {
        settings.rotation = rotation;
        settings.place = {2, 0, 3, 1};
        const std::int64_t run_h[] = {3100, 2950, 3000, 20};
        const std::uint32_t starts_total[] = {4100, 4000, 30, 4050};
        for (std::size_t pump = 0; pump < cycling_pumps; ++pump) {
            state.pumps[pump].run_ms = run_h[pump] * 1_h;
            state.pumps[pump].starts_total = starts_total[pump];
        }
    }
    PumpMask running_pumps() const {
        PumpMask mask = 0;
        for (const std::uint8_t pump : running) mask = static_cast<PumpMask>(mask | bit_of(pump));
        return mask;
    }
    void start_one() {
        const auto idle = static_cast<PumpMask>(0x0F & ~running_pumps());
        const std::uint8_t pump = next_to_start(idle, state, settings, now_ms).pump;
        PumpRecord& record = state.pumps[pump];
        record.starts.note(now_ms);
        record.started_ms = now_ms;
        ++record.starts_total;
        ++starts[pump];
        running.push_back(pump);
    }
    void stop_one() { std::erase(running, next_to_stop(running_pumps(), state, settings, now_ms)); }
    void pass(std::int64_t time_ms) {
        now_ms += time_ms;
        for (const std::uint8_t pump : running) state.pumps[pump].run_ms += time_ms;
    }
    /// An hour in which a pump starts every five minutes and a pump stops three minutes later.
    void cycle_for_an_hour() {
        for (int start = 0; start < 12; ++start) {
            start_one();
            pass(3_min);
            stop_one();
            pass(2_min);
        }
    }
    int spread() const {
        const auto [least, most] = std::minmax_element(starts.begin(), starts.end());
        return *most - *least;
    }
};

struct StartsOfAnHour : testing::TestWithParam<Rotation> {};

TEST_P(StartsOfAnHour, differ_by_at_most_one_between_pumps_with_unlike_hours_and_starts) {
    Cycling station(GetParam());
    station.cycle_for_an_hour();
    EXPECT_LE(station.spread(), 1);
}

INSTANTIATE_TEST_SUITE_P(Rotations, StartsOfAnHour,
                         testing::Values(Rotation::hours, Rotation::starts, Rotation::alternation));

struct StartsOverARunningPump : testing::TestWithParam<Rotation> {};

TEST_P(StartsOverARunningPump, differ_by_at_most_one_because_the_pump_that_runs_longest_makes_room) {
    Cycling station(GetParam());
    station.start_one();
    station.pass(2_min);
    station.cycle_for_an_hour();
    EXPECT_LE(station.spread(), 1);
}

INSTANTIATE_TEST_SUITE_P(Rotations, StartsOverARunningPump,
                         testing::Values(Rotation::starts, Rotation::alternation));

TEST(StartsOverAPumpWithFewHours, differ_by_at_most_one_among_the_pumps_that_cycle_by_hours) {
    Cycling station(Rotation::hours);
    station.start_one();  // pump 4 has by far the fewest hours, and keeps running
    station.pass(2_min);
    station.cycle_for_an_hour();
    EXPECT_EQ(station.starts[3], 1);
    const auto [least, most] = std::minmax_element(station.starts.begin(), station.starts.begin() + 3);
    EXPECT_LE(*most - *least, 1);
}

TEST(OperatorsOrder, gives_every_start_to_the_first_pump_that_may_start) {
    Cycling station(Rotation::order);
    station.cycle_for_an_hour();
    EXPECT_EQ(station.starts[1], 12)
        << "the limit of starts per hour is a permissive, which this test leaves out";
}

TEST(OneStartInAnHour, counts_as_none_because_a_run_of_hours_may_follow) {
    Cycling station(Rotation::hours);
    station.start_one();
    ASSERT_EQ(station.starts[3], 1);
    station.pass(5_min);
    station.stop_one();
    EXPECT_EQ(next_to_start(0x0F, station.state, station.settings, station.now_ms).pump, 3);
}

TEST(StartsAnHourAgo, no_longer_count) {
    Cycling station(Rotation::hours);
    for (int start = 0; start < 2; ++start) {
        station.start_one();
        station.pass(1_min);
        station.stop_one();
    }
    ASSERT_EQ(station.starts[3], 2);
    EXPECT_NE(next_to_start(0x0F, station.state, station.settings, station.now_ms).pump, 3);
    station.pass(1_h);
    EXPECT_EQ(next_to_start(0x0F, station.state, station.settings, station.now_ms).pump, 3)
        << "the pump with the fewest hours again";
}

}  // namespace
}  // namespace freshet::core
