// Prints the hydrograph of one storm on an invented catchment for the side-by-side check: time, rain, sewer
// response, surface runoff.
// One reason to change: the case that the check compares.
#include <cstdio>

#include "sim_plant/weather/inflow.hpp"
#include "sim_plant/weather/rainfall.hpp"
#include "tests/reference/weather/published_tables.hpp"

int main() {
    using namespace freshet;
    constexpr double run_s = 3 * 86400;
    config::Weather sewer;
    sewer.storms = {{tests::shipped_distribution("nrcs_type_ii_24h"), 0.1, 86400, 1800}};
    sewer.catchment.sewered_area_m2 = 1.5e6;
    sewer.catchment.triangles = {{0.05, 1800, 1.5}, {0.04, 7200, 2}, {0.03, 21600, 3}};
    config::Weather surface;
    surface.storms = sewer.storms;
    surface.catchment.surface_area_m2 = 4e5;
    surface.catchment.curve_number = 78;
    surface.catchment.time_of_concentration_s = 2700;

    const plant::Inflow from_sewer(sewer, 0, run_s, 1), from_surface(surface, 0, run_s, 1);
    std::puts("t_s,rain_m,sewer_m3s,surface_m3s");
    for (int i = 0; i <= static_cast<int>(run_s / 10); ++i) {
        const double t_s = 10.0 * i;
        std::printf("%.17g,%.17g,%.17g,%.17g\n", t_s, plant::rain_depth_m(sewer.storms, t_s),
                    from_sewer.at_m3s(t_s), from_surface.at_m3s(t_s));
    }
    return 0;
}
