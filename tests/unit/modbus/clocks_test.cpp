// Station time: unset before the first reading, never back, coasting while the plant does not answer.
// One reason to change: how station time runs.
#include <gtest/gtest.h>

#include "hal/clock/lockstep.hpp"
#include "hal/clock/plant_clock.hpp"
#include "hal/clock/steady_clock.hpp"
#include "tests/unit/modbus/site.hpp"

namespace freshet::clocks {
namespace {

using modbus::morning_ms;
using std::chrono::milliseconds;
constexpr std::int64_t scan_ms = 100;
const PlantClock::WallTime noon{std::chrono::hours(77)};

TEST(PlantClock, is_unset_before_the_plant_has_been_read) {
    PlantClock clock;
    EXPECT_FALSE(clock.set());
    EXPECT_FALSE(clock.coast(noon, scan_ms)) << "there is nothing to coast from";
    EXPECT_EQ(clock.advance(morning_ms, noon), ClockStep::first);
    EXPECT_TRUE(clock.set());
    EXPECT_EQ(clock.now_ms(), morning_ms);
}

TEST(PlantClock, follows_the_plant_and_refuses_to_go_back) {
    PlantClock clock;
    clock.advance(morning_ms, noon);
    EXPECT_EQ(clock.advance(morning_ms + 100, noon), ClockStep::forward);
    EXPECT_EQ(clock.advance(morning_ms + 100, noon), ClockStep::same);
    EXPECT_EQ(clock.advance(morning_ms, noon), ClockStep::refused);
    EXPECT_EQ(clock.now_ms(), morning_ms + 100);
}

TEST(PlantClock, coasts_in_whole_scans_of_wall_time) {
    PlantClock clock;
    clock.advance(morning_ms, noon);
    EXPECT_FALSE(clock.coast(noon + milliseconds(99), scan_ms));
    EXPECT_TRUE(clock.coast(noon + milliseconds(250), scan_ms));
    EXPECT_EQ(clock.now_ms(), morning_ms + 200);
    EXPECT_FALSE(clock.coast(noon + milliseconds(299), scan_ms));
}

TEST(PlantClock, continues_from_its_last_time_when_the_plant_comes_back_with_an_earlier_time) {
    PlantClock clock;
    clock.advance(morning_ms + 5000, noon);
    ASSERT_TRUE(clock.rejoin(morning_ms, scan_ms));
    EXPECT_EQ(clock.advance(morning_ms, noon), ClockStep::forward);
    EXPECT_EQ(clock.now_ms(), morning_ms + 5100);
    EXPECT_EQ(clock.offset_ms(), 5100);
    EXPECT_EQ(clock.advance(morning_ms + 100, noon), ClockStep::forward);
    EXPECT_EQ(clock.now_ms(), morning_ms + 5200);
}

TEST(PlantClock, takes_the_time_of_a_plant_that_comes_back_with_a_later_time) {
    PlantClock clock;
    clock.advance(morning_ms, noon);
    EXPECT_FALSE(clock.rejoin(morning_ms + 60000, scan_ms));
    clock.advance(morning_ms + 60000, noon);
    EXPECT_EQ(clock.now_ms(), morning_ms + 60000);
}

TEST(SteadyClock, starts_at_the_wall_clock_and_then_follows_the_steady_clock) {
    const SteadyClock clock;
    const std::int64_t now_ms = clock.now_ms();
    EXPECT_GT(now_ms, morning_ms - 86'400'000LL * 3650);
    EXPECT_EQ(clock.at_ms(clock.when(now_ms + 1234)), now_ms + 1234);
}

TEST(StallWatch, says_at_which_step_the_peer_stalled) {
    StallWatch watch(milliseconds(500), noon);
    watch.stepped(noon + milliseconds(400));
    watch.stepped(noon + milliseconds(800));
    EXPECT_FALSE(watch.stalled(noon + milliseconds(1300)));
    EXPECT_TRUE(watch.stalled(noon + milliseconds(1301)));
    EXPECT_EQ(watch.message(), "peer stalled at step 2 (no answer for 500 ms)");
}

}  // namespace
}  // namespace freshet::clocks
