// A climb to more pumps against calculations by hand. One reason to change: how the time and the flow of a
// step to more pumps are foreseen.
#include "controller/core/climb.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

// A station without friction, so that a pump delivers the same alone and with others: 28 m at 0.3 m3/s and 24 m at
// 0.6 m3/s give 0.45 m3/s at the lift of 26 m. At the minimum flow, 0.2 m3/s at line frequency, the curve has
// 30 - 2 x 0.2 / 0.3 = 28.667 m, so that the speed is 60 sqrt(26 / 28.667) Hz by the affinity laws.
constexpr double pump_m3s = 0.45;
constexpr double minimum_flow_m3s = 0.2;
const double least_pump_hz = doubles::StationDouble::line_hz * std::sqrt(26 / (30 - 2.0 * 0.2 / 0.3));
const double least_pump_m3s = minimum_flow_m3s * least_pump_hz / doubles::StationDouble::line_hz;
// 15 s of synchronising and five contactor moves of 60 ms and a scan each; a ramp of 4 Hz/s and two moves;
// and the speed reference rises by 2 Hz/s.
constexpr double transfer_s = 15 + 5 * 0.16;
const double start_on_drive_s = least_pump_hz / 4 + 2 * 0.16;
const double rise_s = (doubles::StationDouble::line_hz - least_pump_hz) / 2;

Settings without_friction() {
    Settings settings = doubles::four_pumps();
    settings.branch_loss_s2m5 = 0;
    settings.main_points = 0;
    settings.discharge_level_m = 26 + settings.marks.stage_up_m;
    return settings;
}

struct FrictionlessStation {
    Settings settings = without_friction();
    FlowTable flows{settings};
    ClimbStart start;
    FrictionlessStation() {
        start.drive_hz = doubles::StationDouble::line_hz;
        start.pumps_left = 3;
        start.volume_m3 = 400;
        start.value_m = settings.marks.stage_up_m;
    }
    Climb climb(double inflow_m3s) {
        start.inflow_m3s = inflow_m3s;
        return foresee_climb(start, flows, settings);
    }
};

/// A flow of the table is exact to a thousandth of a pump's flow, over a minute.
constexpr double near_m3 = 1e-3 * pump_m3s * 60;

TEST(Climb, of_one_step_peaks_where_the_next_pump_has_risen_to_carry_the_inflow) {
    FrictionlessStation station;
    const double inflow_m3s = 0.7;  // between one pump and two
    const Climb climb = station.climb(inflow_m3s);
    const double by_hand_m3 = 400 + (inflow_m3s - pump_m3s) * (transfer_s + start_on_drive_s);
    EXPECT_NEAR(climb.peak_m3, by_hand_m3, near_m3);
    EXPECT_NEAR(climb.capacity_m3s, 2 * pump_m3s, 1e-3);
    EXPECT_TRUE(climb.carries);
}

TEST(Climb, of_two_steps_peaks_after_the_second) {
    FrictionlessStation station;
    const double inflow_m3s = 1.0;  // between two pumps and three
    const Climb climb = station.climb(inflow_m3s);
    const double while_rising_m3s = 0.5 * ((pump_m3s + least_pump_m3s) + 2 * pump_m3s);
    const double by_hand_m3 = 400 + (inflow_m3s - pump_m3s) * (transfer_s + start_on_drive_s) +
                              (inflow_m3s - while_rising_m3s) * rise_s +
                              (inflow_m3s - 2 * pump_m3s) * (transfer_s + start_on_drive_s);
    EXPECT_NEAR(climb.peak_m3, by_hand_m3, near_m3);
    EXPECT_NEAR(climb.capacity_m3s, 3 * pump_m3s, 1e-3);
    EXPECT_TRUE(climb.carries);
}

TEST(Climb, from_a_free_drive_begins_with_the_start_of_a_pump) {
    FrictionlessStation station;
    station.start.drive_hz = 0;
    station.start.line_pumps = 1;
    const double inflow_m3s = 0.6;
    EXPECT_NEAR(station.climb(inflow_m3s).peak_m3, 400 + (inflow_m3s - pump_m3s) * start_on_drive_s, near_m3);
}

TEST(Climb, counts_the_rise_of_the_drive_pump_to_full_speed) {
    FrictionlessStation station;
    station.start.drive_hz = least_pump_hz;
    station.start.pumps_left = 0;
    const double inflow_m3s = 0.44;
    const Climb climb = station.climb(inflow_m3s);
    EXPECT_NEAR(climb.peak_m3, 400 + (inflow_m3s - 0.5 * (least_pump_m3s + pump_m3s)) * rise_s, near_m3);
    EXPECT_TRUE(climb.carries);
}

TEST(Climb, is_not_needed_while_what_runs_carries_the_inflow) {
    FrictionlessStation station;
    const Climb climb = station.climb(0.4);
    EXPECT_EQ(climb.peak_m3, station.start.volume_m3);
    EXPECT_TRUE(climb.carries);
}

TEST(Climb, ends_with_the_pumps_that_there_are) {
    FrictionlessStation station;
    station.start.pumps_left = 1;
    const Climb climb = station.climb(1.0);
    EXPECT_NEAR(climb.capacity_m3s, 2 * pump_m3s, 1e-3);
    EXPECT_FALSE(climb.carries);
}

TEST(Climb, is_longer_by_its_margin) {
    FrictionlessStation station;
    const double rise_m3 = station.climb(1.0).peak_m3 - 400;
    station.start.margin = 1.5;
    EXPECT_NEAR(station.climb(1.0).peak_m3 - 400, 1.5 * rise_m3, 1e-9);
}

TEST(Climb, takes_the_flows_that_the_flow_meter_shows) {
    FrictionlessStation station;
    station.start.flow_ratio = 0.95;
    const double inflow_m3s = 0.7;
    EXPECT_NEAR(station.climb(inflow_m3s).peak_m3,
                400 + (inflow_m3s - 0.95 * pump_m3s) * (transfer_s + start_on_drive_s), near_m3);
}

TEST(FreeingTheDrive, lasts_two_ramps_synchronising_and_five_contactor_moves) {
    Settings settings = doubles::four_pumps();
    const std::int64_t moves_ms = 5 * (60 + 100);
    EXPECT_EQ(take_back_ms(settings, 40), 10'000 + 15'000 + 15'000 + moves_ms);
    EXPECT_EQ(take_back_ms(settings, 0), 15'000 + 15'000 + moves_ms) << "the drive is free";
    EXPECT_EQ(bring_up_ms(settings, 40, 40), 15'000 + 15'000 + moves_ms) << "20 Hz up, then 40 Hz at 4 Hz/s";
    EXPECT_EQ(start_on_drive_ms(settings, 40), 10'000 + 2 * (60 + 100)) << "both contactors close";
    settings.drive.ramp_up_hz_s = settings.drive.ramp_down_hz_s = 0;
    EXPECT_EQ(take_back_ms(settings, 40), 15'000 + moves_ms) << "a drive without ramps";
}

}  // namespace
}  // namespace freshet::core
