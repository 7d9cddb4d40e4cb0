// The station as a whole: orders in, readings out, faults in their places, water and energy accounted for.
#include "sim_plant/station/plant.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <stdexcept>

#include "tests/unit/station/sample_station.hpp"

namespace freshet::plant {
namespace {

using config::FaultKind;
using config::index_of;
using config::PumpSignal;
using config::StationSignal;

constexpr int scans_per_s = 10;
constexpr double usual_inflow_m3s = 0.8;

double read(const Plant& plant, StationSignal signal) {
    return plant.readings()[index_of(signal)];
}
double read(const Plant& plant, std::size_t pump, PumpSignal signal) {
    return plant.readings()[index_of(pump, signal)];
}

void run(Plant& plant, const Orders& orders, int seconds) {
    for (int i = 0; i < seconds * scans_per_s; ++i) plant.step(orders);
}

/// Drive on the first pump at a speed.
Orders first_pump_on_drive(double speed_hz) {
    Orders orders;
    orders.drive_run = true;
    orders.output_close = true;
    orders.speed_hz = speed_hz;
    orders.pumps[0].drive_side_close = true;
    return orders;
}

Plant sample_plant(std::vector<config::Fault> faults = {}) {
    config::Scenario scenario = steady_scenario(usual_inflow_m3s);
    scenario.faults = std::move(faults);
    return Plant{sample_station(), scenario};
}

TEST(Plant, says_its_instruments_before_the_first_step) {
    const Plant plant = sample_plant();
    const auto& station = sample_station();
    const double current_ma =
        4 + 16 * steady_scenario(0).initial_level_m / station.instruments.level[0].level_at_20ma_m;
    EXPECT_NEAR(read(plant, StationSignal::level_1_loop), current_ma, 0.1);
    EXPECT_NEAR(read(plant, StationSignal::level_1), 4, 0.05);
    EXPECT_EQ(read(plant, StationSignal::plant_time), static_cast<double>(plant.time_ms()));
    EXPECT_EQ(read(plant, StationSignal::high_float), 0);
    EXPECT_EQ(read(plant, StationSignal::low_float), 1);
    EXPECT_EQ(read(plant, StationSignal::drive_ready), 1);
    EXPECT_EQ(read(plant, 0, PumpSignal::selector), 2);
    EXPECT_TRUE(std::isnan(read(plant, 4, PumpSignal::current)))
        << "a fifth pump, which this station does not have";
}

TEST(Plant, fills_the_well_by_the_inflow_while_nothing_runs) {
    Plant plant = sample_plant();
    run(plant, {}, 60);
    constexpr double area_m2 = 150;
    EXPECT_NEAR(plant.water().level_m, 4 + usual_inflow_m3s * 60 / area_m2, 1e-9);
    EXPECT_NEAR(plant.water().inflow_m3, usual_inflow_m3s * 60, 1e-9);
}

TEST(Plant, empties_the_well_with_a_pump_on_the_drive) {
    Plant plant = sample_plant();
    run(plant, first_pump_on_drive(60), 120);
    EXPECT_EQ(read(plant, StationSignal::drive_running), 1);
    EXPECT_EQ(read(plant, 0, PumpSignal::drive_side_closed), 1);
    EXPECT_NEAR(read(plant, StationSignal::drive_frequency), 60, 0.1);
    EXPECT_GT(read(plant, 0, PumpSignal::current), 20);
    EXPECT_GT(plant.water().main_flow_m3s, usual_inflow_m3s);
    EXPECT_LT(plant.water().level_m, 4);
    const Figures figures = plant.figures();
    EXPECT_EQ(figures.starts[0], 1U);
    EXPECT_EQ(figures.line_starts[0], 0U);
    EXPECT_NEAR(static_cast<double>(figures.run_ms[0]), 120'000, 2000);
    EXPECT_GT(figures.cost, 0);
}

TEST(Plant, closes_its_volume_balance_to_a_part_in_a_thousand_million) {
    Plant plant = sample_plant();
    run(plant, first_pump_on_drive(55), 1800);
    run(plant, {}, 600);
    const HydraulicState& water = plant.water();
    EXPECT_GT(water.pumped_m3, 100);
    EXPECT_LT(std::abs(plant.volume_error_m3()), 1e-9 * water.inflow_m3);
    constexpr double area_m2 = 150;
    const double stored_m3 = (water.level_m - 4) * area_m2;
    EXPECT_NEAR(water.inflow_m3 - water.pumped_m3 - water.overflow_m3, stored_m3, 1e-9 * water.inflow_m3);
}

TEST(Plant, repeats_itself_to_the_last_bit) {
    Plant first =
        sample_plant({{30, 20, "level_1", FaultKind::erratic, 0}, {60, 5, "line", FaultKind::dip, 0.3}});
    Plant second =
        sample_plant({{30, 20, "level_1", FaultKind::erratic, 0}, {60, 5, "line", FaultKind::dip, 0.3}});
    for (int i = 0; i < 120 * scans_per_s; ++i) {
        first.step(first_pump_on_drive(50));
        second.step(first_pump_on_drive(50));
        ASSERT_EQ(std::memcmp(&first.readings(), &second.readings(), sizeof(config::Readings)), 0)
            << "scan " << i;
    }
}

/// Minutes of speed by a slow sawtooth, a stop and a start, with and without transmitters that measure at
/// every scan.
Plant after_a_varied_hour(double transmitter_update_s) {
    config::Station station = sample_station();
    for (config::LevelTransmitter& transmitter : station.instruments.level)
        transmitter.update_s = transmitter_update_s;
    Plant plant{station, steady_scenario(usual_inflow_m3s)};
    constexpr int hour_scans = 3600 * scans_per_s;
    for (int i = 0; i < hour_scans; ++i) {
        const int second = i / scans_per_s;
        if (second >= 1200 && second < 1500) {
            plant.step(Orders{});
            continue;
        }
        plant.step(first_pump_on_drive(48 + 0.02 * (second % 400)));
    }
    return plant;
}

TEST(Plant, runs_alike_whether_calm_seconds_are_taken_whole_or_scan_by_scan) {
    constexpr double every_scan_s = 0, every_second_s = 1;
    const Plant by_scan = after_a_varied_hour(every_scan_s), by_second = after_a_varied_hour(every_second_s);
    EXPECT_NEAR(by_second.water().pumped_m3, by_scan.water().pumped_m3, 2e-4 * by_scan.water().pumped_m3);
    EXPECT_NEAR(by_second.water().level_m, by_scan.water().level_m, 0.003);
    EXPECT_NEAR(by_second.electrical().energy_j, by_scan.electrical().energy_j,
                1e-3 * by_scan.electrical().energy_j);
    EXPECT_EQ(by_second.figures().starts, by_scan.figures().starts);
}

TEST(Plant, takes_a_new_order_at_its_own_scan_even_in_the_middle_of_a_calm_second) {
    Plant plant = sample_plant();
    run(plant, {}, 60);
    for (int i = 0; i < 3; ++i) plant.step(Orders{});
    Orders orders;
    orders.pumps[0].drive_side_close = true;
    plant.step(orders);
    EXPECT_EQ(read(plant, 0, PumpSignal::drive_side_closed), 1) << "60 ms of closing time, a scan of 100 ms";
}

TEST(Plant, holds_its_last_orders_when_advice_is_void) {
    Plant plant = sample_plant();
    run(plant, first_pump_on_drive(50), 60);
    for (int i = 0; i < 60 * scans_per_s; ++i) plant.step();
    EXPECT_NEAR(read(plant, StationSignal::drive_frequency), 50, 0.1);
}

TEST(Plant, shows_a_stuck_transmitter_while_the_other_follows) {
    Plant plant = sample_plant({{10, 0, "level_1", FaultKind::frozen, 0}});
    run(plant, {}, 10);
    const double held_ma = read(plant, StationSignal::level_1_loop);
    run(plant, {}, 300);
    EXPECT_EQ(read(plant, StationSignal::level_1_loop), held_ma);
    EXPECT_NEAR(read(plant, StationSignal::level_2), plant.water().level_m, 0.05);
    EXPECT_GT(plant.water().level_m, 5.5);
}

TEST(Plant, ends_a_timed_fault_at_its_time) {
    Plant plant = sample_plant({{10, 20, "level_2", FaultKind::dead, 0}});
    run(plant, {}, 15);
    EXPECT_EQ(read(plant, StationSignal::level_2_loop), 0);
    EXPECT_TRUE(std::isnan(read(plant, StationSignal::level_2)));
    EXPECT_EQ(plant.faults().size(), 1U);
    run(plant, {}, 20);
    EXPECT_NEAR(read(plant, StationSignal::level_2), plant.water().level_m, 0.05);
    EXPECT_TRUE(plant.faults().empty());
}

TEST(Plant, opens_everything_on_an_emergency_stop_and_says_so) {
    Plant plant = sample_plant({{60, 30, "emergency_stop", FaultKind::emergency_stop, 0}});
    run(plant, first_pump_on_drive(50), 62);
    EXPECT_EQ(read(plant, StationSignal::emergency_stop), 1);
    EXPECT_EQ(read(plant, 0, PumpSignal::drive_side_closed), 0);
    EXPECT_EQ(read(plant, StationSignal::drive_output_closed), 0);
    EXPECT_EQ(read(plant, StationSignal::drive_running), 0);
    run(plant, {}, 40);
    EXPECT_EQ(read(plant, StationSignal::emergency_stop), 0);
}

TEST(Plant, presses_the_reset_button_for_a_second_and_counts_what_people_do_at_the_panel) {
    config::Scenario scenario = steady_scenario(usual_inflow_m3s);
    scenario.people = {{5, config::PeopleAction::reset},
                       {6, config::PeopleAction::acknowledge},
                       {7.3, config::PeopleAction::press_reset},
                       {9, config::PeopleAction::reset}};
    Plant plant(sample_station(), scenario);
    EXPECT_EQ(plant.people(), config::PeopleCounts{});
    run(plant, {}, 5);
    EXPECT_EQ(plant.people(), (config::PeopleCounts{1, 0}));
    run(plant, {}, 1);
    EXPECT_EQ(plant.people(), (config::PeopleCounts{1, 1}));
    EXPECT_EQ(read(plant, StationSignal::emergency_stop_reset), 0);
    int pressed = 0;
    for (int scan = 0; scan < 3 * scans_per_s; ++scan) {
        plant.step({});
        pressed += read(plant, StationSignal::emergency_stop_reset) == 1 ? 1 : 0;
    }
    EXPECT_EQ(pressed, scans_per_s);
    EXPECT_EQ(plant.people(), (config::PeopleCounts{2, 1}));
}

TEST(Plant, lets_a_tripped_pump_fall_out_and_reports_it) {
    Plant plant = sample_plant({{60, 0, "pump_1", FaultKind::trip, 0}});
    run(plant, first_pump_on_drive(50), 62);
    EXPECT_EQ(read(plant, 0, PumpSignal::tripped), 1);
    EXPECT_EQ(read(plant, 0, PumpSignal::drive_side_closed), 0);
}

TEST(Plant, does_not_follow_orders_for_a_pump_whose_selector_is_off) {
    Plant plant = sample_plant({{0, 0, "pump_1", FaultKind::selector_off, 0}});
    run(plant, first_pump_on_drive(50), 10);
    EXPECT_EQ(read(plant, 0, PumpSignal::selector), 0);
    EXPECT_EQ(read(plant, 0, PumpSignal::drive_side_closed), 0);
}

TEST(Plant, runs_a_pump_on_the_line_when_people_start_it_by_hand) {
    Plant plant = sample_plant({{5, 0, "pump_3", FaultKind::selector_hand, 1}});
    run(plant, {}, 30);
    EXPECT_EQ(read(plant, 2, PumpSignal::selector), 1);
    EXPECT_EQ(read(plant, 2, PumpSignal::line_side_closed), 1);
    EXPECT_EQ(plant.figures().line_starts[2], 1U);
    EXPECT_GT(plant.water().flow_m3s[2], 0.2);
}

TEST(Plant, leaves_a_contactor_open_that_does_not_close) {
    Plant plant = sample_plant({{0, 0, "pump_1.drive_side", FaultKind::does_not_close, 0}});
    run(plant, first_pump_on_drive(50), 10);
    EXPECT_EQ(read(plant, 0, PumpSignal::drive_side_closed), 0);
    EXPECT_EQ(read(plant, StationSignal::drive_output_closed), 1);
}

TEST(Plant, takes_a_lying_auxiliary_contact_for_what_it_says_but_not_for_what_is_so) {
    Plant plant = sample_plant({{0, 0, "pump_2.line_side", FaultKind::lies_closed, 0}});
    run(plant, {}, 10);
    EXPECT_EQ(read(plant, 1, PumpSignal::line_side_closed), 1);
    EXPECT_FALSE(plant.electrical().motors[1].line_side_closed);
    EXPECT_EQ(plant.figures().starts[1], 0U);
}

TEST(Plant, trips_the_drive_when_ordered) {
    Plant plant = sample_plant({{30, 1, "drive", FaultKind::trip, 0}});
    run(plant, first_pump_on_drive(50), 31);
    EXPECT_EQ(read(plant, StationSignal::drive_tripped), 1);
    EXPECT_EQ(read(plant, StationSignal::drive_ready), 0);
}

TEST(Plant, pumps_less_with_a_worn_and_less_still_with_a_blocked_pump) {
    const auto flow_with = [](std::vector<config::Fault> faults) {
        Plant plant = sample_plant(std::move(faults));
        run(plant, first_pump_on_drive(60), 60);
        return plant.water().flow_m3s[0];
    };
    const double sound = flow_with({}), worn = flow_with({{0, 0, "pump_1", FaultKind::worn, 0.1}}),
                 blocked = flow_with({{0, 0, "pump_1", FaultKind::blocked, 0.9}});
    EXPECT_LT(worn, 0.97 * sound);
    EXPECT_LT(blocked, worn);
}

TEST(Plant, drains_back_through_a_valve_stuck_open) {
    Plant plant = sample_plant({{0, 0, "pump_2", FaultKind::valve_stuck_open, 0}});
    run(plant, first_pump_on_drive(60), 60);
    EXPECT_LT(plant.water().flow_m3s[1], -0.05);
}

TEST(Plant, loses_everything_electrical_with_the_line) {
    Plant plant = sample_plant({{60, 0, "line", FaultKind::lost, 0}});
    run(plant, first_pump_on_drive(50), 62);
    EXPECT_EQ(read(plant, StationSignal::line_voltage), 0);
    EXPECT_EQ(read(plant, 0, PumpSignal::drive_side_closed), 0);
    EXPECT_EQ(read(plant, StationSignal::drive_running), 0);
}

TEST(Plant, says_that_the_generator_feeds_it) {
    Plant plant = sample_plant({{1, 0, "line", FaultKind::generator, 0}});
    run(plant, {}, 2);
    EXPECT_EQ(read(plant, StationSignal::on_generator), 1);
}

TEST(Plant, holds_a_float_where_it_is_stuck) {
    Plant plant = sample_plant({{0, 0, "high_float", FaultKind::stuck_on, 0}});
    run(plant, {}, 2);
    EXPECT_EQ(read(plant, StationSignal::high_float), 1);
}

TEST(Plant, passes_on_the_state_of_the_link_for_others_to_act_out) {
    Plant plant = sample_plant(
        {{10, 10, "link", FaultKind::link_lost, 0}, {15, 10, "link", FaultKind::link_slow, 0.75}});
    run(plant, {}, 12);
    EXPECT_TRUE(plant.link().lost);
    run(plant, {}, 9);
    EXPECT_FALSE(plant.link().lost);
    EXPECT_EQ(plant.link().slow_ms, 750);
    run(plant, {}, 10);
    EXPECT_EQ(plant.link(), LinkState{});
}

TEST(Plant, garbles_all_answers_where_a_share_is_not_given_and_has_its_own_idea_of_slow) {
    Plant plant = sample_plant();
    EXPECT_TRUE(plant.set_fault("link", FaultKind::link_garbled, 0));
    EXPECT_EQ(plant.link().garbled_share, 1);
    EXPECT_TRUE(plant.set_fault("link", FaultKind::link_garbled, 0.25));
    EXPECT_EQ(plant.link().garbled_share, 0.25);
    EXPECT_TRUE(plant.set_fault("link", FaultKind::link_slow, 0));
    EXPECT_EQ(plant.link().slow_ms, 500);
    EXPECT_TRUE(plant.clear_fault("link"));
    EXPECT_EQ(plant.link(), LinkState{});
}

TEST(Plant, takes_a_fault_while_it_runs_and_clears_the_fault) {
    Plant plant = sample_plant();
    run(plant, {}, 5);
    EXPECT_TRUE(plant.set_fault("level_1", FaultKind::offset, 1.0));
    run(plant, {}, 1);
    EXPECT_NEAR(read(plant, StationSignal::level_1), plant.water().level_m + 1, 0.05);
    EXPECT_TRUE(plant.clear_fault("level_1"));
    run(plant, {}, 1);
    EXPECT_NEAR(read(plant, StationSignal::level_1), plant.water().level_m, 0.05);
    EXPECT_FALSE(plant.clear_fault("level_1"));
    EXPECT_FALSE(plant.set_fault("level_3", FaultKind::offset, 1.0));
    EXPECT_FALSE(plant.set_fault("level_1", FaultKind::trip, 0));
}

TEST(Plant, refuses_a_scenario_with_an_unknown_device) {
    EXPECT_THROW(sample_plant({{0, 0, "pump_9", FaultKind::trip, 0}}), std::invalid_argument);
}

TEST(Plant, falsifies_a_single_wire_without_harm_to_the_station) {
    Plant plant = sample_plant({{0, 0, "drive_in_sync", FaultKind::stuck_on, 0}});
    run(plant, {}, 1);
    EXPECT_EQ(read(plant, StationSignal::drive_in_sync), 1);
    EXPECT_FALSE(plant.electrical().drive_in_sync);
}

}  // namespace
}  // namespace freshet::plant
