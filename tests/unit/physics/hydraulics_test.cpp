// The stepped water side: what it reports, how valves, faults and stores behave, in each duty.
#include "sim_plant/physics/hydraulics.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "sample_water_station.hpp"
#include "sim_plant/physics/surge.hpp"
#include "tests/doubles/operating_point.hpp"

namespace {

using namespace freshet;
using namespace freshet::plant;
using namespace freshet::doubles;
using tests::booster_station;
using tests::tank_station;
using tests::water_station;

constexpr double step_s = 0.1;

HydraulicInputs inputs_of(std::initializer_list<double> speeds, double inflow_m3s) {
    HydraulicInputs inputs;
    std::copy(speeds.begin(), speeds.end(), inputs.speed_ratio.begin());
    inputs.inflow_m3s = inflow_m3s;
    return inputs;
}

const HydraulicState& run(Hydraulics& hydraulics, const HydraulicInputs& inputs, double lasts_s) {
    for (int i = 0; i < static_cast<int>(std::lround(lasts_s / step_s)); ++i) hydraulics.step(step_s, inputs);
    return hydraulics.state();
}

/// Runs with an inflow equal to the pumped flow, so that the level stays constant while the flow settles.
const HydraulicState& settle(Hydraulics& hydraulics, HydraulicInputs inputs, double lasts_s = 600) {
    for (int i = 0; i < static_cast<int>(std::lround(lasts_s / step_s)); ++i) {
        inputs.inflow_m3s = std::max(0.0, hydraulics.state().main_flow_m3s);
        hydraulics.step(step_s, inputs);
    }
    return hydraulics.state();
}

TEST(Hydraulics, refuses_a_station_that_contradicts_itself_and_says_why) {
    config::Station station = water_station();
    station.main.discharge_level_m = 60;
    try {
        const Hydraulics hydraulics(station, 3);
        FAIL() << "built a station whose pumps cannot lift";
    } catch (const std::invalid_argument& problem) {
        EXPECT_NE(std::string(problem.what()).find("static head"), std::string::npos);
    }
}

TEST(Hydraulics, at_rest_the_well_fills_and_the_header_shows_the_static_head) {
    Hydraulics hydraulics(water_station(), 2);
    const HydraulicState& state = run(hydraulics, inputs_of({}, 0.7), 100);
    EXPECT_NEAR(state.volume_m3, 60 + 70, 1e-9);
    EXPECT_NEAR(state.level_m, 3, 1e-9);
    EXPECT_EQ(state.main_flow_m3s, 0);
    EXPECT_NEAR(state.header_head_m, 25, 1e-12);
    EXPECT_NEAR(state.header_pressure_m, 24.5, 1e-12);
}

TEST(Hydraulics, settles_where_the_steady_figures_say) {
    Hydraulics hydraulics(water_station(), 4);
    const HydraulicState& state = settle(hydraulics, inputs_of({1, 1, 0.93}, 0));
    const std::array<double, 3> speeds{1, 1, 0.93};
    const OperatingPoint point = operating_point(water_station(), speeds, state.level_m);
    // Settled flows are held while the lift moves by less than a hundred-thousandth of the shut-off head.
    EXPECT_NEAR(state.main_flow_m3s, point.total_flow_m3s, 3e-5);
    EXPECT_NEAR(state.header_head_m, point.header_head_m, 1e-3);
    for (std::size_t i = 0; i < 3; ++i) {
        EXPECT_NEAR(state.flow_m3s[i], point.flow_m3s[i], 2e-5);
        EXPECT_NEAR(state.shaft_power_w[i], point.shaft_power_w[i], 1e-4 * point.shaft_power_w[i]);
    }
    EXPECT_EQ(state.flow_m3s[3], 0);
    EXPECT_EQ(state.shaft_torque_nm[3], 0);
}

TEST(Hydraulics, a_pump_below_the_headers_head_churns_and_says_so) {
    Hydraulics hydraulics(water_station(), 4);
    const HydraulicState& state = settle(hydraulics, inputs_of({1, 0.55}, 0));
    EXPECT_EQ(state.flow_m3s[1], 0);
    EXPECT_GT(state.shaft_torque_nm[1], 0);
    EXPECT_TRUE(state.below_minimum_flow[1]);
    EXPECT_FALSE(state.below_minimum_flow[0]);
    EXPECT_EQ(state.flow_m3s[1], 0);
    EXPECT_FALSE(state.backflow[1]);
}

TEST(Hydraulics, water_runs_on_after_a_trip_then_the_valves_shut_and_nothing_comes_back) {
    Hydraulics hydraulics(water_station(), 4);
    const double before = settle(hydraulics, inputs_of({1, 1}, 0)).main_flow_m3s;
    const HydraulicInputs tripped = inputs_of({}, 0);
    EXPECT_GT(hydraulics.step(step_s, tripped).main_flow_m3s, 0.9 * before) << "the column carries on";
    bool came_back = false;
    double least_head = 1e9;
    for (int i = 0; i < 3000; ++i) {
        const HydraulicState& state = hydraulics.step(step_s, tripped);
        came_back = came_back || state.main_flow_m3s < 0;
        least_head = std::min(least_head, state.header_head_m);
    }
    EXPECT_LT(least_head, 5) << "the header is sucked down while the column slows";
    EXPECT_TRUE(came_back) << "for the half second that the discs need";
    EXPECT_EQ(hydraulics.state().main_flow_m3s, 0);
    EXPECT_NEAR(hydraulics.state().header_head_m, 25, 1e-9);
    EXPECT_FALSE(hydraulics.state().backflow[0]);
}

TEST(Hydraulics, a_faster_valve_lets_less_back) {
    const auto backflow_m3 = [](double closing_s) {
        config::Station station = water_station();
        station.pump.valve_closing_s = closing_s;
        Hydraulics hydraulics(station, 4);
        settle(hydraulics, inputs_of({1, 1}, 0));
        double back = 0;
        for (int i = 0; i < 3000; ++i) {
            back -= std::min(0.0, hydraulics.step(step_s, inputs_of({}, 0)).main_flow_m3s) * step_s;
        }
        return back;
    };
    EXPECT_EQ(backflow_m3(0), 0);
    EXPECT_LT(backflow_m3(0.3), backflow_m3(2));
}

TEST(Hydraulics, a_valve_stuck_open_drains_the_main_back_into_the_well_until_it_shuts) {
    Hydraulics hydraulics(water_station(), 4);
    settle(hydraulics, inputs_of({1, 1}, 0));
    hydraulics.set_valve_stuck_open(1, true);
    const HydraulicState& state = run(hydraulics, inputs_of({}, 0), 60);
    EXPECT_LT(state.flow_m3s[1], -0.2);
    EXPECT_TRUE(state.backflow[1]);
    EXPECT_FALSE(state.backflow[0]);
    const double pumped = state.pumped_m3;
    run(hydraulics, inputs_of({}, 0), 10);
    EXPECT_LT(state.pumped_m3, pumped) << "backflow counts against what was pumped";

    hydraulics.set_valve_stuck_open(1, false);
    run(hydraulics, inputs_of({}, 0), 10);
    EXPECT_EQ(state.main_flow_m3s, 0);
    EXPECT_FALSE(state.backflow[1]);
}

TEST(Hydraulics, a_stuck_valve_robs_the_pumps_that_run) {
    Hydraulics hydraulics(water_station(), 4);
    const double sound = settle(hydraulics, inputs_of({1, 1}, 0)).main_flow_m3s;
    hydraulics.set_valve_stuck_open(3, true);
    const HydraulicState& state = settle(hydraulics, inputs_of({1, 1}, 0));
    EXPECT_LT(state.flow_m3s[3], 0);
    EXPECT_LT(state.main_flow_m3s, 0.8 * sound);
    EXPECT_NEAR(state.flow_m3s[0] + state.flow_m3s[1] + state.flow_m3s[3], state.main_flow_m3s, 1e-9);
}

TEST(Hydraulics, wear_and_blockage_show_in_the_flow) {
    Hydraulics hydraulics(water_station(), 4);
    const double sound = settle(hydraulics, inputs_of({1, 1}, 0)).flow_m3s[0];
    hydraulics.set_wear(0, 0.85);
    const double worn = settle(hydraulics, inputs_of({1, 1}, 0)).flow_m3s[0];
    hydraulics.set_wear(0, 1);
    hydraulics.set_blockage(0, 1);
    const double blocked = settle(hydraulics, inputs_of({1, 1}, 0)).flow_m3s[0];
    hydraulics.set_blockage(0, 0);
    const double cleared = settle(hydraulics, inputs_of({1, 1}, 0)).flow_m3s[0];
    EXPECT_LT(worn, 0.95 * sound);
    EXPECT_EQ(blocked, 0);
    EXPECT_NEAR(cleared, sound, 1e-5);
}

TEST(Hydraulics, npsh_margin_is_atmosphere_and_level_less_vapour_and_need) {
    Hydraulics hydraulics(water_station(), 4);
    const HydraulicState& state = settle(hydraulics, inputs_of({1}, 0));
    const double weight = 998.2 * 9.80665;
    const double need = operating_point(water_station(), std::array<double, 1>{1}, state.level_m).flow_m3s[0];
    const config::PumpCurve curve(water_station().pump, {});
    EXPECT_NEAR(state.npsh_margin_m[0], (101325 - 2339) / weight + state.level_m - 0.5 - curve.npshr_m(need),
                1e-3);
    EXPECT_EQ(state.npsh_margin_m[1], 0) << "a pump at rest needs no margin";
}

TEST(Hydraulics, vortex_and_dry_suction_are_seen_on_the_way_down_and_the_well_never_goes_below_its_floor) {
    Hydraulics hydraulics(water_station(), 1.2);
    bool vortex_first = false;
    bool dry = false;
    for (int i = 0; i < 5000; ++i) {
        const HydraulicState& state = hydraulics.step(step_s, inputs_of({1, 1, 1, 1}, 0.01));
        if (!dry && state.vortex) vortex_first = true;
        dry = dry || state.suction_dry;
        ASSERT_GE(state.level_m, -1e-12);
    }
    EXPECT_TRUE(vortex_first);
    EXPECT_TRUE(dry);
    EXPECT_LT(hydraulics.state().main_flow_m3s, 0.1) << "what comes in is what goes out";
}

TEST(Hydraulics, a_full_well_spills_what_comes_in) {
    Hydraulics hydraulics(water_station(), 6.9);
    const HydraulicState& state = run(hydraulics, inputs_of({}, 2), 3600);
    EXPECT_NEAR(state.overflow_m3s, 2, 1e-9);
    EXPECT_NEAR(state.level_m, 7 + std::pow(2 / (1.84 * 5), 2.0 / 3), 1e-6);
    EXPECT_NEAR(hydraulics.volume_error_m3(), 0, 1e-9 * state.inflow_m3);
}

TEST(Hydraulics, volumes_close_over_a_long_run_of_starts_and_stops) {
    Hydraulics hydraulics(water_station(), 3);
    for (int i = 0; i < 200'000; ++i) {
        const double wave = 0.8 + 0.7 * std::sin(i * 1e-4);
        const bool pump = (i / 3000) % 2 == 0;
        hydraulics.step(step_s, inputs_of({pump ? 1.0 : 0, pump ? 0.9 : 0, pump ? 0.95 : 0}, wave));
    }
    const HydraulicState& state = hydraulics.state();
    const double from_totals = state.inflow_m3 - state.pumped_m3 - state.overflow_m3;
    const StageStorage storage(water_station().well.storage);
    EXPECT_NEAR(from_totals, state.volume_m3 - storage.volume_m3(3), 1e-9 * state.inflow_m3);
    EXPECT_LT(std::abs(hydraulics.volume_error_m3()), 1e-12 * state.inflow_m3);
}

TEST(Hydraulics, two_runs_are_the_same_to_the_last_bit) {
    Hydraulics first(water_station(), 3);
    Hydraulics second(water_station(), 3);
    for (int i = 0; i < 20'000; ++i) {
        const HydraulicInputs inputs = inputs_of({i > 100 ? 1.0 : i * 0.01, i % 7000 > 3000 ? 0.9 : 0}, 0.5);
        ASSERT_EQ(first.step(step_s, inputs).level_m, second.step(step_s, inputs).level_m);
    }
}

TEST(Hydraulics, held_flows_follow_a_slowly_falling_level) {
    config::Station wide = water_station();
    wide.well.storage = {{0, 0}, {8, 80000}};
    Hydraulics hydraulics(wide, 4);
    HydraulicInputs inputs = inputs_of({1, 1}, 0);
    run(hydraulics, inputs, 600);
    for (int i = 0; i < 200; ++i) {
        const HydraulicState& state = run(hydraulics, inputs, 10);
        const std::array<double, 2> speeds{1, 1};
        ASSERT_NEAR(state.main_flow_m3s, operating_point(wide, speeds, state.level_m).total_flow_m3s, 5e-5);
    }
    EXPECT_LT(hydraulics.state().level_m, 3.8);
}

TEST(Hydraulics, a_held_flow_ends_with_any_change_of_speed) {
    Hydraulics hydraulics(water_station(), 4);
    HydraulicInputs inputs = inputs_of({1, 1}, 0);
    inputs.inflow_m3s = settle(hydraulics, inputs).main_flow_m3s;
    const double torque = hydraulics.step(step_s, inputs).shaft_torque_nm[0];
    inputs.speed_ratio[0] += 1e-4;
    EXPECT_GT(hydraulics.step(step_s, inputs).shaft_torque_nm[0], torque * (1 + 1e-4));
    inputs.speed_ratio[2] = 1e-9;
    EXPECT_GT(hydraulics.step(step_s, inputs).shaft_torque_nm[2], 0)
        << "a pump that begins to turn is seen at once";
}

TEST(Hydraulics, a_change_of_step_changes_nothing_that_is_settled) {
    Hydraulics hydraulics(water_station(), 4);
    const double flow = settle(hydraulics, inputs_of({1, 1}, 0)).main_flow_m3s;
    HydraulicInputs inputs = inputs_of({1, 1}, flow);
    for (const double step : {0.01, 1.0, 0.1, 10.0}) {
        EXPECT_NEAR(hydraulics.step(step, inputs).main_flow_m3s, flow, 3e-5) << step << " s";
    }
}

TEST(Tank, fills_from_the_suction_and_gives_to_the_demand) {
    Hydraulics hydraulics(tank_station(), 30);
    const HydraulicState& state = run(hydraulics, inputs_of({1, 1}, 0.2), 1200);
    EXPECT_GT(state.level_m, 30);
    EXPECT_NEAR(state.inflow_m3, 0.2 * 1200, 1e-9) << "the demand was met";
    EXPECT_NEAR(state.pumped_m3 - state.inflow_m3 - state.overflow_m3, state.volume_m3 - 400,
                1e-9 * state.pumped_m3);
}

TEST(Tank, static_head_rises_with_the_level_once_the_discharge_is_drowned) {
    Hydraulics low(tank_station(), 28.5);
    Hydraulics high(tank_station(), 32);
    const double flow_low = low.step(step_s, inputs_of({}, 0)).header_head_m;
    EXPECT_NEAR(flow_low, 29, 1e-12);
    EXPECT_NEAR(high.step(step_s, inputs_of({}, 0)).header_head_m, 32, 1e-12);
    EXPECT_GT(run(low, inputs_of({1}, 0), 60).main_flow_m3s, run(high, inputs_of({1}, 0), 60).main_flow_m3s);
}

TEST(Tank, a_demand_on_an_empty_tank_goes_unmet) {
    Hydraulics hydraulics(tank_station(), 28.1);
    const HydraulicState& state = run(hydraulics, inputs_of({}, 0.5), 600);
    EXPECT_NEAR(state.level_m, 28, 1e-9);
    EXPECT_NEAR(state.inflow_m3, 20, 1e-9) << "what the tank held";
}

TEST(Tank, spills_when_overfilled) {
    Hydraulics hydraulics(tank_station(), 32.4);
    const HydraulicState& state = run(hydraulics, inputs_of({1, 1, 1}, 0.05), 1800);
    EXPECT_NEAR(state.overflow_m3s, state.main_flow_m3s - 0.05, 1e-4);
}

TEST(Tank, filled_over_its_top_it_gives_nothing_back_through_a_stuck_valve) {
    Hydraulics hydraulics(tank_station(), 28.5);
    hydraulics.set_valve_stuck_open(0, true);
    EXPECT_EQ(run(hydraulics, inputs_of({}, 0), 60).main_flow_m3s, 0);
    Hydraulics drowned(tank_station(), 31);
    drowned.set_valve_stuck_open(0, true);
    EXPECT_LT(run(drowned, inputs_of({}, 0), 60).main_flow_m3s, -0.1);
    EXPECT_NEAR(drowned.volume_error_m3(), 0, 1e-9);
}

TEST(Booster, holds_its_pressure_when_nothing_is_drawn) {
    Hydraulics hydraulics(booster_station(), 35);
    const HydraulicState& state = run(hydraulics, inputs_of({}, 0), 3600);
    EXPECT_NEAR(state.header_pressure_m, 35, 1e-9);
}

TEST(Booster, vessel_gives_what_the_gas_law_says) {
    Hydraulics hydraulics(booster_station(), 35);
    const HydraulicState& state = run(hydraulics, inputs_of({}, 0.005), 60);  // 0.3 m3
    const double weight = 998.2 * 9.80665;
    const double atmosphere = 101325 / weight;
    const double constant = (20 + atmosphere) * std::pow(3, 1.2);
    const double air_before = std::pow(constant / (35 + atmosphere), 1 / 1.2);
    const double expected = constant / std::pow(air_before + 0.3, 1.2) - atmosphere;
    EXPECT_NEAR(state.header_pressure_m, expected, 0.02) << "the pipes' own stretch gives a litre";
    EXPECT_NEAR(state.main_flow_m3s, 0.005, 1e-12);
}

TEST(Booster, pumps_settle_where_they_meet_the_demand) {
    Hydraulics hydraulics(booster_station(), 35);
    const HydraulicState& state = run(hydraulics, inputs_of({1, 1}, 0.5), 600);
    EXPECT_NEAR(state.flow_m3s[0], 0.25, 1e-5);
    const config::PumpCurve curve(booster_station().pump, {});
    EXPECT_NEAR(state.header_head_m, 5 + curve.head_m(0.25) - 5 * 0.25 * 0.25, 1e-3);
    EXPECT_NEAR(hydraulics.volume_error_m3(), 0, 1e-9 * state.inflow_m3);
}

TEST(Booster, demand_fades_when_the_pressure_goes) {
    Hydraulics hydraulics(booster_station(), 25);
    const HydraulicState& state = run(hydraulics, inputs_of({}, 0.5), 600);
    EXPECT_LT(state.main_flow_m3s, 0.5) << "only what the suction's head still pushes through the pumps";
    EXPECT_TRUE(std::isfinite(state.header_head_m));
    EXPECT_NEAR(state.flow_m3s[0] * 4, state.main_flow_m3s, 1e-6);
}

TEST(Booster, steadier_with_a_vessel_than_without) {
    const auto drop_m = [](double air_m3) {
        config::Station station = booster_station();
        station.air_vessel.air_volume_m3 = air_m3;
        Hydraulics hydraulics(station, 35);
        const double before = run(hydraulics, inputs_of({1, 1}, 0.3), 600).header_pressure_m;
        return before - run(hydraulics, inputs_of({1, 1}, 0.6), 1).header_pressure_m;
    };
    EXPECT_LT(drop_m(20), 0.7 * drop_m(0));
}

}  // namespace
