// The speed of the drive pump: it follows the inflow, holds the value in the deadband, draws at minimum flow
// in a band, and is full at the high mark. One reason to change: which speed the drive pump gets.
#include "controller/core/following.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <random>

#include "controller/core/store.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

constexpr int scans_a_second = 10;
constexpr double scan_s = 1.0 / scans_a_second;

/// A well with `on_line` pumps on the line and one pump on the drive, which runs at the demand.
struct Station {
    Settings settings = doubles::four_pumps();
    FlowTable flows{settings};
    NeedMarks marks = need_marks(settings);
    WaterDuty duty;
    SequencerState sequencer;
    Sight sight;
    Balance balance;
    Advice advice;
    Following following;
    Service service = Service::normal;
    double inflow_m3s = 0.6;
    double level_m = 2.0;
    std::mt19937 random{1};
    std::normal_distribution<double> noise_m{0, 0.002};

    explicit Station(std::uint8_t on_line = 0) {
        duty.marks = marks;
        sequencer.drive_pump = on_line;
        sight.signals.measured.quality = Quality::good;
        Picture& picture = sight.picture;
        picture.time_ms = 0;
        picture.on_line = on_line;
        picture.line_side_closed = static_cast<PumpMask>(bit_of(on_line) - 1U);
        picture.drive_side_closed = bit_of(on_line);
        picture.output_closed = picture.drive_running = picture.drive_hz_known = true;
        picture.drive_hz = 55;
        sight.area_m2 = store_area_m2(settings, level_m);
    }
    double lowest_hz() const { return flows.minimum_flow_hz(sight.picture.on_line, level_m); }
    double least_m3s() const { return flows.total_m3s(sight.picture.on_line, lowest_hz(), level_m); }
    double most_m3s() const { return flows.total_m3s(sight.picture.on_line, 60, level_m); }
    void see(double value_m) {
        sight.signals.measured.value_m = value_m;
        sight.need_m = need_of(settings, value_m);
    }
    void scan() {
        follow(following, sight, sequencer, service, lowest_hz(), scan_s, settings);
        sight.picture.drive_hz = following.speed_hz;
    }
    void pass_second() {
        for (int i = 0; i < scans_a_second; ++i) {
            const double pumped_m3s = flows.total_m3s(sight.picture.on_line, following.speed_hz, level_m);
            level_m += scan_s * (inflow_m3s - pumped_m3s) / sight.area_m2;
            see(level_m + noise_m(random) * std::sqrt(double{scans_a_second}));
            scan();
            add_to_balance(balance, sight, scan_s);
        }
        constexpr std::int64_t second_ms = 1000;
        sight.picture.time_ms += second_ms;
        update_balance(balance, sight, flows, settings, advice);
        aim(following, sight, balance, service, lowest_hz(), duty, flows, settings);
    }
    void pass(int seconds) {
        for (int i = 0; i < seconds; ++i) pass_second();
    }
    /// Passes the time, and gives how far the speed moved in it.
    double width_hz(int seconds) {
        double low_hz = following.speed_hz, high_hz = following.speed_hz;
        for (int i = 0; i < seconds; ++i) {
            pass_second();
            low_hz = std::min(low_hz, following.speed_hz);
            high_hz = std::max(high_hz, following.speed_hz);
        }
        return high_hz - low_hz;
    }
    /// The level stays at a mark for so long that the speed is where that level puts it.
    void hold_at(double value_m, int seconds = 60) {
        for (int i = 0; i < seconds; ++i) {
            level_m = value_m;
            pass_second();
        }
    }
};

TEST(Following, keeps_the_speed_within_two_tenths_of_a_hertz_at_a_constant_inflow) {
    for (std::uint8_t on_line = 0; on_line < 3; ++on_line) {
        Station station(on_line);
        station.inflow_m3s = 0.5 * (station.least_m3s() + station.most_m3s());
        station.pass(40 * 60);
        EXPECT_LE(std::abs(need_of(station.settings, station.level_m)), station.marks.deadband_m + 0.02);
        EXPECT_LE(station.width_hz(60 * 60), 0.2) << int{on_line} << " on the line";
        EXPECT_LE(std::abs(need_of(station.settings, station.level_m)), station.marks.deadband_m + 0.02);
    }
}

TEST(Following, brings_the_level_back_although_the_correction_is_smaller_than_the_noise_of_the_speed) {
    for (const double side : {-1.0, 1.0}) {
        Station station;
        station.settings.demand.arrest_s = 3000;
        station.noise_m = std::normal_distribution<double>{0, 0.0001};
        const double beyond_m = 0.015, near_m = 0.003;
        station.level_m = 2.0 + side * (station.marks.deadband_m + beyond_m);
        const double balanced_hz = 50;
        station.following = {balanced_hz, balanced_hz, 0};
        station.inflow_m3s = station.flows.total_m3s(0, balanced_hz, station.level_m);
        station.pass(3 * 60 * 60);
        EXPECT_LE(std::abs(need_of(station.settings, station.level_m)), station.marks.deadband_m + near_m);
    }
}

TEST(Following, brings_the_level_back_into_the_deadband_after_a_step_of_the_inflow) {
    Station station;
    station.pass(20 * 60);
    const double step_m3s = 0.15;
    station.inflow_m3s += step_m3s;
    double highest_m = station.level_m;
    for (int second = 0; second < 10 * 60; ++second) {
        station.pass_second();
        highest_m = std::max(highest_m, station.level_m);
    }
    const double half_minute_s = 30;
    EXPECT_LT(highest_m,
              station.settings.marks.setpoint_m + station.marks.deadband_m + step_m3s * half_minute_s / 200);
    EXPECT_LE(std::abs(need_of(station.settings, station.level_m)), station.marks.deadband_m + 0.02);
}

TEST(Following, draws_at_minimum_flow_in_the_band_that_no_combination_holds) {
    Station station(1);
    station.level_m = 2.0 + 0.5 * station.marks.stage_up_m;
    const double alone_m3s = station.flows.total_m3s(1, 0, station.level_m);
    station.inflow_m3s = 0.5 * (alone_m3s + station.least_m3s());
    station.pass(5 * 60);
    ASSERT_GT(station.sight.need_m, station.marks.deadband_m);
    EXPECT_NEAR(station.following.speed_hz, station.lowest_hz(), 1e-9);
}

TEST(Following, empties_the_store_at_the_edge_of_the_band_so_that_the_next_surge_finds_room) {
    for (const double below_m3s : {0.0, 0.002, 0.02}) {
        Station station(1);
        station.level_m = 2.0 + 0.8 * station.marks.stage_up_m;
        station.inflow_m3s = station.least_m3s() - below_m3s;
        const double before_m = station.level_m;
        station.pass(60 * 60);
        EXPECT_LT(station.level_m, 0.5 * (before_m + station.settings.marks.setpoint_m)) << below_m3s;
    }
}

TEST(Following, aims_at_full_speed_at_the_high_mark_and_in_proportion_below_however_slow_the_trim_is) {
    Station station;
    station.settings.demand.arrest_s = 3600;
    station.inflow_m3s = 0.5;
    station.pass(20 * 60);
    const auto aimed_hz = [&](double value_m) {
        station.see(value_m);
        aim(station.following, station.sight, station.balance, station.service, station.lowest_hz(),
            station.duty, station.flows, station.settings);
        return station.following.aim_hz;
    };
    const double stage_up_m = station.settings.marks.stage_up_m, high_m = station.settings.marks.high_alarm_m;
    const double full_hz = station.settings.drive.speed_max_hz;
    const double middle_hz = 0.5 * (station.lowest_hz() + full_hz);
    EXPECT_LT(aimed_hz(stage_up_m), middle_hz);
    EXPECT_NEAR(aimed_hz(0.5 * (stage_up_m + high_m)), middle_hz, 0.2);
    const double noise_m = 0.02;
    EXPECT_EQ(aimed_hz(high_m + noise_m), full_hz);
}

TEST(Following, runs_at_the_minimum_flow_while_a_booster_sleeps_and_faster_past_the_stage_up_mark) {
    Station station;
    station.pass(20 * 60);
    ASSERT_GT(station.following.aim_hz, station.lowest_hz() + 1)
        << "the inflow needs more than the minimum flow";
    station.duty.mode = WaterMode::sleep;
    const auto aimed_hz = [&](double value_m) {
        station.see(value_m);
        aim(station.following, station.sight, station.balance, station.service, station.lowest_hz(),
            station.duty, station.flows, station.settings);
        return std::max(station.following.aim_hz, station.lowest_hz());
    };
    EXPECT_EQ(aimed_hz(station.settings.marks.start_m), station.lowest_hz());
    const double beyond_m = 0.3;
    EXPECT_GT(aimed_hz(station.settings.marks.stage_up_m + beyond_m), station.lowest_hz() + 1);
}

TEST(Following, draws_at_the_speed_of_the_draw_from_the_stage_up_mark_down_to_the_lower_mark) {
    Station station;
    station.pass(20 * 60);
    constexpr double draw_hz = 52;
    station.duty.draw_hz = draw_hz;
    const auto aimed_hz = [&](double value_m) {
        station.see(value_m);
        aim(station.following, station.sight, station.balance, station.service, station.lowest_hz(),
            station.duty, station.flows, station.settings);
        return std::max(station.following.aim_hz, station.lowest_hz());
    };
    EXPECT_NEAR(aimed_hz(station.settings.marks.setpoint_m), draw_hz, 0.1);
    const double below_m = 0.05;
    EXPECT_EQ(aimed_hz(station.settings.marks.stop_m - below_m), station.lowest_hz());
    const double slow_hz = station.lowest_hz() + 1, past_m = 0.02;
    station.duty.draw_hz = slow_hz;
    EXPECT_GT(aimed_hz(station.settings.marks.stage_up_m + past_m), slow_hz + 3) << "the inflow needs more";
}

TEST(Following, leaves_the_speed_unchanged_in_nearly_every_second_of_a_constant_inflow) {
    Station station;
    station.noise_m = std::normal_distribution<double>(0, 0.005);
    station.pass(40 * 60);
    const int seconds = 60 * 60;
    int moved = 0;
    for (int i = 0; i < seconds; ++i) {
        const double before_hz = station.following.speed_hz;
        station.pass_second();
        moved += station.following.speed_hz != before_hz ? 1 : 0;
    }
    EXPECT_LT(moved, seconds / 20);
}

TEST(Following, begins_at_the_present_speed_of_the_drive) {
    Station station;
    station.sight.picture.drive_hz = 52;
    station.see(3.0);
    station.scan();
    EXPECT_EQ(station.following.speed_hz, 52);
}

TEST(Following, moves_no_faster_than_its_rate) {
    Station station;
    station.pass(60);
    station.inflow_m3s = 5;
    station.level_m = station.settings.marks.high_alarm_m;
    double before_hz = station.following.speed_hz;
    for (int second = 0; second < 20; ++second) {
        station.pass_second();
        EXPECT_LE(station.following.speed_hz - before_hz, station.settings.demand.rate_max_hz_s + 1e-9);
        before_hz = station.following.speed_hz;
    }
}

TEST(Following, lets_the_speed_fall_but_not_rise_at_the_limit_of_the_discharge_pressure) {
    Station station;
    station.pass(600);
    station.sight.pressure.high = true;
    const double held_hz = station.following.speed_hz;
    station.hold_at(station.settings.marks.high_alarm_m);
    EXPECT_LE(station.following.speed_hz, held_hz);
    station.hold_at(station.settings.marks.stop_m);
    EXPECT_NEAR(station.following.speed_hz, station.lowest_hz(), 1e-9);
}

TEST(Following, without_a_measured_value_follows_the_last_known_inflow_until_a_float_calls) {
    Station station;
    station.pass(600);
    station.service = Service::floats;
    station.sight.signals.measured.quality = Quality::bad;
    const double before_hz = station.following.speed_hz;
    station.inflow_m3s = 3;
    station.pass(120);
    EXPECT_NEAR(station.following.speed_hz, before_hz, 0.2);
    station.sight.floats.calls = true;
    station.pass(60);
    EXPECT_EQ(station.following.speed_hz, station.settings.drive.speed_max_hz);
}

TEST(Following, in_service_hold_does_not_change_the_speed) {
    Station station;
    station.pass(600);
    station.service = Service::hold;
    const double before_hz = station.following.speed_hz;
    station.inflow_m3s = 3;
    station.pass(60);
    EXPECT_EQ(station.following.speed_hz, before_hz);
}

TEST(Following, stays_within_the_speed_limits_when_the_value_is_not_a_number) {
    Station station;
    station.pass(60);
    station.see(std::numeric_limits<double>::quiet_NaN());
    aim(station.following, station.sight, station.balance, station.service, station.lowest_hz(), station.duty,
        station.flows, station.settings);
    station.scan();
    EXPECT_GE(station.following.speed_hz, station.lowest_hz());
    EXPECT_LE(station.following.speed_hz, station.settings.drive.speed_max_hz);
    station.hold_at(station.settings.marks.high_alarm_m);
    EXPECT_EQ(station.following.speed_hz, station.settings.drive.speed_max_hz);
}

TEST(Following, lets_the_speed_stay_while_the_inflow_is_uncertain) {
    Station station;
    station.see(2.0);
    station.scan();
    add_to_balance(station.balance, station.sight, 1);
    update_balance(station.balance, station.sight, station.flows, station.settings, station.advice);
    const double great_doubt = station.balance.estimate.doubt_m3s();
    ASSERT_GT(great_doubt, station.most_m3s());
    aim(station.following, station.sight, station.balance, station.service, station.lowest_hz(), station.duty,
        station.flows, station.settings);
    const double before_hz = station.following.speed_hz;
    station.scan();
    EXPECT_NEAR(station.following.speed_hz, before_hz, 0.01);
}

}  // namespace
}  // namespace freshet::core
