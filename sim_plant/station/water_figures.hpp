// How long pumps were made to work where a pump should not, and how near they came to it.
// One reason to change: a figure about the water that a run must state.
#pragma once

#include <array>
#include <cstddef>
#include <limits>

#include "sim_plant/physics/hydraulics.hpp"
#include "sim_plant/station/figures.hpp"

namespace freshet::plant {

/// Of one pump. Times in seconds of the run.
struct PumpWater {
    double below_minimum_flow_s = 0;  ///< turning, left of its minimum continuous flow
    double backflow_s = 0;            ///< water came back through it
    double npsh_short_s = 0;          ///< turning, NPSH available less than required
    double npsh_margin_min_m = std::numeric_limits<double>::quiet_NaN();  ///< NaN: it never turned
};

struct WaterFigures {
    std::array<PumpWater, pumps_max> pumps{};
    double suction_dry_s = 0;      ///< a pump turned with the level below the suction level
    double vortex_s = 0;           ///< a pump turned with the level below the vortex level
    double column_parts_s = 0;     ///< vapour pressure at the header: a real column would have parted
    double surge_head_max_m = 0;   ///< Joukowsky head of a trip of all pumps, at the worst moment
    double main_flow_max_m3s = 0;  ///< at that moment
};

/// Adds up what the state of the water says over each step.
class WaterKeeper {
  public:
    explicit WaterKeeper(std::size_t pump_count) : pump_count_(pump_count) {}

    /// `dt_s` passed and ended in `water`, with the pumps turning at `speed_ratio`.
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
