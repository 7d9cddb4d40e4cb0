// Prints the results of the water side for fixed invented cases, as CSV, for the side-by-side checks in this
// folder.
// One reason to change: a case that the checks compare.
// usage: hydraulics_trace friction | transient | vessel
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string_view>

#include "config/hydraulics/pipe.hpp"
#include "sim_plant/physics/hydraulics.hpp"

namespace {

using namespace freshet;
using namespace freshet::plant;

/// Invented: four pumps, a stepped well with a weir, a main of two reaches. The Python side holds the same
/// figures.
config::Station station() {
    config::Station made;
    made.pump_count = 4;
    made.well.storage = {{0, 0}, {2, 60}, {6, 340}, {8, 600}};
    made.well.overflow_level_m = 5.0;
    made.well.overflow_width_m = 5;
    made.well.suction_level_m = 0.5;
    made.pump.curve = {{0, 52, 0, 2}, {0.2, 47, 0.68, 2.4}, {0.4, 40, 0.84, 3.5}, {0.55, 32, 0.8, 5.5}};
    made.pump.rated_speed_rpm = 880;
    made.pump.branch_loss_s2m5 = 5;
    made.pump.valve_closing_s = 0;
    made.main.discharge_level_m = 25;
    made.main.reaches = {{1500, 1.0, config::Friction::darcy_weisbach, 0.0003, 0, 6, 1000},
                         {500, 0.9, config::Friction::hazen_williams, 0, 120, 4, 1000}};
    return made;
}

double ramp(double t, double from, double lasts) {
    return std::clamp((t - from) / lasts, 0.0, 1.0);
}

void print_friction() {
    std::puts("reynolds,relative_roughness,plant,colebrook,haaland");
    for (double re = 10; re < 2e8; re *= 1.7) {
        for (const double rough : {0.0, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 0.05}) {
            std::printf("%.17g,%.17g,%.17g,%.17g,%.17g\n", re, rough, config::friction_factor(re, rough),
                        config::friction_factor_colebrook(re, rough),
                        config::friction_factor_haaland(re, rough));
        }
    }
}

/// Pumps start in turn, one changes its speed, the well overflows, all pumps trip; 1,500 s.
void print_transient() {
    std::puts("t_s,level_m,main_flow_m3s,header_head_m,overflow_m3s,pumped_m3");
    Hydraulics hydraulics(station(), 3);
    HydraulicInputs inputs;
    for (int step = 1; step <= 15'000; ++step) {
        const double t = 0.1 * step;
        inputs.speed_ratio[0] = t < 900.05 ? ramp(t, 10, 20) : 0;
        inputs.speed_ratio[1] = t < 900.05 ? ramp(t, 200, 10) : 0;
        inputs.speed_ratio[2] = t < 900.05 ? 0.94 * ramp(t, 400, 30) - 0.09 * ramp(t, 600, 60) : 0;
        inputs.inflow_m3s = 0.5 + 1.0 * ramp(t, 100, 200);
        const HydraulicState& state = hydraulics.step(0.1, inputs);
        if (step % 5 != 0) continue;
        std::printf("%.1f,%.12g,%.12g,%.12g,%.12g,%.12g\n", t, state.level_m, state.main_flow_m3s,
                    state.header_head_m, state.overflow_m3s, state.pumped_m3);
    }
}

/// A booster set of two pumps with a vessel of 3 m3. The demand doubles and falls to zero.
void print_vessel() {
    std::puts("t_s,pressure_m,held_m3,pumped_m3");
    config::Station booster = station();
    booster.duty = config::Duty::hold_pressure;
    booster.well = {};
    booster.main = {};
    booster.suction_head_m = 5;
    booster.air_vessel = {3, 20, 1.2};
    Hydraulics hydraulics(booster, 35);
    HydraulicInputs inputs;
    for (int step = 1; step <= 3'000; ++step) {
        const double t = 0.1 * step;
        inputs.speed_ratio[0] = ramp(t, 0, 10);
        inputs.speed_ratio[1] = 0.95 * ramp(t, 0, 10);
        inputs.inflow_m3s = 0.3 * ramp(t, 15, 5) + 0.3 * ramp(t, 60, 5) - 0.6 * ramp(t, 160, 20);
        const HydraulicState& state = hydraulics.step(0.1, inputs);
        if (step % 5 != 0) continue;
        std::printf("%.1f,%.12g,%.12g,%.12g\n", t, state.header_pressure_m, state.volume_m3, state.pumped_m3);
    }
}

}  // namespace

int main(int count, char** words) {
    const std::string_view wanted = count == 2 ? words[1] : "";
    if (wanted == "friction") {
        print_friction();
    } else if (wanted == "transient") {
        print_transient();
    } else if (wanted == "vessel") {
        print_vessel();
    } else {
        std::fputs("usage: hydraulics_trace friction | transient | vessel\n", stderr);
        return 2;
    }
    return 0;
}
