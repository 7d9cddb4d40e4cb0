// A contactor that is not read open within its time limit, and is read open soon after.
// One reason to change: when a late opening releases its pump.
#include <gtest/gtest.h>

#include "controller/core/alarms.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// Pump 1 on the drive is stopped, and its drive-side contact lies for a time.
struct Stopping {
    Watch watch;

    bool stop_with_a_lie(std::int64_t lasts_ms) {
        watch.station.inflow_m3s = 0.6;
        if (!watch.run_until_state(0, PumpState::on_drive, 10_min)) return false;
        watch.station.inflow_m3s = 0;
        if (!watch.run_until_step(Step::stop_open_output, 60_min)) return false;
        watch.station.drive_side[0].fault.lies_closed = true;
        watch.run_for(lasts_ms);
        watch.station.drive_side[0].fault.lies_closed = false;
        return true;
    }
    Stopping() {
        watch.station.level_m = 2.3;
        for (std::size_t pump = 1; pump < 4; ++pump) watch.station.selector[pump] = Selector::off;
    }
};

TEST(LateOpening, of_a_contact_that_lied_for_two_seconds_locks_nobody_out_permanently) {
    Stopping stopping;
    ASSERT_TRUE(stopping.stop_with_a_lie(2_s));
    EXPECT_EQ(stopping.watch.state(0), PumpState::locked_out);
    stopping.watch.run_for(5_s);
    EXPECT_EQ(stopping.watch.state(0), PumpState::off);
    EXPECT_FALSE(stopping.watch.alarm(0, PumpAlarm::locked_out));
    EXPECT_TRUE(stopping.watch.alarm(0, PumpAlarm::drive_side_does_not_open)) << "people must still look";
}

TEST(LateOpening, after_a_long_time_leaves_the_pump_locked_out) {
    Stopping stopping;
    ASSERT_TRUE(stopping.stop_with_a_lie(20_s));
    stopping.watch.run_for(60_s);
    EXPECT_EQ(stopping.watch.state(0), PumpState::locked_out);
}

TEST(LateOpening, at_every_stop_locks_the_pump_out_at_the_third) {
    Stopping stopping;
    for (int i = 1; i < stopping.watch.settings().step.attempts_max; ++i) {
        ASSERT_TRUE(stopping.stop_with_a_lie(2_s));
        stopping.watch.run_for(5_s);
        ASSERT_EQ(stopping.watch.state(0), PumpState::off) << i;
    }
    ASSERT_TRUE(stopping.stop_with_a_lie(2_s));
    stopping.watch.run_for(60_s);
    EXPECT_EQ(stopping.watch.state(0), PumpState::locked_out);
}

TEST(LateOpening, does_not_count_after_a_clean_stop) {
    Stopping stopping;
    for (int i = 0; i < 2 * stopping.watch.settings().step.attempts_max; ++i) {
        ASSERT_TRUE(stopping.stop_with_a_lie(i % 2 == 0 ? 2_s : 0_s));
        stopping.watch.run_for(10_s);
        ASSERT_EQ(stopping.watch.state(0), PumpState::off) << i;
    }
}

}  // namespace
}  // namespace freshet::core
