// The contradictions that leave a station without any steady flow.
#include "sim_plant/physics/hydraulic_contradictions.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "sample_water_station.hpp"

namespace {

using namespace freshet;
using namespace freshet::plant;
using tests::water_station;

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
