// The demand: arrest of the level, limits, bumpless transfer. One reason to change: how the speed is
// controlled.
#include "controller/core/demand.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace freshet::core {
namespace {

constexpr double area_m2 = 200;
constexpr double flow_per_hz_m3s = 0.04;
constexpr double arrest_s = 120;
constexpr double scan_s = 0.1;
constexpr double unlimited_hz_s = 1e9;
constexpr DemandInputs wide{.need_m = 0, .lowest_hz = -1e9, .highest_hz = 1e9, .elapsed_s = scan_s};

/// Highest level after a step of inflow on a store under the demand, and when it was reached.
struct Arrest {
    double peak_m = 0, peak_at_s = 0;
};
Arrest arrest_of(double inflow_step_m3s) {
    const Tuning tuning = arrest_tuning(flow_per_hz_m3s / area_m2, arrest_s);
    Demand demand;
    demand.start_at(0, 0, tuning);
    Arrest arrest;
    double level_m = 0;
    for (double t_s = 0; t_s < 20 * arrest_s; t_s += scan_s) {
        DemandInputs inputs = wide;
        inputs.need_m = level_m;
        const double speed_hz = demand.step(inputs, tuning, unlimited_hz_s);
        level_m += scan_s * (inflow_step_m3s - flow_per_hz_m3s * speed_hz) / area_m2;
        if (level_m > arrest.peak_m) arrest = {level_m, t_s};
    }
    return arrest;
}

TEST(Demand, arrests_the_level_at_the_arrest_time) {
    // Both poles at -1/arrest: level = step t e^(-t/arrest) / area, highest at t = arrest.
    const double step_m3s = 0.5;
    const Arrest arrest = arrest_of(step_m3s);
    EXPECT_NEAR(arrest.peak_at_s, arrest_s, 1.0);
    EXPECT_NEAR(arrest.peak_m, step_m3s * arrest_s / (std::exp(1.0) * area_m2), 0.001);
}

TEST(Demand, begins_without_a_bump_at_every_level) {
    const Tuning tuning = arrest_tuning(flow_per_hz_m3s / area_m2, arrest_s);
    for (const double need_m : {-0.8, 0.0, 0.8}) {
        Demand demand;
        demand.start_at(52.0, need_m, tuning);
        DemandInputs inputs{need_m, 40, 60, scan_s};
        const double integral_part_hz = tuning.gain_hz_m * need_m * scan_s / tuning.integral_s;
        EXPECT_NEAR(demand.step(inputs, tuning, unlimited_hz_s), 52.0 + integral_part_hz, 1e-9);
    }
}

TEST(Demand, does_not_wind_up_at_its_top) {
    const Tuning tuning = arrest_tuning(flow_per_hz_m3s / area_m2, arrest_s);
    Demand demand;
    demand.start_at(60, 0, tuning);
    const DemandInputs high{0.5, 40, 60, scan_s};
    for (int i = 0; i < 100'000; ++i) demand.step(high, tuning, unlimited_hz_s);

    const DemandInputs turned{-0.001, 40, 60, scan_s};
    EXPECT_LT(demand.step(turned, tuning, unlimited_hz_s), 60)
        << "the speed leaves the limit when the error changes its sign";
}

TEST(Demand, does_not_wind_down_at_its_bottom) {
    const Tuning tuning = arrest_tuning(flow_per_hz_m3s / area_m2, arrest_s);
    Demand demand;
    demand.start_at(40, 0, tuning);
    const DemandInputs low{-0.5, 40, 60, scan_s};
    for (int i = 0; i < 100'000; ++i) demand.step(low, tuning, unlimited_hz_s);

    const DemandInputs turned{0.001, 40, 60, scan_s};
    EXPECT_GT(demand.step(turned, tuning, unlimited_hz_s), 40);
}

TEST(Demand, stays_at_its_bottom_in_the_noise_of_a_transmitter) {
    const Tuning tuning = arrest_tuning(flow_per_hz_m3s / area_m2, arrest_s);
    Demand demand;
    demand.start_at(60, -0.4, tuning);  // as after a take-back: the integral begins beyond the top
    const double noise_m = 0.01;
    const int settling_scans = 10'000;
    for (int i = 0; i < 2 * settling_scans; ++i) {
        const DemandInputs low{-0.4 + (i % 2 == 0 ? noise_m : -noise_m), 40, 60, scan_s};
        const double speed_hz = demand.step(low, tuning, unlimited_hz_s);
        if (i > settling_scans) {
            ASSERT_EQ(speed_hz, 40);
        }
    }
}

TEST(Demand, changes_no_faster_than_its_rate) {
    const Tuning tuning = arrest_tuning(flow_per_hz_m3s / area_m2, arrest_s);
    Demand demand;
    demand.start_at(45, 0, tuning);
    const DemandInputs jump{2.0, 40, 60, scan_s};
    const double rate_hz_s = 2;
    EXPECT_NEAR(demand.step(jump, tuning, rate_hz_s), 45 + rate_hz_s * scan_s, 1e-12);
}

TEST(Demand, without_a_tuning_stays_at_its_first_speed) {
    Demand demand;
    demand.start_at(52, 0.5, {});
    for (int i = 0; i < 100; ++i) EXPECT_EQ(demand.step({0.5, 40, 60, scan_s}, {}, unlimited_hz_s), 52);
}

TEST(ArrestTuning, of_a_level_that_does_not_react_has_no_gain) {
    EXPECT_EQ(arrest_tuning(0, arrest_s).gain_hz_m, 0);
    EXPECT_EQ(arrest_tuning(1e-4, 0).gain_hz_m, 0);
}

}  // namespace
}  // namespace freshet::core
