// The estimate of the inflow against direct fits, and against many runs of noise.
// One reason to change: how the inflow is estimated from the balance.
#include "controller/core/inflow_estimate.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <random>
#include <vector>

namespace freshet::core {
namespace {

constexpr double longest_memory = 324;
constexpr double noise_m3 = 0.4;  ///< 2 mm on 200 m2

/// Readings of a store once a second: a true inflow, pumps, and a transmitter with noise.
class Readings {
  public:
    explicit Readings(std::uint32_t seed, double noise = noise_m3) : random_(seed), noise_(0, noise) {}

    double inflow_m3s = 1.3, outflow_m3s = 0.9;
    double volume_m3 = 400;

    double read_m3() { return volume_m3 + noise_(random_); }
    BalanceSample next() {
        volume_m3 += inflow_m3s - outflow_m3s;
        return {read_m3(), outflow_m3s, noise_.stddev(), 1};
    }

  private:
    std::mt19937 random_;
    std::normal_distribution<double> noise_;
};

/// The slope of the least-squares line through the values, a second apart (source: the normal equations,
/// common practice): sum (t - mean t)(v - mean v) / sum (t - mean t)^2.
double slope_of(const std::vector<double>& values) {
    const auto count = static_cast<double>(values.size());
    const double mean_t = (count - 1) / 2;
    double mean = 0, product = 0, square = 0;
    for (const double value : values) mean += value / count;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const double t = static_cast<double>(i) - mean_t;
        product += t * (values[i] - mean);
        square += t * t;
    }
    return product / square;
}

/// Standard deviation about a true value.
double deviation_from(double truth, const std::vector<double>& values) {
    double squares = 0;
    for (const double value : values) squares += (value - truth) * (value - truth);
    return std::sqrt(squares / static_cast<double>(values.size()));
}

/// An estimate after `samples` readings, the start among them.
InflowEstimate after(int samples, Readings& readings, double longest = longest_memory) {
    InflowEstimate estimate;
    estimate.start_at(readings.read_m3(), 0);
    for (int i = 1; i < samples; ++i) estimate.step(readings.next(), longest);
    return estimate;
}

TEST(InflowEstimate, is_the_slope_of_the_direct_fit_through_all_readings) {
    Readings readings(1);
    std::mt19937 dice(2);
    std::uniform_real_distribution<double> pumped_m3s(0, 2);
    InflowEstimate estimate;
    const double first_m3 = readings.read_m3();
    std::vector<double> flowed_in_m3{first_m3};
    estimate.start_at(first_m3, 7);
    double pumped_m3 = 0;
    for (int i = 1; i < 300; ++i) {
        readings.outflow_m3s = pumped_m3s(dice);
        const BalanceSample sample = readings.next();
        estimate.step(sample, longest_memory);
        pumped_m3 += sample.outflow_m3s;
        flowed_in_m3.push_back(sample.volume_m3 + pumped_m3);
        ASSERT_NEAR(estimate.inflow_m3s(), slope_of(flowed_in_m3), 1e-9) << i + 1 << " readings";
    }
}

TEST(InflowEstimate, doubts_itself_by_the_deviation_that_many_runs_of_noise_show) {
    for (const int samples : {3, 8, 20, 60, 200}) {
        std::vector<double> found_m3s;
        double doubt_m3s = 0, truth_m3s = 0;
        for (std::uint32_t seed = 0; seed < 3000; ++seed) {
            Readings readings(seed);
            const InflowEstimate estimate = after(samples, readings);
            found_m3s.push_back(estimate.inflow_m3s());
            doubt_m3s = estimate.doubt_m3s();
            truth_m3s = readings.inflow_m3s;
        }
        EXPECT_NEAR(deviation_from(truth_m3s, found_m3s), doubt_m3s, 0.05 * doubt_m3s) << samples;
    }
}

TEST(InflowEstimate, with_a_full_memory_is_at_most_as_far_off_as_its_doubt) {
    for (const double memory : {12, 36, 108}) {
        Readings readings(3);
        InflowEstimate estimate = after(10 * static_cast<int>(memory), readings, memory);
        std::vector<double> found_m3s;
        for (int i = 0; i < 50'000; ++i) {
            estimate.step(readings.next(), memory);
            found_m3s.push_back(estimate.inflow_m3s());
        }
        const double deviation_m3s = deviation_from(readings.inflow_m3s, found_m3s);
        EXPECT_LE(deviation_m3s, estimate.doubt_m3s()) << memory;
        EXPECT_GE(deviation_m3s, 0.5 * estimate.doubt_m3s()) << memory;
    }
}

TEST(InflowEstimate, has_no_value_to_trust_before_the_third_reading) {
    Readings readings(4);
    const double more_than_any_station_m3s = 1e6;
    EXPECT_GT(after(1, readings).doubt_m3s(), more_than_any_station_m3s);
    EXPECT_GT(after(2, readings).doubt_m3s(), more_than_any_station_m3s);
    EXPECT_LT(after(3, readings).doubt_m3s(), noise_m3);
}

/// Seconds until the estimate is and stays within a tenth of a step of the inflow.
int seconds_to_find(double step_m3s, std::uint32_t seed) {
    Readings readings(seed);
    InflowEstimate estimate = after(2000, readings);
    readings.inflow_m3s += step_m3s;
    int found_s = 0;
    for (int second = 1; second <= 400; ++second) {
        estimate.step(readings.next(), longest_memory);
        if (std::abs(estimate.inflow_m3s() - readings.inflow_m3s) > 0.1 * std::abs(step_m3s))
            found_s = second;
    }
    return found_s + 1;
}

TEST(InflowEstimate, finds_a_great_step_within_forty_seconds_and_a_small_step_within_two_minutes) {
    for (std::uint32_t seed = 0; seed < 200; ++seed) {
        EXPECT_LE(seconds_to_find(+1.0, seed), 40) << seed;
        EXPECT_LE(seconds_to_find(-1.0, seed), 40) << seed;
        EXPECT_LE(seconds_to_find(+0.2, seed), 120) << seed;
    }
}

TEST(InflowEstimate, is_never_restarted_by_noise_alone) {
    Readings readings(5);
    InflowEstimate estimate = after(1000, readings);
    const double full_doubt_m3s = estimate.doubt_m3s();
    const int day_and_more_s = 100'000;
    int restarts = 0;
    for (int i = 0; i < day_and_more_s; ++i) {
        estimate.step(readings.next(), longest_memory);
        restarts += estimate.doubt_m3s() > full_doubt_m3s ? 1 : 0;
    }
    EXPECT_EQ(restarts, 0);
}

TEST(InflowEstimate, keeps_its_slope_when_the_reading_jumps_and_no_water_came) {
    Readings readings(6);
    InflowEstimate estimate = after(1000, readings);
    const double before_m3s = estimate.inflow_m3s(), before_m3 = estimate.volume_m3();
    const double jump_m3 = 60;
    estimate.shift(jump_m3);
    EXPECT_EQ(estimate.inflow_m3s(), before_m3s);
    EXPECT_DOUBLE_EQ(estimate.volume_m3(), before_m3 + jump_m3);
    readings.volume_m3 += jump_m3;
    for (int i = 0; i < 100; ++i) {
        estimate.step(readings.next(), longest_memory);
        ASSERT_NEAR(estimate.inflow_m3s(), readings.inflow_m3s, 0.02) << i;
    }
}

TEST(InflowEstimate, carries_the_volume_over_a_gap_at_the_inflow_that_it_knew) {
    Readings readings(7);
    InflowEstimate estimate = after(1000, readings);
    const double inflow_m3s = estimate.inflow_m3s(), before_m3 = estimate.volume_m3();
    const double outflow_m3s = 0.2, gap_s = 40;
    estimate.carry_over(outflow_m3s, gap_s);
    EXPECT_EQ(estimate.inflow_m3s(), inflow_m3s);
    EXPECT_NEAR(estimate.volume_m3(), before_m3 + (inflow_m3s - outflow_m3s) * gap_s, 1e-9);
}

TEST(InflowEstimate, is_as_right_after_a_gap_as_before_because_no_noisy_slope_was_carried_over) {
    Readings readings(10);
    InflowEstimate estimate = after(1000, readings);
    const int gap_s = 40;
    readings.volume_m3 += (readings.inflow_m3s - readings.outflow_m3s) * gap_s;
    estimate.carry_over(readings.outflow_m3s, gap_s);
    for (int i = 0; i < 100; ++i) {
        estimate.step(readings.next(), longest_memory);
        ASSERT_NEAR(estimate.inflow_m3s(), readings.inflow_m3s, 0.02) << i;
    }
}

TEST(InflowEstimate, has_the_volume_without_most_of_its_noise) {
    Readings readings(8);
    InflowEstimate estimate = after(1000, readings);
    std::vector<double> off_m3;
    for (int i = 0; i < 10'000; ++i) {
        estimate.step(readings.next(), longest_memory);
        off_m3.push_back(estimate.volume_m3() - readings.volume_m3);
    }
    EXPECT_LT(deviation_from(0, off_m3), noise_m3 * 2 / std::sqrt(longest_memory));
}

TEST(InflowEstimate, goes_on_without_a_step_when_the_memory_becomes_longer) {
    Readings readings(9);
    const double short_memory = 12;
    InflowEstimate estimate = after(1000, readings, short_memory);
    const double before_m3s = estimate.inflow_m3s();
    estimate.step(readings.next(), longest_memory);
    EXPECT_NEAR(estimate.inflow_m3s(), before_m3s, 0.1);
    for (int i = 0; i < 1000; ++i) estimate.step(readings.next(), longest_memory);
    EXPECT_NEAR(estimate.inflow_m3s(), readings.inflow_m3s, 3 * estimate.doubt_m3s());
}

// How fast the inflow rises
// ------------------------------------------------------------

TEST(Rise, of_a_steady_ramp_is_found_and_never_overestimated_by_much) {
    Readings readings(11);
    InflowEstimate estimate = after(1000, readings);
    const double rise_m3s2 = 0.01;
    double found_m3s2 = 0;
    for (int i = 0; i < 120; ++i) {
        readings.inflow_m3s += rise_m3s2;
        estimate.step(readings.next(), longest_memory);
        found_m3s2 = std::max(found_m3s2, estimate.rise_m3s2());
    }
    EXPECT_GT(found_m3s2, 0.3 * rise_m3s2);
    EXPECT_LT(found_m3s2, 1.5 * rise_m3s2);
}

TEST(Rise, of_a_constant_inflow_is_zero) {
    Readings readings(12);
    InflowEstimate estimate = after(1000, readings);
    for (int i = 0; i < 20'000; ++i) {
        estimate.step(readings.next(), longest_memory);
        ASSERT_EQ(estimate.rise_m3s2(), 0) << i;
    }
}

TEST(Rise, of_a_step_is_over_after_two_minutes) {
    Readings readings(13);
    InflowEstimate estimate = after(1000, readings);
    readings.inflow_m3s += 1;
    for (int i = 0; i < 120; ++i) estimate.step(readings.next(), longest_memory);
    EXPECT_EQ(estimate.rise_m3s2(), 0);
}

TEST(Rise, is_not_judged_across_a_gap) {
    Readings readings(14);
    InflowEstimate estimate = after(1000, readings);
    for (int i = 0; i < 120; ++i) {
        readings.inflow_m3s += 0.01;
        estimate.step(readings.next(), longest_memory);
    }
    ASSERT_GT(estimate.rise_m3s2(), 0);
    estimate.carry_over(readings.outflow_m3s, 30);
    EXPECT_EQ(estimate.rise_m3s2(), 0);
    estimate.start_at(readings.read_m3(), readings.inflow_m3s + 5);
    for (int i = 0; i < 45; ++i) estimate.step(readings.next(), longest_memory);
    EXPECT_EQ(estimate.rise_m3s2(), 0) << "the inflow before the gap says nothing";
}

TEST(InflowEstimate, of_a_store_that_loses_more_than_the_pumps_take_is_zero) {
    Readings readings(15);
    readings.inflow_m3s = -0.3;
    EXPECT_EQ(after(300, readings).inflow_m3s(), 0);
}

TEST(InflowEstimate, is_not_known_before_its_start_and_after_it_was_forgotten) {
    InflowEstimate estimate;
    EXPECT_FALSE(estimate.known());
    estimate.start_at(100, 0.5);
    EXPECT_TRUE(estimate.known());
    estimate.forget();
    EXPECT_FALSE(estimate.known());
}

}  // namespace
}  // namespace freshet::core
