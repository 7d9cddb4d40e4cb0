// Shaft power, efficiency and suction head against published examples.
// Sources: Technical Paper 410, solved problems 7.15, 7.32, 7.34; B. K. Sarkar, Fluid Mechanics and Hydraulic
// Machines, Example 10.6; Brasch and Whyman, Problems in Fluid Flow, Example 6.3; B. Munson, D. Young, T.
// Okiishi, Fundamentals of Fluid Mechanics, Example 12.3; R. Fox and A. McDonald, Introduction to Fluid
// Mechanics, Example 10.8; I. A. Khan, Fluid Mechanics, Example 12.5 (companion values: those the books'
// published notebooks print); encyclopaedia table of the vapour pressure of water.
#include <gtest/gtest.h>

#include <cmath>

#include "sim_plant/physics/gravity.hpp"
#include "sim_plant/physics/hydraulics.hpp"
#include "sim_plant/physics/pipe.hpp"
#include "sim_plant/physics/pump_curve.hpp"
#include "trade_units.hpp"

namespace {

using namespace freshet;
using namespace freshet::tests;
using namespace freshet::plant;

/// Shaft power that the curve gives back at a catalogue point.
double power_w(double flow_m3s, double head_m, double efficiency, double density_kgm3) {
    config::PumpType type;
    type.curve = {{0, 1.4 * head_m, 0, 1},
                  {0.6 * flow_m3s, 1.2 * head_m, 0.8 * efficiency, 1},
                  {flow_m3s, head_m, efficiency, 1},
                  {1.3 * flow_m3s, 0.7 * head_m, 0.9 * efficiency, 1}};
    type.rated_speed_rpm = 1750;
    config::Fluid fluid;
    fluid.density_kgm3 = density_kgm3;
    const PumpCurve curve(type, fluid);
    return curve.torque_nm(flow_m3s) * curve.rated_speed_rad_s();
}

// TP 410, problem 7.34: 700 gpm, 428 ft, 70.7 %, 62.364 lb/ft3: 107.056 hp
TEST(PumpPower, brake_power_at_700_gpm_and_428_ft) {
    EXPECT_NEAR(power_w(700 * gpm_m3s, 428 * foot_m, 0.707, 62.364 * pound_per_ft3_kgm3) / hp_w, 107.056,
                0.05);
}

// TP 410, problem 7.15: 100 gpm, 421 ft, 70 %: 15.2 hp
TEST(PumpPower, brake_power_at_100_gpm_and_421_ft) {
    EXPECT_NEAR(power_w(100 * gpm_m3s, 421 * foot_m, 0.7, 62.298 * pound_per_ft3_kgm3) / hp_w, 15.2, 0.05);
}

// Sarkar, Example 10.6: 0.04 m3/s, 30 m, 75 %, 9810 N/m3: 15.696 kW
TEST(PumpPower, shaft_power_at_40_litres_and_30_metres) {
    EXPECT_NEAR(power_w(0.04, 30, 0.75, 9810 / gravity_ms2), 15696, 0.5);
}

// Brasch and Whyman, Example 6.3: 0.0336 m3/s, 13.10 m, 59.9 % over all, 999 kg/m3, g 9.81: 7.2014 kW
TEST(PumpPower, power_at_a_graphs_duty_point) {
    EXPECT_NEAR(power_w(0.0336, 13.10, 0.599, 999 * 9.81 / gravity_ms2), 7201.4, 0.2);
}

// Encyclopaedia table: 2.3388 kPa at 20 C
TEST(Fluid, default_vapour_pressure_is_that_of_water_at_twenty_degrees) {
    EXPECT_NEAR(config::Fluid{}.vapour_pressure_pa, 2338.8, 1);
}

/// NPSH available in the plant: one pump on fixed suction, NPSHr as given, so that the margin shows what was
/// available.
double npsh_available_m(const config::Fluid& fluid, double suction_surface_m, double centre_line_m,
                        double atmosphere) {
    config::Station station;
    station.duty = config::Duty::fill_tank;
    station.pump_count = 1;
    station.fluid = fluid;
    station.suction_head_m = suction_surface_m;
    station.well.storage = {{100, 0}, {110, 1000}};
    station.well.overflow_level_m = 109;
    station.well.suction_level_m = centre_line_m;
    station.pump.curve = {{0, 60, 0, 0}, {0.05, 50, 0.7, 0}, {0.1, 30, 0.7, 0}};
    station.pump.rated_speed_rpm = 1450;
    station.main.discharge_level_m = suction_surface_m + 40;
    Hydraulics hydraulics(station, 105);
    HydraulicInputs inputs;
    inputs.speed_ratio[0] = 1;
    const double weight = fluid.density_kgm3 * gravity_ms2;
    // The sources' atmospheres differ from the standard one by what their rounding left.
    return hydraulics.step(0.1, inputs).npsh_margin_m[0] + (atmosphere - atmosphere_pa) / weight;
}

// TP 410, problem 7.32: tank at 5 psig, pump 25 ft above the liquid, 6 ft of losses, pv 0.256 psi, 62.364
// lb/ft3: 13.887 ft
TEST(Npsh, pump_above_a_tank_under_pressure) {
    config::Fluid water;
    water.density_kgm3 = 62.364 * pound_per_ft3_kgm3;
    water.vapour_pressure_pa = 0.256 * psi_pa;
    const double tank_head_m = 5 * psi_pa / (water.density_kgm3 * gravity_ms2);
    const double available = npsh_available_m(water, tank_head_m - 6 * foot_m, 25 * foot_m, 101325);
    EXPECT_NEAR(available / foot_m, 13.887, 0.01);
}

// Munson, Example 12.3: 0.5 cfs through 4 in suction with K 20, 14.7 psi, pv 0.5069 psi, 62.22 lb/ft3; NPSHr
// 15 ft lets the pump stand 7.65 ft above the water
TEST(Npsh, greatest_height_above_the_water) {
    config::Fluid water;
    water.density_kgm3 = 62.22 * pound_per_ft3_kgm3;
    water.vapour_pressure_pa = 0.5069 * psi_pa;
    config::Reach suction;
    suction.length_m = 1e-9;
    suction.diameter_m = 4 * inch_m;
    suction.minor_loss_k = 20;
    const double loss = reach_loss_m(suction, water, 0.5 * cfs_m3s);
    const double available = npsh_available_m(water, -loss, 7.65 * foot_m, 14.7 * psi_pa);
    EXPECT_NEAR(available / foot_m, 15, 0.01);
}

// Fox and McDonald, Example 10.8: 1000 gpm in a 5 in line of 6 ft, f 0.0237, K 0.5, Le/D 38, level 3.5 ft
// above the pump, 14.7 psi, 1.93 slug/ft3, vapour head 1.17 ft: 29.447 ft (bore 5.047 in). The book counts
// the velocity head at the flange as part of the NPSH, as this plant does.
TEST(Npsh, flooded_suction_with_losses) {
    config::Fluid water;
    water.density_kgm3 = 1.93 * slug_per_ft3_kgm3;
    water.vapour_pressure_pa = 1.17 * foot_m * water.density_kgm3 * gravity_ms2;
    config::Reach suction;
    suction.length_m = 1e-9;
    suction.diameter_m = 5.047 * inch_m;
    suction.minor_loss_k = 0.5 + 0.0237 * (38 + 6 * foot_m / suction.diameter_m);
    const double loss = reach_loss_m(suction, water, 1000 * gpm_m3s);
    const double available = npsh_available_m(water, 3.5 * foot_m - loss, 0, 14.7 * psi_pa);
    EXPECT_NEAR(available / foot_m, 29.447, 0.2)
        << "bore not printed in the collected row; 5 in schedule 40 assumed";
}

// Khan, Example 12.5: Thoma's number 0.08 at 60 m, 98 kPa, pv 1707 Pa, 1 m of losses, 9810 N/m3: lift at
// most 4.02 m
TEST(Npsh, greatest_suction_lift_from_thomas_number) {
    config::Fluid water;
    water.density_kgm3 = 9810 / gravity_ms2;
    water.vapour_pressure_pa = 1707;
    EXPECT_NEAR(npsh_available_m(water, -1, 4.02, 98000), 0.08 * 60, 0.006);
}

}  // namespace
