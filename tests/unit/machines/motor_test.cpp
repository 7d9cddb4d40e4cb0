// One motor: settled tables against the circuit, run-up, coasting, residual voltage.
#include "sim_plant/physics/motor.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/unit/machines/textbook_station.hpp"

namespace freshet::plant {
namespace {

using testing::motor_500_hp;

TEST(MotorModel, tabulates_the_circuit_within_a_thousandth_of_rated) {
    const MotorModel model(motor_500_hp(), 4);
    for (double share = -0.3; share < 1.6; share += 0.037) {
        const double torque = share * model.rated_torque_nm;
        SettledPoint point;
        ASSERT_TRUE(model.settled(torque, point)) << share;
        const double slip = config::slip_for_torque(model.circuit(), 4, 60, 2300, 60, torque);
        const config::MotorPoint exact = config::circuit_point(model.circuit(), 4, 60, 2300, 60, slip);
        EXPECT_NEAR(point.slip_hz, slip * 60, 0.0005 * 60 * model.rated_slip) << share;
        EXPECT_NEAR(point.current_a, exact.current_a, 0.001 * model.rated_current_a) << share;
    }
}

TEST(MotorModel, has_no_settled_point_near_breakdown) {
    const MotorModel model(motor_500_hp(), 4);
    SettledPoint point;
    EXPECT_FALSE(model.settled(0.95 * model.breakdown_torque_nm, point));
    EXPECT_FALSE(model.settled(std::nan(""), point));
}

TEST(MotorShaft, runs_up_on_the_line_and_settles_at_its_load) {
    const MotorModel model(motor_500_hp(), 4);
    MotorShaft shaft;
    shaft.mode = MotorMode::on_line;
    shaft.moving = true;
    double t = 0;
    while (shaft.moving && t < 20) {
        const double ratio = shaft.speed_rad_s / 185.65;
        advance_moving(model, shaft, 0.005, {2300, 60}, model.rated_torque_nm * ratio * ratio);
        t += 0.005;
    }
    EXPECT_FALSE(shaft.moving);
    EXPECT_NEAR(shaft.speed_rad_s, 185.65, 0.3);
    EXPECT_GT(t, 1);
    EXPECT_LT(t, 5);
}

TEST(MotorShaft, runs_up_alike_at_every_part_of_a_step) {
    const MotorModel model(motor_500_hp(), 4);
    const auto run_up_s = [&](double part_s) {
        MotorShaft shaft;
        shaft.moving = true;
        double t = 0;
        while (shaft.speed_rad_s < 180 && t < 20) {
            const double ratio = shaft.speed_rad_s / 185.65;
            advance_moving(model, shaft, part_s, {2300, 60}, model.rated_torque_nm * ratio * ratio);
            t += part_s;
        }
        return t;
    };
    EXPECT_NEAR(run_up_s(0.005), run_up_s(0.0005), 0.02);
    EXPECT_NEAR(run_up_s(0.1), run_up_s(0.0005), 0.3) << "a coarse part must stay stable";
}

TEST(MotorShaft, does_not_move_when_the_load_holds_it) {
    const MotorModel model(motor_500_hp(), 4);
    MotorShaft shaft;
    shaft.moving = true;
    for (int i = 0; i < 200; ++i) advance_moving(model, shaft, 0.005, {2300, 60}, 3 * model.rated_torque_nm);
    EXPECT_EQ(shaft.speed_rad_s, 0);
    EXPECT_TRUE(shaft.moving);
}

TEST(MotorShaft, coasts_down_and_comes_to_rest_without_turning_back) {
    const MotorModel model(motor_500_hp(), 4);
    MotorShaft shaft;
    shaft.mode = MotorMode::coasting;
    shaft.speed_rad_s = 185;
    double last = shaft.speed_rad_s;
    double t = 0;
    while (shaft.mode == MotorMode::coasting && t < 300) {
        const double ratio = shaft.speed_rad_s / 185.65;
        advance_coasting(model, shaft, 0.1, model.rated_torque_nm * ratio * ratio);
        EXPECT_LE(shaft.speed_rad_s, last);
        last = shaft.speed_rad_s;
        t += 0.1;
    }
    EXPECT_EQ(shaft.mode, MotorMode::at_rest);
    EXPECT_EQ(shaft.speed_rad_s, 0);
    EXPECT_GT(t, 5);
    EXPECT_LT(t, 60);
}

TEST(MotorShaft, coasting_on_a_fan_follows_the_closed_form) {
    // J dw/dt = -T (w / w0)^2  gives  w = w0 / (1 + t T / (J w0)); drag left aside by taking it off the
    // tolerance.
    const MotorModel model(motor_500_hp(), 4);
    MotorShaft shaft;
    shaft.mode = MotorMode::coasting;
    shaft.speed_rad_s = 185;
    double t = 0;
    for (; t < 0.9995; t += 0.001) {
        const double ratio = shaft.speed_rad_s / 185;
        advance_coasting(model, shaft, 0.001, 2000 * ratio * ratio);
    }
    const double closed_form = 185 / (1 + 1.0 * 2000 / (model.inertia_kgm2 * 185));
    EXPECT_NEAR(shaft.speed_rad_s, closed_form, model.drag_nm / model.inertia_kgm2 + 0.2);
}

TEST(MotorShaft, keeps_a_residual_voltage_that_starts_below_the_feed_and_lags_it) {
    const MotorModel model(motor_500_hp(), 4);
    MotorShaft shaft;
    shaft.mode = MotorMode::on_line;
    shaft.speed_rad_s = 185.65;
    begin_coasting(model, shaft, {2300, 60}, 0.25);
    EXPECT_GT(shaft.residual_v, 0.85 * 2300);
    EXPECT_LT(shaft.residual_v, 2300);
    const double behind_deg = 360 * (shaft.residual_cycles - 0.25);
    EXPECT_LT(behind_deg, -2);
    EXPECT_GT(behind_deg, -20);
}

}  // namespace
}  // namespace freshet::plant
