// An invented station for the water side's unit tests: four pumps, a well, a main of two reaches.
// One reason to change: what these tests need a station to have.
#pragma once

#include "config/station.hpp"

namespace freshet::tests {

/// Well 0 to 8 m, pumps of 0.4 m3/s at 40 m, 24 m of lift from a level of 1 m.
inline config::Station water_station() {
    config::Station station;
    station.duty = config::Duty::empty_well;
    station.pump_count = 4;
    station.well.storage = {{0, 0}, {2, 60}, {6, 340}, {8, 600}};
    station.well.overflow_level_m = 7;
    station.well.overflow_width_m = 5;
    station.well.suction_level_m = 0.5;
    station.well.vortex_level_m = 1.0;
    station.pump.curve = {{0, 52, 0, 2}, {0.2, 47, 0.68, 2.4}, {0.4, 40, 0.84, 3.5}, {0.55, 32, 0.8, 5.5}};
    station.pump.rated_speed_rpm = 880;
    station.pump.minimum_flow_m3s = 0.12;
    station.pump.branch_loss_s2m5 = 5;
    station.pump.valve_closing_s = 0.5;
    station.main.discharge_level_m = 25;
    station.main.reaches = {{1500, 1.0, config::Friction::darcy_weisbach, 0.0003, 0, 6, 1000},
                            {500, 0.9, config::Friction::hazen_williams, 0, 120, 4, 1100}};
    return station;
}

/// A tank 30 m up, filled from a fixed suction, drawn on by a demand.
inline config::Station tank_station() {
    config::Station station = water_station();
    station.duty = config::Duty::fill_tank;
    station.suction_head_m = 2;
    station.well.suction_level_m = 0;
    station.well.storage = {{28, 0}, {33, 1000}};
    station.well.overflow_level_m = 32.5;
    station.main.discharge_level_m = 29;
    return station;
}

/// A booster set that holds 30 to 40 m at its header, with an air vessel.
inline config::Station booster_station() {
    config::Station station = water_station();
    station.duty = config::Duty::hold_pressure;
    station.well = {};
    station.suction_head_m = 5;
    station.main = {};
    station.air_vessel = {3, 20, 1.2};
    return station;
}

}  // namespace freshet::tests
