// Surge figures and the stopping of a rigid column against published examples.
// One reason to change: a published example.
//
// Sources, each named again at its check:
//   UFC: UFC 3-230-13A (TM 5-813-9, 6 October 1992), Fig. 4-5, Example Water Hammer Potential Calculation
//     (buildingcriteria1.tpub.com/ufc_3_230_13a/ufc_3_230_13a0021.htm).
//   Companion: the value is transcribed from the notebook that the Python Textbook Companions keep for the
//     book (github.com/FOSSEE/Python-Textbook-Companions, commit d34b2ae), not from the printed page.
//   Books: K. Subramanya, 1000 Solved Problems in Fluid Mechanics, 2005, chapter 14; R. L. Daugherty and J.
//     B.
//     Franzini, Fluid Mechanics with Engineering Applications; B. S. Massey and J. Ward-Smith, Mechanics of
//     Fluids (editions of the last two not stated in the notebooks).
#include "sim_plant/physics/surge.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "config/hydraulics/gravity.hpp"
#include "config/hydraulics/pipe.hpp"
#include "sim_plant/physics/hydraulics.hpp"
#include "trade_units.hpp"

namespace {

using namespace freshet;
using namespace freshet::tests;
using namespace freshet::plant;

constexpr double unconfined = std::numeric_limits<double>::infinity();

/// Wave speed in a pipe, m/s: a = sqrt((K/rho) / (1 + K D / (E e))). A station's file gives the speed itself.
double wave_speed_ms(double bulk_pa, double density_kgm3, double elasticity_pa, double diameter_m,
                     double wall_m) {
    return std::sqrt(bulk_pa / density_kgm3 / (1 + bulk_pa * diameter_m / (elasticity_pa * wall_m)));
}

double joukowsky_mpa(double wave_speed, double velocity, double density) {
    return joukowsky_head_m(wave_speed, velocity) * density * config::gravity_ms2 * 1e-6;
}

config::Main one_reach(double length_m, double diameter_m, double wave_speed) {
    config::Reach reach;
    reach.length_m = length_m;
    reach.diameter_m = diameter_m;
    reach.wave_speed_ms = wave_speed;
    return {{reach}, 0};
}

// UFC, Fig. 4-5: 3400 ft, 2690 ft/s, 2L/a = 2.53 s.
TEST(Surge, has_a_critical_period_of_2_53_s_in_the_manuals_example) {
    EXPECT_NEAR(critical_period_s(one_reach(3400 * foot_m, 10 * inch_m, 2690 * foot_m)), 2.53, 0.005);
}

// UFC, Fig. 4-5: 6.48 ft/s stopped at once make 544.7 ft with g = 32 ft/s2. Here g is 32.174 ft/s2.
TEST(Surge, raises_the_head_by_545_ft_in_the_manuals_example) {
    EXPECT_NEAR(joukowsky_head_m(2690 * foot_m, 6.48 * foot_m) / foot_m, 544.7 * 32 / 32.174, 0.1);
}

// Subramanya, Example 14.15, p. 358 (companion), rigid pipe: K 2.1e9 Pa, 2.1 m/s: 3.04 MPa.
TEST(Surge, makes_3_04_mpa_in_a_rigid_pipe) {
    EXPECT_NEAR(joukowsky_mpa(wave_speed_ms(2.1e9, 998, unconfined, 1, 1), 2.1, 998), 3.04, 0.0005);
}

// Subramanya, Example 14.15, p. 358 (companion), steel pipe of 0.60 m with a wall of 12 mm: 2.482 MPa.
TEST(Surge, makes_2_48_mpa_in_an_elastic_pipe) {
    EXPECT_NEAR(joukowsky_mpa(wave_speed_ms(2.1e9, 998, 2.1e11, 0.6, 0.012), 2.1, 998), 2.482, 0.0005);
}

// Subramanya, Example 14.14, p. 358 (companion): E 1e11 Pa, K 2e9 Pa, D/t 72, 2.6 m/s: 240.2 m.
TEST(Surge, makes_240_m_of_head_in_an_elastic_pipe) {
    EXPECT_NEAR(joukowsky_head_m(wave_speed_ms(2e9, 998, 1e11, 72, 1), 2.6) * config::gravity_ms2 / 9.81,
                240.2, 0.05);
}

// Subramanya, Example 14.18, p. 359 (companion): D/t 40, 3 m/s: 3.235 MPa. The book cuts the wave speed to an
// integer.
TEST(Surge, of_a_rapid_closure_makes_3_24_mpa) {
    EXPECT_NEAR(joukowsky_mpa(wave_speed_ms(2.11e9, 998, 1.041e11, 40, 1), 3, 998), 3.235, 0.002);
}

// Subramanya, Example 14.18, p. 359 (companion): 800 m, closed in 2 s: 2.394 MPa. The book rounds 2L/a to
// 1.48 s.
TEST(Surge, of_a_slow_closure_falls_with_the_time_of_the_closure) {
    const double speed = wave_speed_ms(2.11e9, 998, 1.041e11, 40, 1);
    const double period = critical_period_s(one_reach(800, 1, speed));
    const double sudden_m = joukowsky_head_m(speed, 3);
    EXPECT_NEAR(even_stop_s(sudden_m, 2.394e6 / (998 * config::gravity_ms2), period), 2, 0.006);
    EXPECT_EQ(even_stop_s(sudden_m, sudden_m, period), 0) << "a stop at once is good enough";
}

// Subramanya, Example 14.20, p. 360 (companion): K 2.2e9 Pa, 0.8 m/s: 1.185 MPa.
TEST(Surge, of_a_gentle_flow_stopped_at_once_makes_1_19_mpa) {
    EXPECT_NEAR(joukowsky_mpa(wave_speed_ms(2.2e9, 998, unconfined, 1, 1), 0.8, 998), 1.185, 0.0006);
}

// Daugherty and Franzini, Example 13.4, p. 462 (companion): 30 ft3/s in a 4 ft pipe, 3200 ft/s, 1.94
// slug/ft3:
// 102.9 psi.
TEST(Surge, of_a_trip_of_all_pumps_makes_103_psi) {
    const config::Main main = one_reach(3000, 4 * foot_m, 3200 * foot_m);
    const double pressure_pa =
        trip_surge_head_m(main, 30 * cfs_m3s) * 1.94 * slug_per_ft3_kgm3 * config::gravity_ms2;
    EXPECT_NEAR(pressure_pa / psi_pa, 102.9, 0.05);
}

// Daugherty and Franzini, Example 13.4, p. 462 (companion): from 30 to 10 ft3/s, 68.6 psi.
TEST(Surge, of_two_thirds_of_the_flow_stopped_makes_69_psi) {
    const double change_ms = config::velocity_ms(20 * cfs_m3s, 4 * foot_m);
    const double pressure_pa =
        joukowsky_head_m(3200 * foot_m, change_ms) * 1.94 * slug_per_ft3_kgm3 * config::gravity_ms2;
    EXPECT_NEAR(pressure_pa / psi_pa, 68.6, 0.05);
}

// Massey and Ward-Smith, Example 12.1, p. 557 (companion): after the pump fails, 0.05 m3/s in 90 m of 0.15 m
// pipe against 8 m, Fanning f 0.007 (Darcy 0.028), keeps flowing for 2.6 s. Computed here from the closed
// form sqrt(a b) atan of the same inputs: 2.6178 s.
TEST(RigidColumn, keeps_flowing_for_2_6_s_after_a_pump_fails) {
    config::Station station;
    station.pump_count = 1;
    station.well.storage = {{-1, 0}, {1, 1e6}};  // so wide that its level does not move
    station.well.overflow_level_m = 0.5;
    station.well.suction_level_m = -0.9;
    station.fluid.viscosity_m2s = 1e-15;  // f constant, as in the book
    config::Reach reach;
    reach.length_m = 90;
    reach.diameter_m = 0.15;
    reach.roughness_m = 3.7 * std::pow(10, -0.5 / std::sqrt(0.028)) *
                        reach.diameter_m;  // the rough pipe of von Karman, f 0.028
    station.main = {{reach}, 8};
    const double running_head_m = 8 + config::reach_loss_m(reach, station.fluid, 0.05);
    // The passages are wide. The book's failed pump resists nothing; this one takes 0.02 m at this flow.
    station.pump.curve = {{0, running_head_m + 1, 0, 1}, {0.05, running_head_m, 0.4, 1}, {1.2, 1, 0.8, 1}};
    station.pump.rated_speed_rpm = 1450;
    Hydraulics hydraulics(station, 0);
    HydraulicInputs inputs;
    inputs.speed_ratio[0] = 1;
    const double step_s = 0.001;
    constexpr int steps_max = 600'000;
    for (int i = 0; i < steps_max && hydraulics.state().main_flow_m3s < 0.05 - 1e-7; ++i)
        hydraulics.step(step_s, inputs);
    ASSERT_NEAR(hydraulics.state().main_flow_m3s, 0.05, 1e-6);

    inputs.speed_ratio[0] = 0;
    double flowing_s = 0;
    while (flowing_s < 10 && hydraulics.step(step_s, inputs).main_flow_m3s > 0) flowing_s += step_s;

    EXPECT_NEAR(flowing_s, 2.6178, 0.02);
}

}  // namespace
