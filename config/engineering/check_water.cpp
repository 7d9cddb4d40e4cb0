// The water side against itself: well, pump curve, main.
// One reason to change: a contradiction that the description of a well, a pump or a main can hold.
#include <fmt/format.h>

#include <cstddef>

#include "config/engineering/checks.hpp"
#include "controller/core/settings.hpp"

namespace freshet::config {

namespace {

constexpr std::size_t catalogue_points_max = 12;

}  // namespace

void check_well(Findings& findings, const Well& well) {
    const auto& storage = well.storage;
    check_count(findings, "well.storage", "storage", storage.size(), 2, core::store_points_max);
    for (std::size_t i = 1; i < storage.size(); ++i) {
        if (!(storage[i].level_m > storage[i - 1].level_m))
            refuse(findings, fmt::format("well.storage[{}].level", i),
                   fmt::format("storage: a level of {:g} m follows one of {:g} m; expected levels that rise",
                               storage[i].level_m, storage[i - 1].level_m));
        if (!(storage[i].volume_m3 > storage[i - 1].volume_m3))
            refuse(findings, fmt::format("well.storage[{}].volume", i),
                   fmt::format("storage: a volume of {:g} m3 follows one of {:g} m3; expected volumes that "
                               "rise with the level",
                               storage[i].volume_m3, storage[i - 1].volume_m3));
    }
    const double floor_m = storage.front().level_m, top_m = storage.back().level_m;
    if (!(well.overflow_level_m > floor_m && well.overflow_level_m < top_m))
        refuse(findings, "well.overflow_level",
               fmt::format("overflow_level is {:g} m; expected a level within the storage table, above {:g} "
                           "m and below {:g} m",
                           well.overflow_level_m, floor_m, top_m));
    if (well.vortex_level_m < floor_m || well.vortex_level_m >= well.overflow_level_m)
        refuse(findings, "well.vortex_level",
               fmt::format("vortex_level is {:g} m; expected a level at or above the floor at {:g} m and "
                           "below the overflow at {:g} m",
                           well.vortex_level_m, floor_m, well.overflow_level_m));
    if (well.suction_level_m >= well.overflow_level_m)
        refuse(findings, "well.suction_level",
               fmt::format("suction_level is {:g} m; expected a level below the overflow at {:g} m",
                           well.suction_level_m, well.overflow_level_m));
}

void check_pump(Findings& findings, const PumpType& pump) {
    const auto& curve = pump.curve;
    check_count(findings, "pump.curve", "curve", curve.size(), 3, catalogue_points_max);
    if (curve.front().flow_m3s != 0)
        refuse(findings, "pump.curve[0].flow",
               fmt::format("curve: the first flow is {:g} m3/s; expected 0, the shut-off point",
                           curve.front().flow_m3s));
    for (std::size_t i = 1; i < curve.size(); ++i) {
        const PumpPoint &before = curve[i - 1], &point = curve[i];
        if (!(point.flow_m3s > before.flow_m3s))
            refuse(
                findings, fmt::format("pump.curve[{}].flow", i),
                fmt::format("curve: a flow of {:g} m3/s follows one of {:g} m3/s; expected flows that rise",
                            point.flow_m3s, before.flow_m3s));
        if (!(point.head_m < before.head_m))
            refuse(findings, fmt::format("pump.curve[{}].head", i),
                   fmt::format("curve: a head of {:g} m follows one of {:g} m; expected heads that fall as "
                               "the flow rises",
                               point.head_m, before.head_m));
        if (!(point.efficiency > 0 && point.efficiency < 1))
            refuse(findings, fmt::format("pump.curve[{}].efficiency", i),
                   fmt::format(
                       "curve: the efficiency is {:g} at {:g} m3/s; expected a value above 0 and below 1",
                       point.efficiency, point.flow_m3s));
    }
    if (!(curve.back().head_m >= 0))
        refuse(findings, fmt::format("pump.curve[{}].head", curve.size() - 1),
               fmt::format("curve: the last head is {:g} m; expected a head of at least 0 m",
                           curve.back().head_m));
    if (!(pump.minimum_flow_m3s < curve.back().flow_m3s))
        refuse(findings, "pump.minimum_flow",
               fmt::format("minimum_flow is {:g} m3/s; expected less than the curve's last flow, {:g} m3/s",
                           pump.minimum_flow_m3s, curve.back().flow_m3s));
}

void check_main(Findings& findings, const Main& main) {
    constexpr double roughest = 0.05;  // the limit of Colebrook's experiments and of the Moody chart
    for (std::size_t i = 0; i < main.reaches.size(); ++i) {
        const Reach& reach = main.reaches[i];
        if (reach.friction == Friction::darcy_weisbach && reach.roughness_m > roughest * reach.diameter_m)
            refuse(findings, fmt::format("main.reach[{}].roughness", i),
                   fmt::format(
                       "roughness is {:g} mm in a bore of {:g} m; expected at most a twentieth of the bore",
                       reach.roughness_m * 1000, reach.diameter_m));
    }
}

}  // namespace freshet::config
