// The overflow weir against published examples.
// Sources: B. K. Sarkar, Fluid Mechanics and Hydraulic Machines (companion values); R. S. Dighe, Hydraulics
// Made Easy (companion values); K. Subramanya, 1000 Solved Problems in Fluid Mechanics (companion values);
// documented examples of the open library `fluids` (open_flow.py). "Companion" values are those the books'
// published notebooks print.
#include <gtest/gtest.h>

#include <cmath>

#include "config/station.hpp"
#include "sim_plant/physics/well.hpp"
#include "trade_units.hpp"

namespace {

using namespace freshet;
using namespace freshet::tests;
using namespace freshet::plant;

/// C of Q = C b h^1.5 from a discharge coefficient, with the book's g.
double coefficient(double cd, double g_ms2 = 9.81) {
    return 2.0 / 3 * cd * std::sqrt(2 * g_ms2);
}

// Sarkar, Example 5.9
TEST(Weir, suppressed_four_metres_wide_at_two_decimetres) {
    EXPECT_NEAR(weir_flow_m3s(0.2, coefficient(0.62), 4), 0.655, 0.0005);
}

// Sarkar, Example 5.9: two end contractions narrow the crest by 0.2 h
TEST(Weir, two_end_contractions_narrow_the_crest) {
    EXPECT_NEAR(weir_flow_m3s(0.2, coefficient(0.62), 4 - 0.2 * 0.2), 0.6485, 0.0001);
}

// Sarkar, Example 5.9: Bazin m = 0.405 + 0.003/h
TEST(Weir, bazins_coefficient) {
    EXPECT_NEAR(weir_flow_m3s(0.2, (0.405 + 0.003 / 0.2) * std::sqrt(2 * 9.81), 4), 0.66559, 0.0005);
}

// Dighe, Example 5.5: Francis, C 3.33 in feet and seconds, 6 ft crest, 9 in head
TEST(Weir, francis_suppressed_in_us_units) {
    const double si = 3.33 * std::sqrt(foot_m);
    EXPECT_NEAR(weir_flow_m3s(0.75 * foot_m, si, 6 * foot_m) / cfs_m3s, 12.98, 0.005);
}

// Dighe, Example 5.6: ten end contractions of 0.1 h each, 20 ft net crest, 2 ft head
TEST(Weir, francis_with_ten_end_contractions) {
    const double si = 3.33 * std::sqrt(foot_m);
    EXPECT_NEAR(weir_flow_m3s(2 * foot_m, si, (20 - 0.1 * 10 * 2) * foot_m) / cfs_m3s, 169.5, 0.06);
}

// Subramanya, Example 13.35: crest 2.2 m net of piers, six contractions, h 0.7 m, Cd 0.62
TEST(Weir, crest_between_piers) {
    EXPECT_NEAR(weir_flow_m3s(0.7, coefficient(0.62), 2.5 - 2 * 0.15 - 0.1 * 6 * 0.7), 1.91, 0.005);
}

// Subramanya, Example 13.31: 25 L/s over 0.40 m at 0.10 m head is Cd 0.669
TEST(Weir, coefficient_from_a_measured_flow) {
    EXPECT_NEAR(0.025 / weir_flow_m3s(0.1, coefficient(1), 0.4), 0.669, 0.0005);
}

// Francis' 3.33 (Dighe, Example 5.5) is the 1.84 of the default
TEST(Weir, the_default_coefficient_is_that_of_francis) {
    EXPECT_NEAR(config::Well{}.overflow_coefficient, 3.33 * std::sqrt(foot_m), 0.002);
}

// fluids.open_flow, Rehbock (0.6486856 m3/s) and Kindsvater-Carter (0.6415603 m3/s), h 0.3 m, sill 0.4 m, b 2
// m: both reckon the velocity of approach, which the plant leaves out; that is worth 7 % here
TEST(Weir, falls_short_of_formulas_that_reckon_the_velocity_of_approach) {
    const double plain = weir_flow_m3s(0.3, config::Well{}.overflow_coefficient, 2);
    EXPECT_LT(plain, 0.6415603);
    EXPECT_GT(plain, 0.92 * 0.6486856);
}

}  // namespace
