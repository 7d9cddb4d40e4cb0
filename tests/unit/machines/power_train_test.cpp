// The electrical side as a whole: starts, hand-overs, take-backs, faults.
#include "sim_plant/physics/power_train.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstring>

#include "sim_plant/physics/closing.hpp"
#include "tests/unit/machines/textbook_station.hpp"

namespace freshet::plant {
namespace {

using config::FaultKind;
using testing::Bench;
using testing::textbook_station;

constexpr double deg = 180 / 3.14159265358979323846;

void start_on_drive(Bench& bench, std::size_t pump, double hz) {
    bench.orders.pumps[pump].drive_side_close = true;
    bench.orders.output_close = true;
    bench.run(0.3);
    bench.orders.drive_run = true;
    bench.orders.speed_hz = hz;
    bench.run(20);
}

/// Starts a motor on the line and waits until it is settled there.
void bring_onto_line(Bench& bench, std::size_t pump) {
    bench.orders.pumps[pump].line_side_close = true;
    bench.run(0.2);
    EXPECT_GE(bench.until([&](const PowerTrainState&) { return bench.train.settled(); }, 60), 0);
}

/// Synchronises and closes the line side; true when the motor is on both.
bool hand_over_to_both(Bench& bench, std::size_t pump) {
    bench.orders.speed_hz = 60;
    bench.run(6);
    bench.orders.synchronise = true;
    if (bench.until([](const PowerTrainState& s) { return s.drive_in_sync; }, 30) < 0) return false;
    bench.orders.pumps[pump].line_side_close = true;
    return bench.until([&](const PowerTrainState& s) { return s.motors[pump].line_side_closed; }, 1, 0.01) >=
           0;
}

void release_drive(Bench& bench, std::size_t pump) {
    bench.orders.output_close = false;
    bench.run(0.1);
    bench.orders.pumps[pump].drive_side_close = false;
    bench.orders.synchronise = false;
    bench.orders.drive_run = false;
    bench.run(0.2);
}

TEST(PowerTrain, starts_a_motor_on_the_drive_without_inrush) {
    Bench bench;
    bench.orders.pumps[0].drive_side_close = true;
    bench.orders.output_close = true;
    bench.run(0.3);
    bench.orders.drive_run = true;
    bench.orders.speed_hz = 60;
    double highest_a = 0;
    for (int i = 0; i < 250; ++i) highest_a = std::max(highest_a, bench.step().motors[0].current_a);
    EXPECT_EQ(bench.train.state().motors[0].mode, MotorMode::on_drive);
    EXPECT_NEAR(bench.train.state().motors[0].speed_rad_s, 185.65, 0.1);
    EXPECT_LT(highest_a, 130) << "the current limit";
    EXPECT_FALSE(bench.train.state().drive_tripped);
}

TEST(PowerTrain, hands_over_in_phase_and_frees_the_drive) {
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
        Bench bench(textbook_station(), seed);
        start_on_drive(bench, 0, 45);
        ASSERT_TRUE(hand_over_to_both(bench, 0)) << "seed " << seed;
        EXPECT_EQ(bench.train.state().motors[0].mode, MotorMode::on_both);
        EXPECT_LT(std::abs(bench.last_closing.angle_deg), 6) << "seed " << seed;
        EXPECT_EQ(bench.last_closing.contactor, ContactorAt::line_side);
        EXPECT_FALSE(bench.last_closing.from_rest);
        EXPECT_LT(bench.last_closing.resultant_v_per_hz_pu, 0.12);
        release_drive(bench, 0);
        EXPECT_EQ(bench.train.state().motors[0].mode, MotorMode::on_line);
        EXPECT_FALSE(bench.train.state().drive_running);
        EXPECT_FALSE(bench.train.state().drive_tripped);
    }
}

TEST(PowerTrain, takes_a_motor_back_from_the_line) {
    Bench bench;
    bring_onto_line(bench, 2);
    bench.orders.output_close = true;
    bench.orders.drive_run = true;
    bench.orders.speed_hz = 60;
    bench.run(20);
    bench.orders.synchronise = true;
    ASSERT_GE(bench.until([](const PowerTrainState& s) { return s.drive_in_sync; }, 30), 0);
    bench.orders.pumps[2].drive_side_close = true;
    ASSERT_GE(bench.until([](const PowerTrainState& s) { return s.motors[2].drive_side_closed; }, 1, 0.01),
              0);
    EXPECT_EQ(bench.last_closing.contactor, ContactorAt::drive_side);
    EXPECT_LT(std::abs(bench.last_closing.angle_deg), 6);
    bench.orders.pumps[2].line_side_close = false;
    bench.run(0.1);
    EXPECT_EQ(bench.train.state().motors[2].mode, MotorMode::on_drive);
    bench.orders.synchronise = false;
    bench.orders.speed_hz = 45;
    bench.run(10);
    EXPECT_NEAR(bench.train.state().drive_frequency_hz, 45, 1e-9);
    EXPECT_NEAR(bench.train.state().motors[2].speed_rad_s, 139.8, 0.5);
    EXPECT_FALSE(bench.train.state().drive_tripped);
}

TEST(PowerTrain, studies_the_shock_of_each_closing) {
    Bench bench;
    start_on_drive(bench, 0, 45);
    ASSERT_TRUE(hand_over_to_both(bench, 0));
    EXPECT_GT(bench.last_closing.peak_current_ratio, 1);
    EXPECT_LT(bench.last_closing.peak_current_ratio, 1.6);
    EXPECT_GT(bench.last_closing.torque_max_ratio, 0.9);
}

TEST(PowerTrain, shows_what_a_closing_out_of_phase_does) {
    config::Station station = textbook_station();
    station.supply.frequency_wander_hz = 0;
    Bench bench(station);
    start_on_drive(bench, 0, 60.5);
    bench.run(10);
    // Half a hertz apart, the angle goes round every two seconds: order the closing near opposition.
    ASSERT_GE(bench.until([](const PowerTrainState& s) { return std::abs(s.drive_ahead_rad * deg) > 150; }, 5,
                          0.01),
              0);
    bench.orders.pumps[0].line_side_close = true;
    bench.run(0.1, 0.01);
    EXPECT_GT(std::abs(bench.last_closing.angle_deg), 120);
    EXPECT_GT(bench.last_closing.peak_current_ratio, 10);
    EXPECT_GT(bench.last_closing.resultant_v_per_hz_pu, 1.33);
    EXPECT_TRUE(bench.train.state().drive_tripped);
}

TEST(PowerTrain, line_start_sags_the_bus_and_recovers) {
    Bench bench;
    bench.run(1);
    const double before = bench.train.state().line_voltage_v;
    bench.orders.pumps[1].line_side_close = true;
    bench.run(0.5);
    EXPECT_TRUE(bench.last_closing.from_rest);
    EXPECT_GT(bench.train.state().motors[1].current_a, 450);
    EXPECT_LT(bench.train.state().line_voltage_v, 0.975 * before);
    ASSERT_GE(bench.until([](const PowerTrainState& s) { return s.motors[1].speed_rad_s > 184; }, 10), 0);
    bench.run(1);
    EXPECT_GT(bench.train.state().line_voltage_v, 0.985 * before);
    EXPECT_NEAR(bench.train.state().motors[1].current_a, 104, 4);
}

TEST(PowerTrain, does_not_start_on_a_supply_too_weak_to_hold_its_contactors) {
    config::Station station = textbook_station();
    station.supply.short_circuit_va = 3e6;
    Bench bench(station);
    bench.orders.pumps[1].line_side_close = true;
    bench.run(3);
    EXPECT_FALSE(bench.train.state().motors[1].line_side_closed) << "the dip lets its contactor fall out";
    EXPECT_EQ(bench.closings, 1U) << "and it must not chatter";
}

TEST(PowerTrain, loss_of_supply_opens_everything_and_a_standing_order_closes_nothing_on_return) {
    Bench bench;
    start_on_drive(bench, 0, 45);
    bring_onto_line(bench, 1);
    bench.run(2);
    bench.train.set_line_fault(FaultKind::lost, true);
    bench.run(1);
    EXPECT_EQ(bench.train.state().line_voltage_v, 0);
    EXPECT_FALSE(bench.train.state().motors[0].drive_side_closed);
    EXPECT_FALSE(bench.train.state().motors[1].line_side_closed);
    EXPECT_EQ(bench.train.state().motors[1].mode, MotorMode::coasting);
    EXPECT_TRUE(bench.train.state().drive_tripped);
    bench.train.set_line_fault(FaultKind::lost, false);
    const std::size_t closings_before = bench.closings;
    bench.run(5);
    EXPECT_FALSE(bench.train.state().motors[1].line_side_closed);
    EXPECT_EQ(bench.closings, closings_before);
}

TEST(PowerTrain, rides_through_a_dip_above_drop_out) {
    Bench bench;
    bring_onto_line(bench, 1);
    bench.run(2);
    bench.train.set_line_fault(FaultKind::dip, true, 0.25);
    bench.run(1);
    EXPECT_TRUE(bench.train.state().motors[1].line_side_closed);
    EXPECT_GT(bench.train.state().motors[1].current_a, 120) << "the same torque from less voltage";
    bench.train.set_line_fault(FaultKind::dip, false);
    bench.run(3);
    EXPECT_NEAR(bench.train.state().motors[1].current_a, 104, 4);
}

TEST(PowerTrain, residual_voltage_decays_and_its_closing_is_recorded_with_its_angle) {
    Bench bench;
    bring_onto_line(bench, 1);
    bench.run(2);
    bench.orders.pumps[1].line_side_close = false;
    bench.run(0.2);
    EXPECT_EQ(bench.train.state().motors[1].mode, MotorMode::coasting);
    bench.orders.pumps[1].line_side_close = true;
    bench.run(0.2);
    EXPECT_FALSE(bench.last_closing.from_rest);
    EXPECT_LT(bench.last_closing.slip_hz, -5);
    EXPECT_GT(bench.last_closing.resultant_v_per_hz_pu, 0.1);
}

TEST(PowerTrain, fast_reclosing_agrees_with_the_closing_study_of_the_same_gap) {
    config::Station station = textbook_station();
    station.supply.voltage_v = 2300;
    station.supply.frequency_wander_hz = station.supply.voltage_wander_ratio = 0;
    station.supply.short_circuit_va = 1e12;
    station.line_side.spread_s = 0;
    Bench bench(station);
    bring_onto_line(bench, 0);
    bench.run(5);
    bench.orders.pumps[0].line_side_close = false;
    bench.run(0.1, 0.001);  // opens after 30 ms, then 70 ms open
    bench.orders.pumps[0].line_side_close = true;
    bench.run(0.07, 0.001);  // closes after 60 ms: 130 ms open
    ClosingCase closing;
    closing.gap_s = 0.13;
    closing.pump_inertia_kgm2 = station.pump.inertia_kgm2;
    const ClosingResult study = closing_study(bench.train.model().motor(), closing);
    EXPECT_NEAR(bench.last_closing.slip_hz + 60, study.terminal_hz, 0.2);
    EXPECT_NEAR(bench.last_closing.angle_deg, study.terminal_angle_deg, 5);
    EXPECT_NEAR(bench.last_closing.resultant_v_per_hz_pu, study.resultant_v_per_hz_pu, 0.05);
}

TEST(PowerTrain, coasting_motor_on_the_bus_trips_a_drive_that_cannot_catch_it) {
    Bench bench;
    start_on_drive(bench, 0, 50);
    bench.orders.drive_run = false;
    bench.run(0.5);
    bench.orders.drive_run = true;
    bench.run(0.3);
    EXPECT_TRUE(bench.train.state().drive_tripped);
}

TEST(PowerTrain, flying_start_catches_a_coasting_motor) {
    config::Station station = textbook_station();
    station.drive.flying_start = true;
    Bench bench(station);
    start_on_drive(bench, 0, 50);
    bench.orders.drive_run = false;
    bench.run(0.5);
    bench.orders.drive_run = true;
    bench.run(20);
    EXPECT_FALSE(bench.train.state().drive_tripped);
    EXPECT_NEAR(bench.train.state().drive_frequency_hz, 50, 1e-6);
    EXPECT_EQ(bench.train.state().motors[0].mode, MotorMode::on_drive);
}

TEST(PowerTrain, drive_side_closed_on_a_motor_at_rest_under_a_running_drive_trips_it) {
    Bench bench;
    bench.orders.output_close = true;
    bench.orders.drive_run = true;
    bench.orders.speed_hz = 60;
    bench.run(20);
    bench.orders.pumps[3].drive_side_close = true;
    bench.run(0.5);
    EXPECT_TRUE(bench.train.state().drive_tripped);
}

TEST(PowerTrain, holds_the_current_limit_by_holding_back_the_ramp) {
    config::Station station = textbook_station();
    station.drive.ramp_up_hz_s = 30;
    station.pump.inertia_kgm2 = 60;
    Bench bench(station);
    bench.orders.pumps[0].drive_side_close = true;
    bench.orders.output_close = true;
    bench.orders.drive_run = true;
    bench.orders.speed_hz = 60;
    double highest_a = 0;
    for (int i = 0; i < 300; ++i) highest_a = std::max(highest_a, bench.step().motors[0].current_a);
    EXPECT_LT(highest_a, 133);
    EXPECT_GT(highest_a, 120);
    EXPECT_NEAR(bench.train.state().drive_frequency_hz, 60, 1e-6);
}

TEST(PowerTrain, pump_trip_opens_both_contactors_and_holds_them) {
    Bench bench;
    start_on_drive(bench, 0, 45);
    bench.train.set_pump_trip(0, true);
    bench.run(0.5);
    EXPECT_FALSE(bench.train.state().motors[0].drive_side_closed);
    EXPECT_TRUE(bench.train.state().motors[0].tripped);
    bench.train.set_pump_trip(0, false);
    bench.run(0.5);
    EXPECT_FALSE(bench.train.state().motors[0].drive_side_closed) << "needs a new order";
}

TEST(PowerTrain, emergency_stop_opens_everything_while_it_is_operated) {
    Bench bench;
    start_on_drive(bench, 0, 45);
    bring_onto_line(bench, 1);
    bench.run(1);
    bench.train.set_emergency_stop(true);
    bench.run(0.5);
    EXPECT_FALSE(bench.train.state().drive_running);
    EXPECT_FALSE(bench.train.state().output_closed);
    EXPECT_FALSE(bench.train.state().motors[1].line_side_closed);
    bench.orders = {};
    bench.run(0.2);
    bench.orders.pumps[1].line_side_close = true;
    bench.run(0.5);
    EXPECT_FALSE(bench.train.state().motors[1].line_side_closed);
}

TEST(PowerTrain, auxiliary_contacts_may_lie_while_the_true_ones_do_not) {
    Bench bench;
    bench.train.set_contactor_fault(ContactorAt::line_side, 1, FaultKind::lies_closed, true);
    bench.run(0.2);
    EXPECT_TRUE(bench.train.state().motors[1].line_side_auxiliary);
    EXPECT_FALSE(bench.train.state().motors[1].line_side_closed);
    EXPECT_EQ(bench.train.state().motors[1].mode, MotorMode::at_rest);
}

TEST(PowerTrain, drive_output_that_does_not_open_keeps_the_motor_on_both) {
    Bench bench;
    start_on_drive(bench, 0, 45);
    ASSERT_TRUE(hand_over_to_both(bench, 0));
    bench.train.set_contactor_fault(ContactorAt::drive_output, 0, FaultKind::does_not_open, true);
    bench.orders.output_close = false;
    bench.run(2);
    EXPECT_EQ(bench.train.state().motors[0].mode, MotorMode::on_both);
    bench.orders.pumps[0].drive_side_close = false;
    bench.run(0.2);
    EXPECT_EQ(bench.train.state().motors[0].mode, MotorMode::on_line);
}

TEST(PowerTrain, in_sync_lost_on_both_trips_the_drive_and_leaves_the_motor_on_the_line) {
    Bench bench;
    start_on_drive(bench, 0, 45);
    ASSERT_TRUE(hand_over_to_both(bench, 0));
    bench.train.set_drive_fault(FaultKind::slips_out_of_sync, true, 0.4);
    bench.run(6);
    EXPECT_TRUE(bench.train.state().drive_tripped);
    EXPECT_EQ(bench.train.state().motors[0].mode, MotorMode::on_line);
    EXPECT_NEAR(bench.train.state().motors[0].speed_rad_s, 185.7, 0.5);
}

TEST(PowerTrain, energy_is_the_line_sides_with_the_drives_losses) {
    Bench bench;
    start_on_drive(bench, 0, 50);
    bring_onto_line(bench, 1);
    bench.run(5);
    const PowerTrainState& s = bench.train.state();
    EXPECT_NEAR(s.line_power_w, s.drive_input_w + s.motors[1].electrical_power_w, 1e-6);
    const double efficiency = s.motors[0].electrical_power_w / s.drive_input_w;
    EXPECT_GT(efficiency, 0.95);
    EXPECT_LT(efficiency, 0.975);
    const double before_j = s.energy_j;
    bench.step();
    EXPECT_NEAR(bench.train.state().energy_j - before_j, bench.train.state().line_power_w * 0.1,
                1e-6 * before_j);
}

TEST(PowerTrain, power_drawn_covers_the_shaft_and_the_losses) {
    Bench bench;
    bring_onto_line(bench, 1);
    bench.run(10);
    const MotorState& motor = bench.train.state().motors[1];
    const double shaft_w = motor.torque_nm * motor.speed_rad_s;
    EXPECT_GT(motor.electrical_power_w, shaft_w);
    EXPECT_NEAR(shaft_w / motor.electrical_power_w, 0.963, 0.003)
        << "the textbook machine: copper losses alone";
}

TEST(PowerTrain, winding_warms_towards_its_rated_rise) {
    Bench bench;
    bring_onto_line(bench, 1);
    bench.run(4 * 3600, 1);
    EXPECT_NEAR(bench.train.state().motors[1].winding_temperature_k, 298.15 + 80 * 0.965, 4);
    EXPECT_NEAR(bench.train.state().motors[0].winding_temperature_k, 298.15, 1e-9);
}

TEST(PowerTrain, gives_the_same_to_the_last_bit_for_the_same_seed) {
    const auto run = [](std::uint64_t seed) {
        Bench bench(textbook_station(), seed);
        start_on_drive(bench, 0, 45);
        EXPECT_TRUE(hand_over_to_both(bench, 0));
        release_drive(bench, 0);
        bench.run(30);
        return bench.train.state();
    };
    const PowerTrainState a = run(9);
    const PowerTrainState b = run(9);
    EXPECT_EQ(a.energy_j, b.energy_j);
    EXPECT_EQ(a.line_voltage_v, b.line_voltage_v);
    EXPECT_EQ(a.motors[0].speed_rad_s, b.motors[0].speed_rad_s);
    EXPECT_NE(run(10).energy_j, a.energy_j);
}

TEST(PowerTrain, settled_steps_follow_load_and_frequency_within_a_thousandth) {
    // Four motors, the settled path; every tenth step is compared with the circuit itself.
    PowerTrain train(textbook_station(), 4);
    Orders orders;
    std::array<double, 8> load{};
    for (std::size_t i = 1; i < 4; ++i) {
        orders.pumps[i].line_side_close = true;
        load[i] = 500;
        for (int n = 0; n < 100; ++n) train.step(0.1, orders, load);
        load[i] = 2000;
    }
    orders.pumps[0].drive_side_close = orders.output_close = true;
    orders.speed_hz = 50;
    for (int i = 0; i < 5; ++i) train.step(0.1, orders, load);
    orders.drive_run = true;
    for (int i = 0; i < 300; ++i) {
        const double ratio = train.state().motors[0].speed_rad_s / train.rated_speed_rad_s();
        load[0] = train.model().rated_torque_nm * ratio * ratio;
        train.step(0.1, orders, load);
    }
    const config::MotorCircuit& circuit = train.model().circuit();
    double energy_j = train.state().energy_j;
    for (int n = 0; n < 3000; ++n) {
        load[0] = 1400 + 0.1 * (n % 700);
        load[1] = 2000 - 0.2 * n;
        load[2] = 1500 + 0.17 * n;
        const PowerTrainState& s = train.step(0.1, orders, load);
        energy_j += 0.1 * s.line_power_w;
        if (n % 10 != 9) continue;
        for (std::size_t i = 1; i < 4; ++i) {
            const double slip =
                config::slip_for_torque(circuit, 4, 60, s.line_voltage_v, s.line_frequency_hz, load[i]);
            const config::MotorPoint exact =
                config::circuit_point(circuit, 4, 60, s.line_voltage_v, s.line_frequency_hz, slip);
            const double speed = config::synchronous_speed(s.line_frequency_hz, 4) * (1 - slip);
            ASSERT_NEAR(s.motors[i].speed_rad_s, speed, 2e-4 * speed) << "pump " << i << " step " << n;
            ASSERT_NEAR(s.motors[i].current_a, exact.current_a, 2e-3 * 105) << "pump " << i << " step " << n;
            ASSERT_NEAR(s.motors[i].electrical_power_w, exact.input_w, 1.5e-3 * 373e3)
                << "pump " << i << " step " << n;
        }
    }
    EXPECT_NEAR(train.state().energy_j, energy_j, 1e-9 * energy_j);
}

TEST(PowerTrain, draws_nothing_when_nothing_runs) {
    Bench bench;
    bench.run(100);
    EXPECT_EQ(bench.train.state().energy_j, 0);
    EXPECT_EQ(bench.closings, 0U);
}

TEST(PowerTrain, two_motors_on_the_drive_by_mistake_overload_it) {
    Bench bench;
    bench.orders.pumps[0].drive_side_close = bench.orders.pumps[1].drive_side_close = true;
    bench.orders.output_close = true;
    bench.run(0.3);
    bench.orders.drive_run = true;
    bench.orders.speed_hz = 62;
    bench.run(30);
    EXPECT_GT(bench.train.state().motors[1].speed_rad_s, 0) << "both turn";
    EXPECT_TRUE(bench.train.state().drive_current_a > 130 || bench.train.state().drive_tripped);
}

}  // namespace
}  // namespace freshet::plant
