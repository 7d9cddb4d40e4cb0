// The link to the station is lost: how long running pumps may keep running before the advice is void.
// One reason to change: when advice without readings becomes void.
#include "controller/core/hold.hpp"

#include <gtest/gtest.h>

#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

/// The store of the double holds 200 m3 for each metre. The cut-off is at 0.6 m, the high mark at 3.4 m.
TEST(Hold, lasts_until_the_pumps_would_have_drawn_the_store_to_the_cut_off) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(5_min);
    watch.station.inflow_m3s = 0;
    watch.run_for(2_min);
    const double store_m3 = 200 * (watch.station.level_m - 0.6);
    const double drawn_m3s = watch.advice->pumped_m3s - watch.advice->inflow_m3s;
    watch.station.link_lost = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->service == Service::hold; }, 10_s));
    const std::int64_t from_ms = watch.station.now_ms;
    EXPECT_EQ(watch.advice->next.reason, Reason::hold_over);
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->service == Service::waiting; }, 70_min));
    const double lasted_s = 1e-3 * static_cast<double>(watch.station.now_ms - from_ms);
    EXPECT_LE(lasted_s, store_m3 / drawn_m3s) << "the pumps would have reached the cut-off";
    EXPECT_GE(lasted_s, 0.6 * store_m3 / drawn_m3s);
    const Event* voided = watch.last(EventKind::service, static_cast<std::uint8_t>(Service::waiting));
    ASSERT_NE(voided, nullptr);
    EXPECT_EQ(voided->why, Reason::hold_over);
}

TEST(Hold, lasts_until_the_store_would_overflow) {
    Settings settings = doubles::four_pumps();
    settings.pump_count = 2;
    settings.permissives.pumps_max_on_line = settings.permissives.pumps_max_on_generator = 1;
    Watch watch(settings);
    ASSERT_TRUE(watch.one_on_drive());
    watch.station.inflow_m3s = 1.4;
    watch.run_for(1_min);
    const double room_m3 = 200 * (3.4 - watch.station.level_m);
    const double gain_m3s = watch.advice->inflow_m3s - watch.advice->pumped_m3s;
    ASSERT_GT(gain_m3s, 0);
    watch.station.link_lost = true;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->service == Service::hold; }, 10_s));
    const std::int64_t from_ms = watch.station.now_ms;
    ASSERT_TRUE(watch.run_until([&] { return watch.advice->service == Service::waiting; }, 70_min));
    const double lasted_s = 1e-3 * static_cast<double>(watch.station.now_ms - from_ms);
    EXPECT_LE(lasted_s, room_m3 / gain_m3s);
    EXPECT_GE(lasted_s, 0.4 * room_m3 / gain_m3s);
}

TEST(Hold, of_a_balanced_store_lasts_for_many_minutes_and_an_hour_at_most) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(20_min);
    watch.station.link_lost = true;
    watch.run_for(15_min);
    EXPECT_EQ(watch.advice->service, Service::hold);
    watch.run_for(50_min);
    EXPECT_EQ(watch.advice->service, Service::waiting);
}

TEST(Hold, ends_when_the_link_returns_also_after_the_advice_was_void) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_drive());
    watch.run_for(5_min);
    watch.station.link_lost = true;
    watch.run_for(70_min);
    ASSERT_EQ(watch.advice->service, Service::waiting);
    watch.station.link_lost = false;
    watch.run_for(1_min);
    EXPECT_EQ(watch.advice->service, Service::normal);
    EXPECT_NE(watch.advice->next.reason, Reason::hold_over);
}

}  // namespace
}  // namespace freshet::core
