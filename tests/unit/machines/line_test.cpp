// The supply: wander, angle, sag, faults.
#include "sim_plant/physics/line.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace freshet::plant {
namespace {

using config::FaultKind;

config::Supply supply_of(double short_circuit_va) {
    config::Supply supply;
    supply.voltage_v = 2300;
    supply.frequency_hz = 60;
    supply.short_circuit_va = short_circuit_va;
    return supply;
}

TEST(Line, is_the_same_for_the_same_seed_and_another_for_another) {
    Line a(supply_of(60e6), 5);
    Line b(supply_of(60e6), 5);
    Line c(supply_of(60e6), 6);
    for (int i = 0; i < 1000; ++i) {
        a.advance(0.1);
        b.advance(0.1);
        c.advance(0.1);
    }
    EXPECT_EQ(a.frequency_hz(), b.frequency_hz());
    EXPECT_EQ(a.voltage_v(), b.voltage_v());
    EXPECT_EQ(a.cycles(), b.cycles());
    EXPECT_NE(a.frequency_hz(), c.frequency_hz());
}

TEST(Line, wanders_with_the_standard_deviation_it_was_given_and_never_far) {
    Line line(supply_of(60e6), 11);
    double squares = 0;
    double voltage_squares = 0;
    double furthest = 0;
    constexpr int seconds = 200000;
    for (int i = 0; i < seconds; ++i) {
        line.advance(1);
        const double off = line.frequency_hz() - 60;
        squares += off * off;
        voltage_squares += std::pow(line.voltage_v() / 2300 - 1, 2);
        furthest = std::max(furthest, std::abs(off));
    }
    EXPECT_NEAR(std::sqrt(squares / seconds), 0.02, 0.002);
    EXPECT_NEAR(std::sqrt(voltage_squares / seconds), 0.005, 0.0006);
    EXPECT_LT(furthest, 0.15);
}

TEST(Line, turns_by_the_integral_of_its_frequency) {
    config::Supply supply = supply_of(60e6);
    supply.frequency_wander_hz = 0;
    Line line(supply, 3);
    const double begin = line.cycles();
    for (int i = 0; i < 7; ++i) line.advance(0.1);
    EXPECT_NEAR(std::remainder(line.cycles() - begin - 42.0, 1.0), 0, 1e-9);
}

TEST(Line, sags_under_a_load_by_its_short_circuit_power) {
    config::Supply supply = supply_of(50e6);
    supply.voltage_wander_ratio = 0;
    supply.short_circuit_x_over_r = 1e6;
    Line line(supply, 3);
    // Reactive load drawn at 2300 V of a tenth of the short-circuit power: V = E / (1 + 0.1).
    line.load(0, 5e6);
    EXPECT_NEAR(line.voltage_v(), 2300 / 1.1, 0.01);
}

TEST(Line, loses_the_dipped_share_and_finds_it_again) {
    config::Supply supply = supply_of(50e6);
    supply.voltage_wander_ratio = 0;
    Line line(supply, 3);
    line.set_fault(FaultKind::dip, true, 0.3);
    line.advance(0.1);
    EXPECT_NEAR(line.voltage_v(), 0.7 * 2300, 0.01);
    line.set_fault(FaultKind::dip, false, 0);
    line.advance(0.1);
    EXPECT_NEAR(line.voltage_v(), 2300, 0.01);
}

TEST(Line, is_dead_when_lost_and_alive_again_on_a_weaker_generator) {
    Line line(supply_of(50e6), 3);
    line.set_fault(FaultKind::lost, true, 0);
    line.advance(0.1);
    EXPECT_FALSE(line.live());
    EXPECT_EQ(line.voltage_v(), 0);
    line.set_fault(FaultKind::generator, true, 4e6);
    line.load(0, 0);
    EXPECT_TRUE(line.live());
    EXPECT_TRUE(line.on_generator());
    EXPECT_GT(line.voltage_v(), 2000);
    line.load(0, 1e6);
    EXPECT_LT(line.voltage_v(), 0.85 * 2300);
}

}  // namespace
}  // namespace freshet::plant
