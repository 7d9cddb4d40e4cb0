// Cases in which water went over the weir, or nearly did, while pumps were idle. Each case prints its
// figures. The bound in a case is the figure of the present controller, and the comment behind the bound
// names the aim.
// One reason to change: a case, or the figure that a case may have.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <iostream>
#include <string>
#include <vector>

#include "tests/property/operator_cases/watched_run.hpp"

namespace freshet::operator_cases {
namespace {

using config::FaultKind;

/// From a small inflow to a large one at `at_s`, and constant from there.
std::vector<config::SeriesPoint> risen(double from_m3s, double to_m3s, double at_s, double rise_s,
                                       double hours) {
    return {{0, from_m3s}, {at_s, from_m3s}, {at_s + rise_s, to_m3s}, {hours * s_per_h, to_m3s}};
}

TEST(OperatorCase, six_big_pumps_at_a_constant_inflow_of_less_than_half_their_flow) {
    // One pump of the demonstration delivers 0.60 m3/s with all pumps on. Six pumps here deliver 124 m3/s.
    constexpr double ratio = 124 / (6 * 0.60), inflow_m3s = 55;
    Case one = scaled_well(6, ratio, risen(0, inflow_m3s, 0, 1, 12), 2.2);
    one.settings.permissives.transfers_per_hour_max = 6;
    const Watched figures = watched_run(one);
    print("six big pumps at 55 m3/s for 12 h", figures);
    EXPECT_EQ(figures.overflow_m3, 0);
    EXPECT_LE(figures.transfers(), 2);  // one for each pump on the line
    EXPECT_EQ(figures.line_stops, 0);
}

TEST(OperatorCase, gusts_for_an_hour_and_then_an_inflow_that_needs_three_pumps) {
    std::vector<config::SeriesPoint> inflow{{0, 0.4}};
    // From what one pump carries to what three pumps carry and back, every eight minutes.
    constexpr double half_s = 240, high_m3s = 1.6, low_m3s = 0.6;
    for (double t_s = half_s; t_s < s_per_h; t_s += 2 * half_s) {
        inflow.push_back({t_s, high_m3s});
        inflow.push_back({t_s + half_s, low_m3s});
    }
    inflow.push_back({inflow.back().t_s + s_per_min, 1.95});
    inflow.push_back({2 * s_per_h, 1.95});
    const Watched figures = watched_run(demonstration_well(inflow, 2.2));
    print("a gusty hour, then 1.95 m3/s", figures);
    EXPECT_EQ(figures.overflow_m3, 0);
    EXPECT_EQ(figures.suction_dry_s, 0);
}

TEST(OperatorCase, cold_start_at_a_high_inflow_with_pumps_that_count_as_resting) {
    const Watched figures = watched_run(demonstration_well(constant(2.2, 1), 3.0));
    print("cold start at 2.2 m3/s from 3.0 m", figures);
    EXPECT_EQ(figures.overflow_m3, 0);
}

TEST(OperatorCase, supply_lost_for_a_minute_at_a_high_inflow) {
    Case one = demonstration_well(risen(0.3, 1.95, 600, 900, 2), 2.2);
    one.scenario.faults.push_back(fault("line", FaultKind::lost, s_per_h, 60));
    const Watched figures = watched_run(one);
    print("supply lost for a minute at 1.95 m3/s", figures);
    EXPECT_EQ(figures.overflow_m3, 0);
}

TEST(OperatorCase, seal_leak_of_three_pumps_is_a_warning_and_stops_no_start) {
    Case one = demonstration_well(risen(0.3, 1.95, 600, 900, 3), 2.2);
    for (const std::string pump : {"pump_2", "pump_3", "pump_4"})
        one.scenario.faults.push_back(fault(pump + ".seal_leak", FaultKind::stuck_on));
    const Watched figures = watched_run(one);
    print("seal leak of three pumps at 1.95 m3/s", figures);
    EXPECT_EQ(figures.overflow_m3, 0);
}

TEST(OperatorCase, first_pump_at_a_high_level_takes_full_speed_in_the_time_of_its_ramp) {
    // The level is above the high alarm, and one pump carries the inflow.
    Case one = demonstration_well(constant(0.75, 1), 5.2);
    one.settings.demand.arrest_s = 300;  // as a large well with noisy transmitters needs
    const double full_hz = one.settings.drive.speed_max_hz - 1;
    double on_drive_s = -1, full_s = -1;
    const Watched figures =
        watched_run(one, [&](double t_s, const plant::Plant& plant, const core::Advice& advice) {
            if (on_drive_s < 0 && advice.drive_pump != core::no_pump && plant.electrical().drive_running)
                on_drive_s = t_s;
            if (full_s < 0 && plant.electrical().drive_frequency_hz >= full_hz) full_s = t_s;
        });
    print("first pump at 5.2 m", figures);
    std::cout << "from drive running to full speed " << full_s - on_drive_s << " s\n";
    ASSERT_GE(on_drive_s, 0);
    ASSERT_GE(full_s, 0) << "the pump never reached full speed";
    EXPECT_LE(full_s - on_drive_s, 45);  // the ramp takes 30 s
    EXPECT_EQ(figures.overflow_m3, 0);
}

TEST(OperatorCase, estimate_of_the_inflow_at_the_crest_of_an_overflow) {
    // People have switched two pumps off, and the other two deliver 1.47 m3/s.
    Case one = demonstration_well(risen(0.3, 1.95, 600, 900, 2), 2.2);
    for (const std::string pump : {"pump_3", "pump_4"})
        one.scenario.faults.push_back(fault(pump, FaultKind::selector_off));
    double farthest_off = 0, estimate_m3s = 0;
    constexpr double crest_from_s = 1.5 * s_per_h;
    const Watched figures =
        watched_run(one, [&](double t_s, const plant::Plant& plant, const core::Advice& advice) {
            if (t_s < crest_from_s) return;
            const double off = std::abs(advice.inflow_m3s / plant.inflow_m3s() - 1);
            if (off > farthest_off) estimate_m3s = advice.inflow_m3s;
            farthest_off = std::max(farthest_off, off);
        });
    print("two pumps at 1.95 m3/s, over the weir", figures);
    std::cout << "estimate farthest off " << estimate_m3s << " m3/s, by " << 100 * farthest_off << " %\n";
    ASSERT_GT(figures.overflow_m3, 100) << "the case has no overflow";
    EXPECT_LE(farthest_off, 0.10);
}

TEST(OperatorCase, transmitter_that_drifts_upwards_while_the_low_float_is_dry) {
    Case one = demonstration_well(constant(0.25, 3), 3.2);
    constexpr double drift_m_s = 0.001;
    one.scenario.faults.push_back(fault("level_1", FaultKind::drift, 1200, 0, drift_m_s));
    one.station.instruments.level.resize(1);
    one.settings.level_transmitter[1] = {};
    const Watched figures = watched_run(one);
    print("the only transmitter drifts by 1 mm/s", figures);
    EXPECT_LE(figures.starts, 4);  // the float exposes the transmitter
    EXPECT_EQ(figures.suction_dry_s, 0);
}

TEST(OperatorCase, both_transmitters_read_low_while_the_high_float_is_wet) {
    Case one = demonstration_well(risen(0.3, 1.95, 600, 900, 3), 2.2);
    for (const std::string transmitter : {"level_1", "level_2"})
        one.scenario.faults.push_back(fault(transmitter, FaultKind::offset, 300, 0, -2.2));
    const Watched figures = watched_run(one);
    print("both transmitters 2.2 m low at 1.95 m3/s", figures);
    EXPECT_EQ(figures.overflow_m3, 0);
}

TEST(OperatorCase, synchroniser_that_fails_in_a_cloudburst) {
    Case one = shipped("cloudburst");
    one.scenario.faults.push_back(fault("drive", FaultKind::never_in_sync));
    const Watched figures = watched_run(one);
    print("cloudburst without synchronism", figures);
    EXPECT_EQ(figures.overflow_m3, 0);
}

}  // namespace
}  // namespace freshet::operator_cases
