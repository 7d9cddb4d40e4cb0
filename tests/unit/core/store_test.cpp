// The store: surface, volume and weir. One reason to change: how the store is described.
#include "controller/core/store.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

/// A store of 100 m2 up to 1 m and of 200 m2 above.
Settings stepped(Settings settings) {
    settings.store = {{{0, 0}, {1, 100}, {3, 500}}};
    settings.store_points = 3;
    return settings;
}

TEST(StoreArea, is_the_slope_of_the_storage_table) {
    const Settings settings = stepped(doubles::four_pumps());
    EXPECT_DOUBLE_EQ(store_area_m2(settings, 0.5), 100);
    EXPECT_DOUBLE_EQ(store_area_m2(settings, 2.0), 200);
    EXPECT_DOUBLE_EQ(store_area_m2(settings, 9.0), 200) << "constant beyond the last point";
    EXPECT_DOUBLE_EQ(store_area_m2(settings, -1.0), 100) << "constant below the first";
}

TEST(StoreVolume, of_a_well_is_that_of_the_storage_table) {
    const Settings settings = stepped(doubles::four_pumps());
    EXPECT_DOUBLE_EQ(need_volume_m3(settings, 0), 0);
    EXPECT_DOUBLE_EQ(need_volume_m3(settings, 0.5), 50);
    EXPECT_DOUBLE_EQ(need_volume_m3(settings, 1), 100);
    EXPECT_DOUBLE_EQ(need_volume_m3(settings, 2), 300);
    EXPECT_DOUBLE_EQ(need_volume_m3(settings, 4), 700) << "beyond the last point";
    EXPECT_DOUBLE_EQ(need_volume_m3(settings, -1), -100) << "below the first point";
}

TEST(StoreVolume, of_a_tank_calls_for_pumping_the_more_the_less_is_in_the_tank) {
    const Settings settings = stepped(doubles::four_pumps_filling_a_tank());
    EXPECT_DOUBLE_EQ(need_volume_m3(settings, 1) - need_volume_m3(settings, 2), 200);
}

TEST(StoreVolume, changes_with_the_level_as_the_surface_says) {
    const Settings settings = stepped(doubles::four_pumps());
    const double step_m = 1e-6;
    for (const double level_m : {-0.5, 0.3, 0.9, 1.2, 2.8, 4.0})
        EXPECT_NEAR((need_volume_m3(settings, level_m + step_m) - need_volume_m3(settings, level_m)) / step_m,
                    store_area_m2(settings, level_m), 1e-3)
            << level_m;
}

// The sharp-crested weir Q = 2/3 Cd b sqrt(2 g) h^1.5. Sarkar, Example 5.9, p. 104, as transcribed in
// tests/reference/hydraulics/weir_test.cpp: 4 m, head 0.2 m, Cd 0.62: 0.655 m3/s.
TEST(Weir, of_the_textbook_passes_655_litres_a_second) {
    Settings settings = doubles::four_pumps();
    const double crest_m = 3, width_m = 4, cd = 0.62, g_ms2 = 9.81;
    settings.weir = {crest_m, 2.0 / 3 * cd * std::sqrt(2 * g_ms2) * width_m};
    EXPECT_NEAR(weir_m3s(settings, crest_m + 0.2), 0.655, 0.0005);
}

TEST(Weir, passes_nothing_up_to_its_crest_or_where_the_store_has_none) {
    Settings settings = doubles::four_pumps();
    EXPECT_EQ(weir_m3s(settings, 9), 0) << "no weir";
    settings.weir = {3, 7};
    EXPECT_EQ(weir_m3s(settings, 2.9), 0);
    EXPECT_EQ(weir_m3s(settings, 3), 0);
    EXPECT_GT(weir_m3s(settings, 3.01), 0);
}

}  // namespace
}  // namespace freshet::core
