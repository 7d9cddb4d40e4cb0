// The transmitter: how it measures, and every way in which it fails.
#include "sim_plant/sensors/transmitter.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "sim_plant/sensors/current_loop.hpp"

namespace {

using namespace freshet;
using config::FaultKind;
using plant::Transmitter;
using plant::TransmitterDesign;

constexpr double scan_s = 0.1;
constexpr TransmitterDesign quiet{0, 8, 0, 0, 0.002};       // 0 to 8 m, neither noise nor lag
constexpr TransmitterDesign noisy{0, 8, 0.01, 0, 0.002};    // 1 cm of noise
constexpr TransmitterDesign lagging{0, 8, 0, 5, 0.000001};  // 5 s of lag

double level_of(double current_ma) {
    return plant::loop_value(current_ma, 0, 8);
}

TEST(Transmitter, gives_4_12_and_20_milliamperes_at_zero_middle_and_span) {
    Transmitter transmitter(quiet, scan_s, 1);
    EXPECT_NEAR(transmitter.step_ma(0), 4, 1e-9);
    EXPECT_NEAR(transmitter.step_ma(4), 12, 1e-9);
    EXPECT_NEAR(transmitter.step_ma(8), 20, 1e-9);
}

TEST(Transmitter, stays_within_the_measuring_range_in_service) {
    Transmitter transmitter(quiet, scan_s, 1);
    EXPECT_NEAR(transmitter.step_ma(-100), 3.8, 1e-9);
    EXPECT_GE(transmitter.step_ma(-100), 3.8 - 1e-12);
    EXPECT_NEAR(transmitter.step_ma(100), 20.5, 1e-9);
    EXPECT_LE(transmitter.step_ma(100), 20.5 + 1e-12);
}

TEST(Transmitter, never_rounds_out_of_the_measuring_range) {
    for (const double resolution_ma : {0.002, 0.0039, 0.0156, 0.07, 0.3}) {
        Transmitter transmitter({0, 8, 0, 0, resolution_ma}, scan_s, 1);
        EXPECT_GE(transmitter.step_ma(-1), 3.8 - 1e-9) << resolution_ma;
        EXPECT_LE(transmitter.step_ma(9), 20.5 + 1e-9) << resolution_ma;
    }
}

TEST(Transmitter, measures_a_reversed_range) {
    Transmitter transmitter({8, 0, 0, 0, 0.002}, scan_s, 1);
    EXPECT_NEAR(transmitter.step_ma(0), 20, 1e-9);
    EXPECT_NEAR(transmitter.step_ma(6), 8, 1e-9);
}

TEST(Transmitter, rounds_to_its_resolution) {
    Transmitter transmitter({0, 8, 0, 0, 0.5}, scan_s, 1);
    EXPECT_NEAR(transmitter.step_ma(4.1), 12.0, 1e-9);   // 12.2 mA
    EXPECT_NEAR(transmitter.step_ma(4.15), 12.5, 1e-9);  // 12.3 mA
}

TEST(Transmitter, lags_as_the_exact_first_order_answer_at_any_step) {
    for (const double step_s : {0.1, 1.0, 7.0}) {
        Transmitter transmitter(lagging, step_s, 1);
        transmitter.settle(2);
        double level_m = 0;
        const int steps = static_cast<int>(std::lround(21.0 / step_s));
        for (int i = 0; i < steps; ++i) level_m = level_of(transmitter.step_ma(6));
        EXPECT_NEAR(level_m, 6 - 4 * std::exp(-21.0 / 5.0), 1e-5) << step_s << " s";
    }
}

TEST(Transmitter, is_at_rest_after_settling) {
    Transmitter transmitter(lagging, scan_s, 1);
    transmitter.settle(3);
    EXPECT_NEAR(level_of(transmitter.step_ma(3)), 3, 1e-6);
}

TEST(Transmitter, has_noise_of_the_given_deviation_and_no_bias) {
    Transmitter transmitter(noisy, scan_s, 42);
    constexpr int count = 200000;
    double sum = 0, squares = 0, next_to = 0, before = 0, furthest = 0;
    for (int i = 0; i < count; ++i) {
        const double away_m = level_of(transmitter.step_ma(4)) - 4;
        sum += away_m;
        squares += away_m * away_m;
        next_to += away_m * before;
        before = away_m;
        furthest = std::max(furthest, std::abs(away_m));
    }
    EXPECT_NEAR(sum / count, 0, 5 * 0.01 / std::sqrt(count));
    EXPECT_NEAR(std::sqrt(squares / count), 0.01, 0.0001);
    EXPECT_NEAR(next_to / squares, 0, 0.012);       // neighbours do not know of each other
    EXPECT_LT(furthest, 3.47 * 0.01 + 0.0005 * 2);  // bounded, and the resolution's half millimetre
}

TEST(Transmitter, repeats_exactly_by_seed) {
    Transmitter first(noisy, scan_s, 5), again(noisy, scan_s, 5), other(noisy, scan_s, 6);
    int differing = 0;
    for (int i = 0; i < 1000; ++i) {
        const double current_ma = first.step_ma(3);
        ASSERT_EQ(current_ma, again.step_ma(3));
        differing += current_ma != other.step_ma(3) ? 1 : 0;
    }
    EXPECT_GT(differing, 900);
}

TEST(TransmitterFault, off_leaves_no_current) {
    Transmitter transmitter(noisy, scan_s, 1);
    ASSERT_TRUE(transmitter.set_fault(FaultKind::dead, 0));
    EXPECT_EQ(transmitter.step_ma(4), 0);
    EXPECT_TRUE(plant::loop_failed(0));
}

TEST(TransmitterFault, stuck_keeps_the_last_current_whatever_the_level_does) {
    Transmitter transmitter(noisy, scan_s, 1);
    const double last_ma = transmitter.step_ma(4);
    transmitter.set_fault(FaultKind::frozen, 0);
    for (const double level_m : {1.0, 7.0, 4.0}) EXPECT_EQ(transmitter.step_ma(level_m), last_ma);
}

TEST(TransmitterFault, stuck_ends_when_cleared) {
    Transmitter transmitter(quiet, scan_s, 1);
    transmitter.step_ma(4);
    transmitter.set_fault(FaultKind::frozen, 0);
    transmitter.step_ma(6);
    ASSERT_TRUE(transmitter.clear_fault(FaultKind::frozen));
    EXPECT_NEAR(level_of(transmitter.step_ma(6)), 6, 1e-9);
}

TEST(TransmitterFault, erratic_has_nothing_to_do_with_the_level) {
    Transmitter transmitter(quiet, scan_s, 1);
    transmitter.set_fault(FaultKind::erratic, 0);
    double lowest_ma = 100, highest_ma = -100, sum_ma = 0;
    for (int i = 0; i < 10000; ++i) {
        const double current_ma = transmitter.step_ma(4);
        lowest_ma = std::min(lowest_ma, current_ma);
        highest_ma = std::max(highest_ma, current_ma);
        sum_ma += current_ma;
    }
    EXPECT_LT(lowest_ma, 0.1);
    EXPECT_GT(highest_ma, 23.9);
    EXPECT_LE(highest_ma, 24);
    EXPECT_NEAR(sum_ma / 10000, 12, 0.3);
}

TEST(TransmitterFault, offset_is_wrong_by_its_amount_and_plausible) {
    Transmitter transmitter(quiet, scan_s, 1);
    transmitter.set_fault(FaultKind::offset, -0.75);
    const double current_ma = transmitter.step_ma(4);
    EXPECT_NEAR(level_of(current_ma), 3.25, 1e-9);
    EXPECT_FALSE(plant::loop_failed(current_ma));
}

TEST(TransmitterFault, slow_follows_with_the_second_lag_from_its_last_value) {
    Transmitter transmitter({0, 8, 0, 0, 0}, scan_s, 1);
    transmitter.settle(1);
    transmitter.step_ma(2);
    transmitter.set_fault(FaultKind::lagging, 30);
    double level_m = 0;
    for (int i = 0; i < 300; ++i) level_m = level_of(transmitter.step_ma(6));
    EXPECT_NEAR(level_m, 6 - 4 * std::exp(-1.0), 1e-5);
}

TEST(TransmitterFault, drops_out_opens_the_loop_for_the_given_share_of_time) {
    Transmitter transmitter(quiet, scan_s, 1);
    transmitter.set_fault(FaultKind::drops_out, 0.3);
    int open = 0, changes = 0;
    bool was_open = false;
    constexpr int count = 100000;
    for (int i = 0; i < count; ++i) {
        const double current_ma = transmitter.step_ma(4);
        const bool is_open = current_ma == 0;
        if (!is_open) {
            ASSERT_NEAR(current_ma, 12, 1e-9);
        }
        open += is_open ? 1 : 0;
        changes += is_open != was_open ? 1 : 0;
        was_open = is_open;
    }
    EXPECT_NEAR(open / static_cast<double>(count), 0.3, 0.02);
    EXPECT_NEAR(changes / (count * scan_s), 2 * 0.3 * 0.7,
                0.03);  // whole seconds: two changes of seven in ten by three
}

TEST(TransmitterFault, drift_grows_by_its_rate_from_the_moment_it_begins) {
    Transmitter transmitter({0, 8, 0, 0, 0}, scan_s, 1);
    for (int i = 0; i < 100; ++i) transmitter.step_ma(4);
    transmitter.set_fault(FaultKind::drift, 0.001);
    double level_m = 0;
    for (int i = 0; i < 1000; ++i) level_m = level_of(transmitter.step_ma(4));
    EXPECT_NEAR(level_m, 4.1, 1e-5);
}

TEST(TransmitterFault, drift_starts_from_zero_after_it_was_cleared) {
    Transmitter transmitter({0, 8, 0, 0, 0}, scan_s, 1);
    transmitter.set_fault(FaultKind::drift, 0.01);
    for (int i = 0; i < 100; ++i) transmitter.step_ma(4);
    transmitter.clear_fault(FaultKind::drift);
    EXPECT_NEAR(level_of(transmitter.step_ma(4)), 4, 1e-6);
    transmitter.set_fault(FaultKind::drift, 0.01);
    EXPECT_NEAR(level_of(transmitter.step_ma(4)), 4.001, 1e-6);
}

TEST(TransmitterFault, spike_comes_once_in_ten_seconds_up_or_down) {
    Transmitter transmitter(quiet, scan_s, 1);
    transmitter.set_fault(FaultKind::spike, 2);
    int up = 0, down = 0;
    constexpr int count = 100000;
    for (int i = 0; i < count; ++i) {
        const double level_m = level_of(transmitter.step_ma(4));
        up += level_m > 5.99 ? 1 : 0;
        down += level_m < 2.01 ? 1 : 0;
    }
    const double expected = count * scan_s / 10;
    EXPECT_NEAR(up + down, expected, 5 * std::sqrt(expected));
    EXPECT_NEAR(up, expected / 2, 5 * std::sqrt(expected / 2));
}

TEST(TransmitterFault, under_and_over_range_show_the_failure_current) {
    Transmitter transmitter(noisy, scan_s, 1);
    transmitter.set_fault(FaultKind::under_range, 0);
    EXPECT_EQ(transmitter.step_ma(4), 3.5);
    EXPECT_TRUE(plant::loop_failed(3.5));
    transmitter.clear_fault(FaultKind::under_range);
    transmitter.set_fault(FaultKind::over_range, 0);
    EXPECT_EQ(transmitter.step_ma(4), 21.5);
    EXPECT_TRUE(plant::loop_failed(21.5));
    transmitter.set_fault(FaultKind::over_range, 22);
    EXPECT_EQ(transmitter.step_ma(4), 22);
}

TEST(TransmitterFault, the_one_that_hides_most_wins) {
    const std::vector<FaultKind> order{FaultKind::dead, FaultKind::under_range, FaultKind::over_range,
                                       FaultKind::frozen};
    const std::vector<double> shown_ma{0, 3.5, 21.5, 12};
    Transmitter transmitter(quiet, scan_s, 1);
    transmitter.step_ma(4);
    for (const FaultKind kind : order) transmitter.set_fault(kind, 0);
    for (std::size_t i = 0; i < order.size(); ++i) {
        EXPECT_NEAR(transmitter.step_ma(6), shown_ma[i], 1e-9);
        transmitter.clear_fault(order[i]);
    }
    EXPECT_NEAR(level_of(transmitter.step_ma(6)), 6, 1e-9);
}

TEST(TransmitterFault, several_falsify_at_once) {
    Transmitter transmitter({0, 8, 0, 0, 0}, scan_s, 1);
    transmitter.set_fault(FaultKind::offset, 1);
    transmitter.set_fault(FaultKind::drift, 0.1);
    EXPECT_NEAR(level_of(transmitter.step_ma(4)), 5.01, 1e-6);
}

TEST(TransmitterFault, of_another_device_is_refused) {
    Transmitter transmitter(quiet, scan_s, 1);
    EXPECT_FALSE(transmitter.set_fault(FaultKind::stuck_on, 0));
    EXPECT_FALSE(transmitter.clear_fault(FaultKind::link_lost));
    EXPECT_NEAR(transmitter.step_ma(4), 12, 1e-9);
}

TEST(Transmitter, takes_its_design_from_the_station) {
    const TransmitterDesign design = plant::design_of(config::LevelTransmitter{0.5, 6.5, 0.004, 2.0, 0.01});
    EXPECT_EQ(design.value_at_4ma, 0.5);
    EXPECT_EQ(design.value_at_20ma, 6.5);
    EXPECT_EQ(design.noise, 0.004);
    EXPECT_EQ(design.lag_s, 2.0);
    EXPECT_EQ(design.resolution_ma, 0.01);
}

}  // namespace
