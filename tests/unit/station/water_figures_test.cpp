// What the run says about how the water treated the pumps.
#include "sim_plant/station/water_figures.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "sim_plant/station/plant.hpp"
#include "tests/unit/station/sample_station.hpp"

namespace freshet::plant {
namespace {

using config::FaultKind;

/// Both of two pumps run on the line for `seconds`, by the station's own machines, with faults of the test.
WaterFigures after_line_running(double seconds, const std::vector<config::Fault>& faults,
                                double initial_level_m = 4, double inflow_m3s = 0.5,
                                double discharge_level_m = 20) {
    config::Station station = sample_station();
    station.main.discharge_level_m = discharge_level_m;
    config::Scenario scenario = steady_scenario(inflow_m3s);
    scenario.initial_level_m = initial_level_m;
    scenario.faults = faults;
    Plant plant(station, scenario);
    Orders orders;
    orders.pumps[0].line_side_close = orders.pumps[1].line_side_close = true;
    for (double t_s = 0; t_s < seconds; t_s += 0.1) plant.step(orders);
    return plant.water_figures();
}

TEST(WaterFigures, of_a_sound_run_name_nothing_but_the_margin_and_the_surge) {
    const WaterFigures figures = after_line_running(120, {});
    for (const std::size_t pump : {0U, 1U}) {
        EXPECT_EQ(figures.pumps[pump].backflow_s, 0);
        EXPECT_EQ(figures.pumps[pump].npsh_short_s, 0);
        EXPECT_GT(figures.pumps[pump].npsh_margin_min_m, 3);
    }
    EXPECT_TRUE(std::isnan(figures.pumps[2].npsh_margin_min_m)) << "it never turned";
    EXPECT_EQ(figures.suction_dry_s, 0);
    EXPECT_EQ(figures.vortex_s, 0);
    EXPECT_GT(figures.surge_head_max_m, 20);
}

TEST(WaterFigures, show_water_that_comes_back_through_a_valve_stuck_open) {
    const WaterFigures figures = after_line_running(120, {{0, 0, "pump_3", FaultKind::valve_stuck_open, 0}});
    EXPECT_GT(figures.pumps[2].backflow_s, 60) << "a pump at rest next to two that run";
    EXPECT_EQ(figures.pumps[0].backflow_s, 0);
}

TEST(WaterFigures, show_a_pump_left_of_its_minimum_flow) {
    // 38.5 m of static head against 40 m at no flow.
    const WaterFigures figures = after_line_running(120, {}, 4, 0.5, 42.5);
    EXPECT_GT(figures.pumps[0].below_minimum_flow_s, 60);
}

TEST(WaterFigures, show_a_vortex_and_a_dry_suction_as_the_well_is_drawn_down) {
    const WaterFigures figures = after_line_running(600, {}, 2, 0);
    EXPECT_GT(figures.vortex_s, 10);
    EXPECT_GT(figures.suction_dry_s, 1);
    EXPECT_GT(figures.vortex_s, figures.suction_dry_s);
}

TEST(WaterFigures, count_the_time_that_npsh_falls_short) {
    WaterKeeper keeper(1);
    HydraulicState water;
    water.npsh_margin_m[0] = -0.4;
    keeper.step(2, water, {1});
    water.npsh_margin_m[0] = 1.2;
    keeper.step(3, water, {1});
    water.npsh_margin_m[0] = -5;
    keeper.step(4, water, {0});
    EXPECT_EQ(keeper.figures().pumps[0].npsh_short_s, 2) << "a pump at rest lacks nothing";
    EXPECT_EQ(keeper.figures().pumps[0].npsh_margin_min_m, -0.4);
}

TEST(WaterFigures, count_the_time_in_which_a_real_column_would_have_parted) {
    WaterKeeper keeper(1);
    HydraulicState water;
    keeper.step(2, water, {1});
    water.below_vapour_pressure = true;
    keeper.step(3, water, {1});
    EXPECT_EQ(keeper.figures().column_parts_s, 3);
}

}  // namespace
}  // namespace freshet::plant
