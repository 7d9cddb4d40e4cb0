// The volume balance: the inflow at the weir, jumps and gaps of the reading, the flow meter, the inertia of
// the main. One reason to change: from what the inflow is estimated.
#include "controller/core/balance.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>

#include "controller/core/pump_flow.hpp"
#include "controller/core/steady_flow.hpp"
#include "controller/core/store.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

constexpr int readings_a_second = 10;

/// A store, pumps on the line, a transmitter with noise and a flow meter, once a second.
struct MeteredStore {
    Settings settings;
    FlowTable flows;
    Sight sight;
    Balance balance;
    Advice advice;
    double inflow_m3s = 1.0;  ///< into the well, or the demand from the tank
    double level_m = 2.0;
    double curve_ratio = 1;  ///< true flow over the curves' flow
    double jump_m = 0;       ///< error of the reading
    std::mt19937 random{1};
    std::normal_distribution<double> noise_m{0, 0.002};

    explicit MeteredStore(const Settings& of = doubles::four_pumps()) : settings(of), flows(of) {
        sight.signals.measured.quality = Quality::good;
        sight.picture.on_line = 1;
    }
    double pumped_m3s() const { return curve_ratio * flows.total_m3s(sight.picture.on_line, 0, level_m); }
    void pass_second() {
        const double area_m2 = store_area_m2(settings, level_m);
        const double more_m3s = inflow_m3s - pumped_m3s();
        level_m +=
            ((settings.action == Action::direct ? more_m3s : -more_m3s) - weir_m3s(settings, level_m)) /
            area_m2;
        for (int scan = 0; scan < readings_a_second; ++scan) {
            // The noise of a scan is greater than that of the mean of a second.
            const double scan_noise_m = noise_m(random) * std::sqrt(double{readings_a_second});
            sight.signals.measured.value_m = level_m + jump_m + scan_noise_m;
            sight.need_m = need_of(settings, level_m + jump_m);
            add_to_balance(balance, sight, 1.0 / readings_a_second);
        }
        sight.area_m2 = area_m2;
        update_balance(balance, sight, flows, settings, advice);
    }
    void pass(int seconds) {
        for (int i = 0; i < seconds; ++i) pass_second();
    }
};

Settings with_weir(Settings settings) {
    settings.weir = {3.0, 7.0};
    return settings;
}

TEST(Balance, finds_the_inflow_from_level_and_curves) {
    MeteredStore station;
    station.pass(300);
    EXPECT_NEAR(station.balance.estimate.inflow_m3s(), station.inflow_m3s, 0.02);
    EXPECT_NEAR(station.advice.inflow_m3s, station.inflow_m3s, 0.02);
    EXPECT_NEAR(station.advice.pumped_m3s, station.pumped_m3s(), 0.002);
}

TEST(Balance, is_right_at_the_crest_while_water_goes_over_the_weir) {
    MeteredStore station(with_weir(doubles::four_pumps()));
    station.level_m = 2.9;
    station.inflow_m3s = 1.95;
    station.pass(900);
    ASSERT_GT(weir_m3s(station.settings, station.level_m), 0.5 * (1.95 - station.pumped_m3s()));
    EXPECT_NEAR(station.advice.inflow_m3s, station.inflow_m3s, 0.05 * station.inflow_m3s);
}

TEST(Balance, of_a_tank_finds_the_demand_and_not_what_goes_over_the_weir) {
    MeteredStore station(doubles::four_pumps_filling_a_tank());
    station.settings.weir = {2.5, 7.0};
    station.level_m = 2.4;
    station.inflow_m3s = 0.3;
    station.pass(600);
    ASSERT_GT(weir_m3s(station.settings, station.level_m), 0.1);
    EXPECT_NEAR(station.advice.inflow_m3s, station.inflow_m3s, 0.05);
}

TEST(Balance, takes_a_jump_of_the_reading_for_no_water) {
    MeteredStore station;
    station.pass(300);
    station.jump_m = 0.6;
    for (int second = 0; second < 120; ++second) {
        station.pass_second();
        ASSERT_NEAR(station.advice.inflow_m3s, station.inflow_m3s, 0.05) << second;
    }
}

TEST(Balance, is_corrected_by_the_flow_meter) {
    MeteredStore station;
    station.curve_ratio = 0.95;
    station.sight.station_flow_known = true;
    for (int second = 0; second < 1200; ++second) {
        station.sight.station_flow_m3s = station.pumped_m3s();
        station.pass_second();
    }
    EXPECT_NEAR(station.balance.flow_ratio, 0.95, 0.002);
    EXPECT_NEAR(station.advice.pumped_m3s, station.pumped_m3s(), 0.005);
    EXPECT_NEAR(station.advice.inflow_m3s, station.inflow_m3s, 0.02);
}

TEST(Balance, believes_a_flow_meter_up_to_a_tenth_off_the_curves) {
    MeteredStore station;
    station.sight.station_flow_known = true;
    station.sight.station_flow_m3s = 0.5 * station.pumped_m3s();
    station.pass(3600);
    EXPECT_NEAR(station.balance.flow_ratio, 0.9, 0.001);
}

TEST(Balance, learns_nothing_from_a_flow_meter_behind_the_vessel_of_a_booster) {
    MeteredStore station;
    station.settings.measured = Measured::header_pressure;
    station.sight.station_flow_known = true;
    station.sight.station_flow_m3s = 0.9 * station.pumped_m3s();
    station.pass(600);
    EXPECT_EQ(station.balance.flow_ratio, 1);
}

TEST(Balance, learns_nothing_from_a_flow_meter_while_no_pump_runs) {
    MeteredStore station;
    station.sight.picture.on_line = 0;
    station.sight.station_flow_known = true;
    station.pass(600);
    EXPECT_EQ(station.balance.flow_ratio, 1);
}

/// Passes `seconds` behind a transmitter with `lag_s`, and returns how far the estimate was from the inflow at
/// most, m3/s.
double most_wrong_m3s(MeteredStore& station, double lag_s, int seconds) {
    double lagged_m = station.level_m, wrong_m3s = 0;
    for (int second = 0; second < seconds; ++second) {
        lagged_m += (station.level_m - lagged_m) * -std::expm1(-1 / lag_s);
        station.jump_m = lagged_m - station.level_m;
        station.pass_second();
        wrong_m3s = std::max(wrong_m3s, std::abs(station.advice.inflow_m3s - station.inflow_m3s));
    }
    return wrong_m3s;
}

TEST(Balance, takes_neither_a_start_nor_a_stop_behind_a_transmitter_that_lags_for_a_change_of_inflow) {
    constexpr double lag_s = 1.5, share = 0.2;
    MeteredStore station;
    station.settings.store[1].volume_m3 = 20 * station.settings.store[1].level_m;  // the level moves quickly
    station.inflow_m3s = station.pumped_m3s();
    most_wrong_m3s(station, lag_s, 300);
    station.sight.picture.on_line = 2;
    EXPECT_LT(most_wrong_m3s(station, lag_s, 20), share * station.inflow_m3s);
    station.sight.picture.on_line = 1;
    EXPECT_LT(most_wrong_m3s(station, lag_s, 20), share * station.inflow_m3s);
}

TEST(Balance, keeps_the_inflow_through_a_gap_of_a_minute_and_forgets_it_after) {
    MeteredStore station;
    station.pass(300);
    const double before_m3s = station.balance.estimate.inflow_m3s();
    station.sight.signals.measured.quality = Quality::uncertain;
    station.pass(59);
    EXPECT_TRUE(station.balance.estimate.known());
    EXPECT_EQ(station.balance.estimate.inflow_m3s(), before_m3s);
    station.pass(2);
    EXPECT_FALSE(station.balance.estimate.known());
}

TEST(Balance, finds_the_same_inflow_after_a_short_gap) {
    MeteredStore station;
    station.pass(300);
    station.sight.signals.measured.quality = Quality::bad;
    station.pass(40);
    station.sight.signals.measured.quality = Quality::good;
    for (int second = 0; second < 60; ++second) {
        station.pass_second();
        ASSERT_NEAR(station.advice.inflow_m3s, station.inflow_m3s, 0.05) << second;
    }
}

// The rigid column I dQ/dt = head of the pumps - static head - loss, solved here by many small explicit steps
// (common practice), apart from the implicit step of the core.
TEST(Balance, lets_the_flow_of_one_more_pump_rise_with_the_inertia_of_the_main) {
    MeteredStore station;
    station.settings.main_inertia_s2m2 = 60;
    station.pass(60);
    const double before_m3s = station.balance.pumped_m3s;
    station.sight.picture.on_line = 2;
    station.pass(5);
    const Settings& settings = station.settings;
    const PumpFlow pump(settings);
    const double static_m = settings.discharge_level_m - station.level_m, step_s = 1e-3;
    double flow_m3s = before_m3s;
    for (double time_s = 0; time_s < 5; time_s += step_s) {
        // The head at which two pumps deliver the flow of the column.
        double low_m = 0, high_m = 30;
        for (int i = 0; i < 40; ++i) {
            const double head_m = 0.5 * (low_m + high_m);
            (2 * pump.at_line_m3s(head_m) > flow_m3s ? low_m : high_m) = head_m;
        }
        flow_m3s +=
            step_s * (low_m - static_m - main_loss_m(settings, flow_m3s)) / settings.main_inertia_s2m2;
    }
    const double settled_m3s = station.flows.total_m3s(2, 0, station.level_m);
    ASSERT_GT(settled_m3s - flow_m3s, 0.1 * (settled_m3s - before_m3s)) << "the column still moves";
    EXPECT_NEAR(station.balance.pumped_m3s, flow_m3s, 0.1 * (settled_m3s - before_m3s));
    station.pass(200);
    EXPECT_NEAR(station.balance.pumped_m3s, station.flows.total_m3s(2, 0, station.level_m), 0.005);
}

TEST(Balance, counts_a_drive_pump_that_the_closed_output_feeds) {
    MeteredStore station;
    station.sight.picture.drive_side_closed = bit_of(1);
    station.sight.picture.output_closed = station.sight.picture.drive_running =
        station.sight.picture.drive_hz_known = true;
    station.sight.picture.drive_hz = 55;
    station.pass(2);
    EXPECT_NEAR(station.advice.pumped_m3s, station.flows.total_m3s(1, 55, station.level_m), 0.01);
    station.sight.picture.output_closed = false;
    station.pass(2);
    EXPECT_NEAR(station.advice.pumped_m3s, station.flows.total_m3s(1, 0, station.level_m), 0.01);
}

TEST(Balance, doubts_the_inflow_of_a_cold_start_by_what_many_cold_starts_show) {
    for (const double noise_m : {0.002, 0.005, 0.010}) {
        const int starts = 300;
        double squares = 0, doubts = 0;
        int beyond = 0;
        for (int start = 0; start < starts; ++start) {
            MeteredStore station;
            station.random.seed(static_cast<std::uint32_t>(start));
            station.noise_m = std::normal_distribution<double>(0, noise_m);
            station.pass(10);
            const double off_m3s = station.balance.estimate.inflow_m3s() - station.inflow_m3s;
            const double doubt_m3s = station.balance.estimate.doubt_m3s();
            squares += off_m3s * off_m3s;
            doubts += doubt_m3s;
            beyond += off_m3s > 1.5 * doubt_m3s ? 1 : 0;
        }
        EXPECT_LT(std::sqrt(squares / starts), 1.5 * doubts / starts) << noise_m;
        EXPECT_LT(beyond, starts / 5) << noise_m;
    }
}

// The noise of the readings
// ------------------------------------------------------------

constexpr double least_m = 2.5e-4;

/// The noise that is found in readings of a level that rises by `rise_m` a second.
double found_noise_m(double noise_m, double rise_m, int readings) {
    std::mt19937 random(2);
    std::normal_distribution<double> noise(0, noise_m);
    MeasuredNoise found;
    double level_m = 2;
    for (int i = 0; i < readings; ++i) found.take((level_m += rise_m) + noise(random), least_m);
    return found.deviation_m();
}

TEST(MeasuredNoise, is_the_deviation_of_the_readings_about_a_level_that_stays_or_rises) {
    const double noise_m = 0.003;
    EXPECT_NEAR(found_noise_m(noise_m, 0, 2000), noise_m, 0.25 * noise_m);
    EXPECT_NEAR(found_noise_m(noise_m, 0.01, 2000), noise_m, 0.25 * noise_m);
}

TEST(MeasuredNoise, grows_little_by_one_reading_far_off) {
    std::mt19937 random(3);
    const double noise_m = 0.003;
    std::normal_distribution<double> noise(0, noise_m);
    MeasuredNoise found;
    for (int i = 0; i < 500; ++i) found.take(2 + noise(random), least_m);
    const double before_m = found.deviation_m();
    found.take(3, least_m);
    EXPECT_LT(found.deviation_m(), 1.2 * before_m);
}

TEST(MeasuredNoise, is_not_learned_across_a_gap) {
    MeasuredNoise found;
    for (int i = 0; i < 100; ++i) found.take(2, least_m);
    const double before_m = found.deviation_m();
    found.interrupt();
    found.take(3, least_m);
    found.take(3, least_m);
    EXPECT_EQ(found.deviation_m(), before_m);
}

}  // namespace
}  // namespace freshet::core
