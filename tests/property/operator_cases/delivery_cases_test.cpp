// Cases in which a pump ran without delivering, or water ran back through a pump at rest. Each case prints
// its figures. The bound in a case is the figure of the present controller, and the comment behind the bound
// names the aim.
// One reason to change: a case, or the figure that a case may have.
#include <gtest/gtest.h>

#include <cstdint>
#include <iostream>
#include <string>
#include <vector>

#include "controller/core/alarms.hpp"
#include "tests/property/operator_cases/watched_run.hpp"

namespace freshet::operator_cases {
namespace {

using config::FaultKind;
using core::PumpAlarm;

constexpr std::uint16_t delivery_alarms = core::alarm_bit(PumpAlarm::no_delivery) |
                                          core::alarm_bit(PumpAlarm::flow_back) |
                                          core::alarm_bit(PumpAlarm::flow_lost);

/// When each alarm of the delivery first came, s; -1: never.
struct Alarms {
    double no_delivery_s = -1, flow_back_s = -1, flow_lost_s = -1;
    std::uint32_t pumps = 0;  ///< with any of these alarms, a bit each

    void note(double t_s, const core::Advice& advice) {
        for (std::size_t pump = 0; pump < core::pumps_max; ++pump) {
            const std::uint16_t word = advice.pump_alarms[pump];
            if ((word & delivery_alarms) != 0) pumps |= 1U << pump;
            const auto first = [&](double& at_s, PumpAlarm alarm) {
                if (at_s < 0 && (word & core::alarm_bit(alarm)) != 0) at_s = t_s;
            };
            first(no_delivery_s, PumpAlarm::no_delivery);
            first(flow_back_s, PumpAlarm::flow_back);
            first(flow_lost_s, PumpAlarm::flow_lost);
        }
    }
};

struct DeliveryRun {
    Watched figures;
    Alarms alarms;
};

DeliveryRun run(const std::string& name, const Case& one) {
    DeliveryRun done;
    done.figures = watched_run(one, [&](double t_s, const plant::Plant&, const core::Advice& advice) {
        done.alarms.note(t_s, advice);
    });
    print(name, done.figures);
    std::cout << "backflow " << done.figures.backflow_s << " s; alarms: no delivery after "
              << done.alarms.no_delivery_s << " s, flow back after " << done.alarms.flow_back_s
              << " s, flow lost after " << done.alarms.flow_lost_s << " s, of pumps " << done.alarms.pumps
              << "\n";
    return done;
}

/// Four hours of the demonstration, in which each pump that is faulty has run a while before.
Case with_fault(const std::string& pump, FaultKind kind, double amount, double inflow_m3s, double begins_s) {
    Case one = demonstration_well(constant(inflow_m3s, 4), 2.2);
    one.scenario.faults.push_back(fault(pump, kind, begins_s, 0, amount));
    return one;
}

TEST(DeliveryCase, shut_valve_of_the_pump_that_starts_first) {
    const DeliveryRun done = run("shut valve of pump 2 from the start, 0.4 m3/s",
                                 with_fault("pump_2", FaultKind::blocked, 1, 0.4, 0));
    EXPECT_GT(done.alarms.no_delivery_s, 0);
    EXPECT_LE(done.figures.below_minimum_flow_s, 400);
    EXPECT_EQ(done.figures.overflow_m3, 0);
    EXPECT_EQ(done.alarms.pumps, 0x2U);
}

TEST(DeliveryCase, valve_that_shuts_while_one_pump_runs) {
    const DeliveryRun done = run("valve of pump 2 shuts after an hour, 0.4 m3/s",
                                 with_fault("pump_2", FaultKind::blocked, 1, 0.4, s_per_h));
    EXPECT_GT(done.alarms.no_delivery_s, s_per_h);
    EXPECT_LE(done.alarms.no_delivery_s, s_per_h + 420);
    EXPECT_LE(done.figures.below_minimum_flow_s, 500);
    EXPECT_EQ(done.figures.overflow_m3, 0);
    EXPECT_EQ(done.alarms.pumps, 0x2U);
}

TEST(DeliveryCase, valve_that_shuts_while_three_pumps_run) {
    const DeliveryRun done = run("valve of pump 2 shuts after an hour, 1.6 m3/s",
                                 with_fault("pump_2", FaultKind::blocked, 1, 1.6, s_per_h));
    EXPECT_GT(done.alarms.no_delivery_s, s_per_h);
    EXPECT_LE(done.alarms.no_delivery_s, s_per_h + 300);
    EXPECT_LE(done.figures.below_minimum_flow_s, 500);
    EXPECT_EQ(done.figures.overflow_m3, 0);
    EXPECT_EQ(done.alarms.pumps, 0x2U);
}

TEST(DeliveryCase, shut_valve_without_a_flow_meter) {
    Case one = with_fault("pump_2", FaultKind::blocked, 1, 0.4, s_per_h);
    one.scenario.faults.push_back(fault("station_flow", FaultKind::dead));
    const DeliveryRun done = run("valve of pump 2 shuts after an hour, no flow meter", one);
    EXPECT_GT(done.alarms.no_delivery_s, s_per_h);
    EXPECT_EQ(done.figures.overflow_m3, 0);
    EXPECT_EQ(done.alarms.pumps, 0x2U);
}

TEST(DeliveryCase, shut_valve_without_motor_currents) {
    Case one = with_fault("pump_2", FaultKind::blocked, 1, 0.4, s_per_h);
    for (const std::string pump : {"pump_1", "pump_2", "pump_3", "pump_4"})
        one.scenario.faults.push_back(fault(pump + ".current", FaultKind::dead));
    const DeliveryRun done = run("valve of pump 2 shuts after an hour, no currents", one);
    EXPECT_GT(done.alarms.no_delivery_s, s_per_h);
    EXPECT_EQ(done.figures.overflow_m3, 0);
    EXPECT_EQ(done.alarms.pumps, 0x2U);
}

TEST(DeliveryCase, shut_valve_of_the_last_pump_while_the_well_rises) {
    // The other pumps are switched off. A pump that delivers nothing keeps running, because nobody knows
    // better.
    Case one = with_fault("pump_2", FaultKind::blocked, 1, 0.4, s_per_h);
    for (const std::string pump : {"pump_1", "pump_3", "pump_4"})
        one.scenario.faults.push_back(fault(pump, FaultKind::selector_off));
    bool runs_at_the_end = false;
    Alarms alarms;
    const Watched figures =
        watched_run(one, [&](double t_s, const plant::Plant&, const core::Advice& advice) {
            alarms.note(t_s, advice);
            runs_at_the_end = advice.drive_pump == 1;
        });
    print("shut valve of the last pump", figures);
    EXPECT_GT(alarms.no_delivery_s, s_per_h);
    EXPECT_TRUE(runs_at_the_end);
}

TEST(DeliveryCase, shut_valve_of_a_pump_that_fills_a_tank) {
    Case one = shipped("tank_day");
    one.scenario.faults.push_back(fault("pump_1", FaultKind::blocked, 2 * s_per_h, 0, 1));
    const DeliveryRun done = run("valve of pump 1 shuts after two hours, tank", one);
    EXPECT_GT(done.alarms.no_delivery_s, 2 * s_per_h);
    // The aim is the time in which another pump may start. The pump stops next to a pump that delivers, and starts
    // again after every other pump.
    EXPECT_LE(done.figures.below_minimum_flow_s, 700);
    EXPECT_EQ(done.alarms.pumps, 0x1U);
}

TEST(DeliveryCase, non_return_valve_stuck_open_at_a_pump_at_rest) {
    const DeliveryRun done = run("non-return valve of pump 1 stuck open, 0.4 m3/s",
                                 with_fault("pump_1", FaultKind::valve_stuck_open, 0, 0.4, 0));
    EXPECT_GT(done.alarms.flow_back_s, 0);
    EXPECT_LT(done.alarms.no_delivery_s, 0);
    EXPECT_TRUE((done.alarms.pumps & 1U) != 0);
}

TEST(DeliveryCase, worn_pump) {
    constexpr double head_lost = 0.15;
    const DeliveryRun done = run("pump 2 worn by 15 % of its head, 0.6 m3/s",
                                 with_fault("pump_2", FaultKind::worn, head_lost, 0.6, 0));
    EXPECT_GT(done.alarms.flow_lost_s, 0);
    EXPECT_LT(done.alarms.no_delivery_s, 0);
    EXPECT_EQ(done.alarms.pumps, 0x2U);
}

TEST(DeliveryCase, flow_meter_that_reads_nothing_stops_no_pump) {
    Case one = demonstration_well(constant(0.4, 4), 2.2);
    one.scenario.faults.push_back(fault("station_flow", FaultKind::offset, s_per_h, 0, -0.6));
    const DeliveryRun done = run("flow meter 0.6 m3/s low at 0.4 m3/s", one);
    EXPECT_EQ(done.alarms.pumps, 0U);
    EXPECT_EQ(done.figures.starts, 1);
}

TEST(DeliveryCase, flow_meter_that_is_frozen_stops_no_pump) {
    Case one = demonstration_well({{0, 0.4},
                                   {s_per_h, 0.4},
                                   {1.2 * s_per_h, 1.9},
                                   {2.5 * s_per_h, 1.9},
                                   {3 * s_per_h, 0.3},
                                   {4 * s_per_h, 0.3}},
                                  2.2);
    one.scenario.faults.push_back(fault("station_flow", FaultKind::frozen, 0.9 * s_per_h));
    const DeliveryRun done = run("flow meter frozen", one);
    EXPECT_EQ(done.alarms.pumps, 0U);
    EXPECT_EQ(done.figures.overflow_m3, 0);
}

TEST(DeliveryCase, shipped_scenarios_without_a_fault_raise_no_alarm_of_delivery) {
    for (const std::string name :
         {"dry_day", "design_storm", "cloudburst", "emergency_stop", "tank_day", "booster_day"}) {
        const DeliveryRun done = run(name, shipped(name));
        EXPECT_EQ(done.alarms.pumps, 0U) << name;
    }
}

}  // namespace
}  // namespace freshet::operator_cases
