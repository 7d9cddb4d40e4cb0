// How long pumps worked in states in which a pump should not work, and how near pumps came to such states.
// One reason to change: a figure about the water that a run must state.
#pragma once

#include <array>
#include <cstddef>
#include <limits>

#include "sim_plant/physics/hydraulics.hpp"
#include "sim_plant/station/figures.hpp"

namespace freshet::plant {

/// The figures of one pump. Times are in seconds of the run.
struct PumpWater {
    double below_minimum_flow_s = 0;  ///< the pump turned below its minimum continuous flow
    double backflow_s = 0;            ///< water flowed back through the pump
    double npsh_short_s = 0;          ///< the pump turned with less NPSH available than required
    double npsh_margin_min_m = std::numeric_limits<double>::quiet_NaN();  ///< NaN: the pump never turned
};

struct WaterFigures {
    std::array<PumpWater, pumps_max> pumps{};
    double suction_dry_s = 0;      ///< a pump turned with the level below the suction level
    double vortex_s = 0;           ///< a pump turned with the level below the vortex level
    double column_parts_s = 0;     ///< vapour pressure at the header; a real water column parts
    double surge_head_max_m = 0;   ///< Joukowsky head if all pumps trip at the worst moment
    double main_flow_max_m3s = 0;  ///< flow of the main at that moment
};

/// Adds the state of the water of each step to the figures.
class WaterKeeper {
  public:
    explicit WaterKeeper(std::size_t pump_count) : pump_count_(pump_count) {}

    /// Adds a step of `dt_s`. `water` is the state at the end of the step. The pumps turned at `speed_ratio`.
    void step(double dt_s, const HydraulicState& water, const std::array<double, pumps_max>& speed_ratio) {
        for (std::size_t pump = 0; pump < pump_count_; ++pump) {
            PumpWater& own = figures_.pumps[pump];
            if (water.backflow[pump]) own.backflow_s += dt_s;
            if (!(speed_ratio[pump] > 0)) continue;
            if (water.below_minimum_flow[pump]) own.below_minimum_flow_s += dt_s;
            const double margin_m = water.npsh_margin_m[pump];
            if (margin_m < 0) own.npsh_short_s += dt_s;
            if (!(own.npsh_margin_min_m <= margin_m)) own.npsh_margin_min_m = margin_m;
        }
        if (water.suction_dry) figures_.suction_dry_s += dt_s;
        if (water.vortex) figures_.vortex_s += dt_s;
        if (water.below_vapour_pressure) figures_.column_parts_s += dt_s;
        if (water.main_flow_m3s > figures_.main_flow_max_m3s)
            figures_.main_flow_max_m3s = water.main_flow_m3s;
    }

    const WaterFigures& figures() const { return figures_; }

  private:
    std::size_t pump_count_;
    WaterFigures figures_;
};

}  // namespace freshet::plant
