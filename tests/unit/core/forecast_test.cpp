// The observed inflow and the time to a mark. One reason to change: how the inflow is observed.
#include "controller/core/forecast.hpp"

#include <gtest/gtest.h>

namespace freshet::core {
namespace {

constexpr double area_m2 = 200;
constexpr double time_constant_s = 60;
constexpr double look_s = 1;

TEST(Observer, finds_the_inflow_from_level_and_pump_flow_alone) {
    const double true_inflow_m3s = 1.3;
    const double pumped_m3s = 0.9;
    Observer observer;
    double level_m = 2.0;
    observer.start_at(level_m, 0);
    for (int i = 0; i < 600; ++i) {
        level_m += look_s * (true_inflow_m3s - pumped_m3s) / area_m2;
        observer.step(level_m, pumped_m3s, area_m2, time_constant_s, look_s);
    }
    EXPECT_NEAR(observer.inflow_m3s(), true_inflow_m3s, 1e-3);
    EXPECT_TRUE(observer.settled(time_constant_s));
}

TEST(Observer, is_not_settled_before_five_time_constants) {
    Observer observer;
    observer.start_at(2.0, 1.0);
    for (int i = 0; i < 299; ++i) observer.step(2.0, 1.0, area_m2, time_constant_s, look_s);
    EXPECT_FALSE(observer.settled(time_constant_s));
    observer.step(2.0, 1.0, area_m2, time_constant_s, look_s);
    EXPECT_TRUE(observer.settled(time_constant_s));
}

TEST(Observer, that_lost_its_value_is_unknown_until_it_is_restarted) {
    Observer observer;
    observer.start_at(2.0, 1.0);
    observer.forget();
    EXPECT_FALSE(observer.known());
    observer.start_at(2.5, 1.0);
    EXPECT_FALSE(observer.settled(time_constant_s));
}

TEST(TimeToMark, is_the_volume_below_the_mark_over_the_surplus) {
    EXPECT_DOUBLE_EQ(time_to_mark_s(0.2, 0.6, 0.8, area_m2), 0.4 * area_m2 / 0.8);
}

TEST(TimeToMark, without_a_surplus_is_infinite_at_every_level) {
    EXPECT_EQ(time_to_mark_s(0.2, 0.6, 0, area_m2), never_s);
    EXPECT_EQ(time_to_mark_s(0.7, 0.6, -0.1, area_m2), never_s);
    EXPECT_EQ(time_to_mark_s(0.7, 0.6, 0.1, area_m2), 0);
}

}  // namespace
}  // namespace freshet::core
