// Wet-well volumes and cycle times against published rules and worked exercises.
// One reason to change: a published figure.
//
// Sources, each named again at its check:
//   UFC 3-240-04A (EI 11C201, 1 March 1997), para 7 "Storage volume" and Table 7-1
//     (buildingcriteria1.tpub.com/ufc_3_240_04a/ufc_3_240_04a0053.htm). The formula and the table are printed
//     there; the volumes and times are computed from them.
//   A municipal code's appendix with T = 4V/Q: ecode360.com/29345307.
#include <gtest/gtest.h>

#include <algorithm>
#include <numbers>

#include "config/engineering/rules.hpp"
#include "config/loader/units.hpp"
#include "tests/reference/rules/quantities.hpp"

namespace freshet::config {
namespace {

double volume(std::string_view text) {
    return units().si(text, Quantity::volume).value();
}
double length(std::string_view text) {
    return units().si(text, Quantity::length).value();
}
double power(std::string_view text) {
    return units().si(text, Quantity::power).value();
}
constexpr double minute_s = 60, hour_s = 3600;

// Computed from UFC 3-240-04A, para 7, V = t q / 4. Both checks that follow.
TEST(WetWellVolume, of_a_700_gpm_pump_cycling_in_15_minutes_is_2625_gallons) {
    EXPECT_NEAR(active_volume_m3(15 * minute_s, flow("700 gpm")) / volume("1 gal"), 2625, 1e-6);
}
TEST(WetWellVolume, of_a_45_litre_pump_cycling_in_10_minutes_is_6750_litres) {
    EXPECT_NEAR(active_volume_m3(600, flow("45 L/s")) / volume("1 L"), 6750, 1e-6);
}
// UFC 3-240-04A, para 7, and T = 4V/Q (ecode360.com/29345307).
TEST(WetWellCycle, is_shortest_at_half_the_pumps_flow_and_has_the_time_of_the_sizing) {
    const double well_m3 = volume("2625 gal"), pump_m3s = flow("700 gpm");
    double shortest_s = 1e9;
    for (int percent = 1; percent < 100; ++percent)
        shortest_s = std::min(shortest_s, cycle_time_s(well_m3, pump_m3s, pump_m3s * percent / 100));
    EXPECT_NEAR(shortest_s, 15 * minute_s, 0.001 * minute_s);
    EXPECT_NEAR(worst_cycle_time_s(well_m3, pump_m3s), 15 * minute_s, 0.001 * minute_s);
}
// Definition T = V / Qi + V / (q - Qi), computed.
TEST(WetWellCycle, at_a_quarter_of_the_pumps_flow_is_20_minutes) {
    EXPECT_NEAR(cycle_time_s(volume("2625 gal"), flow("700 gpm"), flow("175 gpm")), 20 * minute_s, 1e-6);
}
// UFC 3-240-04A, Table 7-1.
TEST(WetWellCycle, has_a_shortest_time_by_motor_size) {
    EXPECT_EQ(shortest_cycle(power("15 hp"))->least_s, 10 * minute_s);
    EXPECT_EQ(shortest_cycle(power("15 hp"))->most_s, 15 * minute_s);
    EXPECT_EQ(shortest_cycle(power("100 hp"))->least_s, 15 * minute_s);
    EXPECT_EQ(shortest_cycle(power("100 hp"))->most_s, 20 * minute_s);
    EXPECT_EQ(shortest_cycle(power("180 kW"))->least_s, 20 * minute_s);
    EXPECT_EQ(shortest_cycle(power("180 kW"))->most_s, 30 * minute_s);
    EXPECT_FALSE(shortest_cycle(power("500 hp")));  // "as recommended by manufacturer"
}
// UFC 3-240-04A, para 7: two pumps that alternate may have half the volume. Each pump then starts in every
// second cycle.
TEST(WetWellCycle, halved_with_two_pumps_in_turn_keeps_four_starts_an_hour_each) {
    const double cycle_s = cycle_time_s(volume("1312.5 gal"), flow("700 gpm"), flow("350 gpm"));
    EXPECT_NEAR(hour_s / cycle_s / 2, 4, 1e-9);
}
// A district's code, SLWSDC 6.20.460 (silverlakewsd.district.codes/SLWSDC/6.20.460): at most four cycles an
// hour.
TEST(WetWellCycle, of_four_an_hour_is_15_minutes) {
    EXPECT_NEAR(worst_cycle_time_s(active_volume_m3(hour_s / 4, flow("500 gpm")), flow("500 gpm")),
                15 * minute_s, 1e-9);
}
// "Time for math" (wastewater101.net/2019/08/time-for-math-33), question 1: 10 ft across, 6 in lower in 2
// min, 146.8 gpm with pi 3.14 and 7.48 gal/ft3.
TEST(WetWellDrawdown, of_six_inches_in_two_minutes_in_a_ten_foot_well_is_147_gpm) {
    const double area_m2 = std::numbers::pi / 4 * length("10 ft") * length("10 ft");
    EXPECT_NEAR(area_m2 * length("6 in") / (2 * minute_s) / flow("1 gpm"), 146.8, 0.3);
}
// Textbook for wastewater operators, Example 11.1, "Determining pump capacity without influent", as copied at
// climate-policy-watcher.org/wastewater-treatment-3/ and there
// example-111-determining-pump-capacity-without-influent.html
// (the copy names neither title nor edition): 10 ft by 9 ft, 2.2 ft lower in 5 min. Computed with 7.48
// gal/ft3: 296.2 gpm.
TEST(WetWellDrawdown, of_two_feet_in_five_minutes_in_a_ten_by_nine_foot_well_is_296_gpm) {
    EXPECT_NEAR(length("10 ft") * length("9 ft") * length("2.2 ft") / (5 * minute_s) / flow("1 gpm"), 296.2,
                0.1);
}
// Kentucky operator certification programme, "Calculating flow into a lift station"
// (kyocp.wordpress.com/2012/04/11/calculating-flow-into-a-lift-station): 50 ft deep, 18 ft 9 in up in 3 h 42
// min.
// Computed from these inputs: 370 min for the rest.
TEST(WetWellFilling, reaches_the_top_in_370_minutes_at_the_rate_observed) {
    const double rate_ms = (length("18 ft") + length("9 in")) / (3 * hour_s + 42 * minute_s);
    EXPECT_NEAR((length("50 ft") - length("18 ft") - length("9 in")) / rate_ms, 370 * minute_s,
                0.05 * minute_s);
}

}  // namespace
}  // namespace freshet::config
