// Circuits from nameplates.
#include "sim_plant/physics/nameplate.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "config/electrics/motor_circuit.hpp"
#include "tests/doubles/plate_at_a_limit.hpp"
#include "tests/unit/machines/textbook_station.hpp"

namespace freshet::plant {
namespace {

/// An invented 500 hp, 4000 V motor's plate.
config::Motor plate_500_hp() {
    config::Motor motor;
    motor.poles = 4;
    motor.nameplate = {.power_w = 373e3,
                       .voltage_v = 4000,
                       .frequency_hz = 60,
                       .speed_rpm = 1785,
                       .current_a = 63.2,
                       .power_factor = 0.89,
                       .efficiency = 0.955,
                       .locked_rotor_current_ratio = 6,
                       .locked_rotor_torque_ratio = 0.8,
                       .breakdown_torque_ratio = 2.2};
    motor.inertia_kgm2 = 10;
    return motor;
}

TEST(Nameplate, gives_a_circuit_that_meets_every_figure_of_a_sound_plate) {
    const CircuitEstimate estimate = estimate_circuit(plate_500_hp());
    EXPECT_LT(estimate.worst_error, 0.005);
    for (const PlateCheck& check : estimate.checks) {
        EXPECT_FALSE(check.assumed) << check.figure;
        EXPECT_LT(std::abs(check.error()), 0.005) << check.figure;
    }
}

TEST(Nameplate, names_what_it_had_to_assume) {
    config::Motor motor = plate_500_hp();
    motor.nameplate.locked_rotor_torque_ratio = 0;
    motor.nameplate.efficiency = 0;
    motor.nameplate.power_factor = 0;
    const CircuitEstimate estimate = estimate_circuit(motor);
    int assumed = 0;
    for (const PlateCheck& check : estimate.checks) assumed += check.assumed ? 1 : 0;
    EXPECT_EQ(assumed, 3);
    EXPECT_LT(estimate.worst_error, 0.02);
}

TEST(Nameplate, finds_again_the_circuit_that_a_plate_was_made_from) {
    // The textbook circuit's own figures as a plate: leakage, magnetising and rotor branches come back; the
    // stator resistance is the loss balance's, which the textbook machine (no core loss, no friction) does
    // not share.
    for (config::Motor motor : {testing::motor_500_hp(), testing::motor_2250_hp()}) {
        const config::MotorCircuit c = motor.circuit;
        config::Nameplate& p = motor.nameplate;
        const double slip = 1 - p.speed_rpm / 1800;
        const config::MotorPoint run = config::circuit_point(c, 4, 60, 2300, 60, slip);
        const config::MotorPoint locked = config::circuit_point(c, 4, 60, 2300, 60, 1);
        p.power_w = run.torque_nm * config::synchronous_speed(60, 4) * (1 - slip);
        p.current_a = run.current_a;
        p.power_factor = run.input_w / std::hypot(run.input_w, run.reactive_var);
        p.efficiency = p.power_w / run.input_w;
        p.breakdown_torque_ratio = config::breakdown(c, 4, 60, 2300, 60).torque_nm / run.torque_nm;
        p.locked_rotor_current_ratio = locked.current_a / run.current_a;
        p.locked_rotor_torque_ratio = locked.torque_nm / run.torque_nm;
        motor.has_circuit = false;
        const config::MotorCircuit found = estimate_circuit(motor).motor.circuit;
        EXPECT_NEAR(found.rr_ohm / c.rr_ohm, 1, 0.03);
        EXPECT_NEAR(found.xm_ohm / c.xm_ohm, 1, 0.03);
        EXPECT_NEAR((found.xls_ohm + found.xlr_ohm) / (c.xls_ohm + c.xlr_ohm), 1, 0.1);
    }
}

TEST(Nameplate, gives_one_circuit_whatever_the_last_digits_of_the_plate_are) {
    constexpr double least_xlr_ratio = 0.3;
    constexpr double last_digits = 1e-13, hardly_any = 1e-9;
    const config::MotorCircuit circuit = estimate_circuit(doubles::plate_at_a_limit()).motor.circuit;
    ASSERT_NEAR(circuit.xlr_standstill_ratio, least_xlr_ratio, hardly_any);
    for (int more = -3; more <= 3; ++more) {
        config::Motor motor = doubles::plate_at_a_limit();
        motor.nameplate.current_a *= 1 + more * last_digits;

        const config::MotorCircuit near = estimate_circuit(motor).motor.circuit;

        EXPECT_NEAR(near.rr_ohm / circuit.rr_ohm, 1, hardly_any) << more;
        EXPECT_NEAR(near.xm_ohm / circuit.xm_ohm, 1, hardly_any) << more;
        EXPECT_NEAR(near.xls_ohm / circuit.xls_ohm, 1, hardly_any) << more;
        EXPECT_NEAR(near.rr_standstill_ratio / circuit.rr_standstill_ratio, 1, hardly_any) << more;
    }
}

TEST(Nameplate, leaves_a_given_circuit_alone) {
    const config::Motor motor = testing::motor_500_hp();
    EXPECT_EQ(with_circuit(motor).circuit.rr_ohm, motor.circuit.rr_ohm);
}

}  // namespace
}  // namespace freshet::plant
