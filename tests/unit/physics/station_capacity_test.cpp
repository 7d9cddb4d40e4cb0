// Steady figures of a station, and the contradictions that leave none.
#include "sim_plant/physics/station_capacity.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "sample_water_station.hpp"
#include "sim_plant/physics/pipe.hpp"
#include "tests/reference/hydraulics/capacity.hpp"

namespace {

using namespace freshet;
using namespace freshet::plant;
using tests::capacity_m3s;
using tests::water_station;

TEST(Capacity, operating_point_balances_pump_branch_and_main) {
    const config::Station station = water_station();
    const std::array<double, 3> speeds{1, 1, 0.9};
    const OperatingPoint point = operating_point(station, speeds, 3);
    EXPECT_NEAR(point.header_head_m, 25 + main_loss_m(station.main, station.fluid, point.total_flow_m3s),
                1e-9);
    EXPECT_NEAR(point.flow_m3s[0] + point.flow_m3s[1] + point.flow_m3s[2], point.total_flow_m3s, 1e-9);
    EXPECT_EQ(point.flow_m3s[0], point.flow_m3s[1]);
    EXPECT_LT(point.flow_m3s[2], point.flow_m3s[0]);
    EXPECT_GT(point.efficiency[0], 0.6);
    EXPECT_NEAR(point.shaft_power_w[0],
                998.2 * 9.80665 * point.flow_m3s[0] *
                    (point.header_head_m - 3 + 5 * point.flow_m3s[0] * point.flow_m3s[0]) /
                    point.efficiency[0],
                1e-3 * point.shaft_power_w[0]);
}

TEST(Capacity, grows_with_pumps_speed_and_level) {
    const config::Station station = water_station();
    EXPECT_GT(capacity_m3s(station, 2, 1, 3), capacity_m3s(station, 1, 1, 3));
    EXPECT_GT(capacity_m3s(station, 2, 1, 3), capacity_m3s(station, 2, 0.9, 3));
    EXPECT_GT(capacity_m3s(station, 2, 1, 5), capacity_m3s(station, 2, 1, 3));
    EXPECT_EQ(capacity_m3s(station, 0, 1, 3), 0);
    EXPECT_EQ(capacity_m3s(station, 4, 0.3, 3), 0);
}

bool finds(const config::Station& station, const std::string& words) {
    const auto findings = hydraulic_contradictions(station);
    return std::any_of(findings.begin(), findings.end(),
                       [&](const std::string& found) { return found.find(words) != std::string::npos; });
}

TEST(Contradictions, none_in_a_sound_station_of_any_duty) {
    EXPECT_TRUE(hydraulic_contradictions(water_station()).empty());
    EXPECT_TRUE(hydraulic_contradictions(tests::tank_station()).empty());
    EXPECT_TRUE(hydraulic_contradictions(tests::booster_station()).empty());
}

TEST(Contradictions, pump_that_never_overcomes_the_static_head_is_named_with_both_figures) {
    config::Station station = water_station();
    station.main.discharge_level_m = 60;
    const auto findings = hydraulic_contradictions(station);
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_NE(findings[0].find("52 m"), std::string::npos);
    EXPECT_NE(findings[0].find("53 m"), std::string::npos);
}

TEST(Contradictions, each_kind_is_found) {
    config::Station station = water_station();
    station.pump_count = 9;
    EXPECT_TRUE(finds(station, "9 pumps"));
    station = water_station();
    station.pump.curve[1].head_m = 60;
    EXPECT_TRUE(finds(station, "pump curve"));
    station = water_station();
    station.well.storage[1].volume_m3 = 0;
    EXPECT_TRUE(finds(station, "stage-storage table"));
    station = water_station();
    station.well.overflow_level_m = 0;
    EXPECT_TRUE(finds(station, "overflow at"));
    station = water_station();
    station.main.reaches[0].diameter_m = 0;
    EXPECT_TRUE(finds(station, "reach of"));
    station = water_station();
    station.main.reaches[1].hazen_williams_c = 0;
    EXPECT_TRUE(finds(station, "reach of"));
    station = water_station();
    station.fluid.viscosity_m2s = 0;
    EXPECT_TRUE(finds(station, "fluid"));
    station = tests::booster_station();
    station.air_vessel.polytropic_exponent = 0.5;
    EXPECT_TRUE(finds(station, "air vessel"));
}

}  // namespace
