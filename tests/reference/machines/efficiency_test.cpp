// Efficiency of drives and motors by load, and energy at the line side, held against published tables.
// Sources, by test: DOE Motor Systems Tip Sheet 11 (DOE/GO-102012-3730, drive efficiency by load and its
// worked example), Tip
//   Sheet 12 (DOE/GO-102012-3737, cube law and weighted input power), Tip Sheet 7 (DOE/GO-102012-3733, a 100
//   hp laboratory motor); DOE (2014) Determining Electric Motor Load and Efficiency, Fig. 1, as digitised in
//   a public building library; Hubert, Electric Machines, Example 4.6 (companion).
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "sim_plant/physics/drive.hpp"
#include "sim_plant/physics/motor.hpp"
#include "sim_plant/physics/motor_circuit.hpp"
#include "sim_plant/physics/nameplate.hpp"

namespace freshet::plant {
namespace {

constexpr double w_per_hp = 746;

/// A drive of so many horsepower with the given efficiencies.
Drive drive_of(double power_hp, std::vector<config::EfficiencyPoint> points) {
    config::Drive data;
    data.efficiency = std::move(points);
    data.frequency_max_hz = 60;
    return {data, 460, 60, power_hp * w_per_hp};
}

// DOE Tip Sheet 11: the loss model must give the table back where it was told, and lie within the table in
// between.
struct DriveTable {
    double power_hp;
    std::vector<config::EfficiencyPoint> told;
    double load, efficiency;
};
class DriveEfficiency : public ::testing::TestWithParam<DriveTable> {};
TEST_P(DriveEfficiency, between_the_points_it_was_told) {
    const DriveTable& row = GetParam();
    const Drive drive = drive_of(row.power_hp, row.told);
    const double output_w = row.load * row.power_hp * w_per_hp;
    EXPECT_NEAR(100 * output_w / (output_w + drive.loss_w(output_w)), 100 * row.efficiency, 1.0);
}
const std::vector<config::EfficiencyPoint> told_50{{0.016, 0.46}, {0.25, 0.92}, {0.5, 0.95}, {1, 0.97}};
const std::vector<config::EfficiencyPoint> told_100{{0.016, 0.55}, {0.25, 0.94}, {0.5, 0.96}, {1, 0.97}};
INSTANTIATE_TEST_SUITE_P(tip_sheet_11, DriveEfficiency,
                         ::testing::Values(DriveTable{50, told_50, 0.42, 0.95},
                                           DriveTable{50, told_50, 0.75, 0.96},
                                           DriveTable{100, told_100, 0.42, 0.95},
                                           DriveTable{100, told_100, 0.75, 0.97}));

// DOE Tip Sheet 11: 20 hp at half speed: motor 77.8 %, drive 86 %: 2.8 kW instead of 16.4 kW.
TEST(TipSheet11, twenty_horsepower_at_half_speed_takes_2_8_kw) {
    const double shaft_w = load_at(1, 1, 0.5) * 0.5 * 20 * w_per_hp;
    const double output_w = shaft_w / 0.778;
    const Drive drive = drive_of(20, {{output_w / (20 * w_per_hp), 0.86}, {1, 0.97}});
    EXPECT_NEAR((output_w + drive.loss_w(output_w)) / 1000, 2.8, 0.05);
}
TEST(TipSheet11, eighty_percent_speed_halves_the_power) {
    EXPECT_NEAR(1 - load_at(1, 1, 0.8) * 0.8, 0.5, 0.02);
}

// DOE Tip Sheet 12: cube law through the fan load that the shafts use.
struct CubeRow {
    double speed, power_percent;
};
class CubeLaw : public ::testing::TestWithParam<CubeRow> {};
TEST_P(CubeLaw, of_a_fan) {
    EXPECT_NEAR(100 * load_at(1, 1, GetParam().speed) * GetParam().speed, GetParam().power_percent, 0.05);
}
INSTANTIATE_TEST_SUITE_P(tip_sheet_12, CubeLaw,
                         ::testing::Values(CubeRow{0.9, 72.9}, CubeRow{0.8, 51.2}, CubeRow{0.7, 34.3},
                                           CubeRow{0.6, 21.6}, CubeRow{0.5, 12.5}, CubeRow{0.4, 6.4},
                                           CubeRow{0.3, 2.7}));

// DOE Tip Sheet 12: 50 hp, weighted input at 90 % (20 % of the time), 80 % (50 %), 70 % (30 %) speed: 21.99
// kW.
double input_kw(double speed, double motor_efficiency, double drive_efficiency) {
    const double output_w = load_at(1, 1, speed) * speed * 50 * w_per_hp / motor_efficiency;
    const Drive drive = drive_of(50, {{output_w / (50 * w_per_hp), drive_efficiency}, {1.5, 0.97}});
    return (output_w + drive.loss_w(output_w)) / 1000;
}
TEST(TipSheet12, ninety_percent_speed_for_a_fifth_of_the_time_is_6_18_kw) {
    EXPECT_NEAR(0.2 * input_kw(0.9, 0.916, 0.96), 6.18, 0.02);
}
TEST(TipSheet12, eighty_percent_speed_for_half_of_the_time_is_11_05_kw) {
    EXPECT_NEAR(0.5 * input_kw(0.8, 0.909, 0.95), 11.05, 0.02);
}
TEST(TipSheet12, seventy_percent_speed_for_three_tenths_of_the_time_is_4_76_kw) {
    EXPECT_NEAR(0.3 * input_kw(0.7, 0.866, 0.93), 4.76, 0.02);
}
TEST(TipSheet12, weighted_input_is_21_99_kw) {
    EXPECT_NEAR(0.2 * input_kw(0.9, 0.916, 0.96) + 0.5 * input_kw(0.8, 0.909, 0.95) +
                    0.3 * input_kw(0.7, 0.866, 0.93),
                21.99, 0.03);
}
TEST(TipSheet12, saving_against_26_05_kw_over_8000_h_is_32480_kwh) {
    const double weighted_kw = 0.2 * input_kw(0.9, 0.916, 0.96) + 0.5 * input_kw(0.8, 0.909, 0.95) +
                               0.3 * input_kw(0.7, 0.866, 0.93);
    EXPECT_NEAR((26.05 - weighted_kw) * 8000, 32480, 0.03 * 8000);
}

/// Efficiency of an estimated motor at a share of its rated shaft power.
double efficiency_at(const config::Motor& motor, double share) {
    const double slip = slip_for_shaft_power(motor, share * motor.nameplate.power_w);
    const MotorPoint point = circuit_point(motor.circuit, motor.poles, motor.nameplate.frequency_hz,
                                           motor.nameplate.voltage_v, motor.nameplate.frequency_hz, slip);
    return share * motor.nameplate.power_w / (point.input_w + motor.core_loss_w);
}

config::Motor plate(double power_w, double efficiency, double speed_rpm) {
    config::Motor motor;
    motor.poles = 4;
    motor.nameplate.power_w = power_w;
    motor.nameplate.voltage_v = 460;
    motor.nameplate.frequency_hz = 60;
    motor.nameplate.speed_rpm = speed_rpm;
    motor.nameplate.efficiency = efficiency;
    return estimate_circuit(motor).motor;
}

// DOE (2014) Fig. 1, digitised: efficiency over its peak at part load. The loss shares of the estimate are
// typical ones, the curve is a class of motors: three points of efficiency.
struct PartLoad {
    double power_w, rated_efficiency, load, over_peak;
};
class MotorPartLoad : public ::testing::TestWithParam<PartLoad> {};
TEST_P(MotorPartLoad, efficiency_over_its_peak) {
    const PartLoad& row = GetParam();
    const config::Motor motor = plate(row.power_w, row.rated_efficiency, 1780);
    double peak = 0;
    for (double share = 0.2; share <= 1.2; share += 0.05) peak = std::max(peak, efficiency_at(motor, share));
    EXPECT_NEAR(efficiency_at(motor, row.load) / peak, row.over_peak, 0.03);
}
INSTANTIATE_TEST_SUITE_P(doe_2014, MotorPartLoad,
                         ::testing::Values(PartLoad{70e3, 0.95, 0.2, 0.96253},
                                           PartLoad{70e3, 0.95, 0.3, 0.98712}, PartLoad{70e3, 0.95, 0.4, 1},
                                           PartLoad{70e3, 0.95, 0.6, 1}, PartLoad{70e3, 0.95, 0.8, 1},
                                           PartLoad{70e3, 0.95, 1, 1}));

// DOE Tip Sheet 7: a 100 hp, 1800 rpm laboratory motor: 94.4, 95.2, 96.1 % at 100, 75, 50 % load. The
// estimate takes typical constant losses, that motor's were unusually small: the estimate is some two points
// low at half load.
TEST(TipSheet7, hundred_horsepower_laboratory_motor_at_part_load) {
    const config::Motor motor = plate(100 * w_per_hp, 0.944, 1780);
    EXPECT_NEAR(100 * efficiency_at(motor, 1), 94.4, 0.1);
    EXPECT_NEAR(100 * efficiency_at(motor, 0.75), 95.2, 1.5);
    EXPECT_NEAR(100 * efficiency_at(motor, 0.5), 96.1, 2.5);
}

// Hubert, Example 4.6: 100 hp, 6 poles, gap power 77 478 W at 1176.01 rpm: rotor loss 1549 W is slip times
// gap power. The circuit must divide its own gap power the same way.
TEST(Hubert46, rotor_loss_is_slip_times_gap_power) {
    const double slip = 1549.0 / 77478;
    EXPECT_NEAR(1200 * (1 - slip), 1176.01, 0.01);
    const MotorPoint point = circuit_point({0.262, 1.206, 54.02, 1.206, 0.187}, 4, 60, 2300, 60, slip);
    const double gap_w = point.torque_nm * synchronous_speed(60, 4);
    EXPECT_NEAR(point.rotor_loss_w / gap_w, slip, 1e-9);
    EXPECT_NEAR(point.input_w, gap_w + point.stator_loss_w, 1e-6 * gap_w);
}

}  // namespace
}  // namespace freshet::plant
