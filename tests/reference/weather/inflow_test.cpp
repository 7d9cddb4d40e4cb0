// Dry-weather peaks and the sewer's response against published figures.
// One reason to change: a published figure.
//
// Sources, each named again at its check:
//   Textbook: a wastewater textbook, "Volume 2, Post-Treatment, Reuse, and Disposal", section 4.5, Eq. 4.4
//     and Example 4.8, as copied at
//     123dok.com/id/article/wastewater-flow-variation-post-treatment-reuse-and-disposal.10992762. The copy
//     does not name the authors: S. R. Qasim and G. Zhu, Wastewater Treatment and Reuse, 2018 (from memory).
//   Ten-States: formula of the Great Lakes - Upper Mississippi River Board, as quoted at
//     sd-w.com/channel_flow/sewer_houses.
//   FGO: Fair, Geyer and Okun's Water and Wastewater Engineering (N. Shammas, L. Wang), section 4.7, p. 145,
//     Eqs 4.23 and 4.24; the edition of 2010 by the marks on the page.
//   EPA: U.S. Environmental Protection Agency, EPA/600/R-08/010, January 2008, R, T, K method; formula from
//     memory.
//   Dingman: S. L. Dingman, Physical Hydrology, as quoted in the notes of a lecture on the unit hydrograph
//     (github.com/yairmau/website, _notebooks/2020-02-05-unit-hydrograph-lecture.ipynb).
#include <gtest/gtest.h>

#include <cmath>

#include "sim_plant/weather/inflow.hpp"
#include "sim_plant/weather/peaking.hpp"
#include "sim_plant/weather/rainfall.hpp"
#include "sim_plant/weather/unit_hydrograph.hpp"
#include "tests/units_of_sources.hpp"

namespace {

using namespace freshet;
using tests::acre_m2;
using tests::cubic_foot_m3;
using tests::hour_s;
using tests::inch_m;

// Textbook, Example 4.8: 20,000 people, 380 L per person and day, factor 2.65, 20,140 m3 a day at the peak.
// Both checks that follow.
TEST(HarmonFactor, is_2_65_for_20_thousand) {
    EXPECT_NEAR(plant::peaking_factor(20), 2.65, 0.005);
}
TEST(HarmonFactor, makes_20140_m3_a_day_of_7600) {
    constexpr double average_m3_per_day = 0.380 * 20000;
    EXPECT_NEAR(plant::peaking_factor(20) * average_m3_per_day, 20140, 25);
}
// Computed from the formula of Ten-States.
TEST(TenStatesFactor, is_3_8_for_one_thousand) {
    EXPECT_NEAR(plant::peaking_factor(1), 3.8, 1e-12);
}
// Identity: 1 + 14 / (4 + sqrt P) = (18 + sqrt P) / (4 + sqrt P).
TEST(TenStatesFactor, is_harmons_for_every_population) {
    for (const double thousands : {0.1, 1.0, 5.0, 20.0, 100.0, 1000.0})
        EXPECT_NEAR(plant::peaking_factor(thousands), 1 + 14 / (4 + std::sqrt(thousands)), 1e-12);
}
// A forum thread (eng-tips.com/viewthread.cfm?qid=170938) prints 4.5 for one thousand people. That is the
// limit of the formula for no people.
TEST(TenStatesFactor, is_not_4_5_for_one_thousand) {
    EXPECT_LT(plant::peaking_factor(1), 4.0);
}

// Computed from the R, T, K method (EPA, formula from memory), peak Q = 2 R A P / (T (1 + K)) and volume R A
// P, with invented inputs: R 0.03, T 1 h, K 2, 100 acres, 1 inch in a short burst: 2.0167 ft3/s, 10890 ft3.
/// One triangle of this case with a uniform storm and no other flow.
plant::Inflow sewer_only(double r, double duration_s, double run_s) {
    config::Weather weather;
    weather.storms = {{config::RainDistribution{"uniform", {{0, 0}, {1, 1}}, 1}, inch_m, duration_s, 0}};
    weather.catchment.sewered_area_m2 = 100 * acre_m2;
    weather.catchment.triangles = {{r, hour_s, 2}};
    return {weather, 0, run_s, 1};
}

// Computed as above. A burst of a minute lowers the peak by half a percent.
TEST(SewerResponse, of_a_one_minute_burst_peaks_as_the_triangle_does) {
    const plant::Inflow inflow = sewer_only(0.03, 60, 4 * hour_s);
    double peak_m3s = 0;
    for (double t_s = 0; t_s < 4 * hour_s; t_s += 10) peak_m3s = std::max(peak_m3s, inflow.at_m3s(t_s));
    EXPECT_NEAR(peak_m3s / cubic_foot_m3, 2.0167, 0.013);
}
// Identity: the volume is R A P.
TEST(SewerResponse, holds_10890_cubic_feet) {
    const plant::Inflow inflow = sewer_only(0.03, 60, 4 * hour_s);
    double volume_m3 = 0;
    for (double t_s = 5; t_s < 4 * hour_s; t_s += 10) volume_m3 += 10 * inflow.at_m3s(t_s);
    EXPECT_NEAR(volume_m3 / cubic_foot_m3, 10890, 0.5);
}
// Dingman: factor 0.278 of the rational formula in SI units.
TEST(SewerResponse, to_lasting_rain_is_0_278_times_share_intensity_and_area) {
    constexpr double share = 0.8, duration_s = 6 * hour_s;
    const plant::Inflow inflow = sewer_only(share, duration_s, duration_s);
    const double intensity_mm_h = inch_m * 1000 / 6, area_km2 = 100 * acre_m2 / 1e6;
    EXPECT_NEAR(inflow.at_m3s(5 * hour_s) / (share * intensity_mm_h * area_km2), 0.278, 0.0005);
}

}  // namespace
