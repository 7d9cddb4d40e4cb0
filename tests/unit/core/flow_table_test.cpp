// Flow by combination, and the speed below which the pump on the drive only churns.
#include "controller/core/flow_table.hpp"

#include <gtest/gtest.h>

#include "tests/doubles/station_double.hpp"

namespace freshet::core {
namespace {

TEST(FlowTable, agrees_with_the_direct_solution_between_its_points) {
    const Settings settings = doubles::four_pumps();
    const FlowTable table(settings);
    for (std::uint8_t line = 0; line <= 4; ++line)
        for (double speed_hz = 44; speed_hz <= 60; speed_hz += 1.7)
            for (double level_m = 0.7; level_m < 3.4; level_m += 0.45) {
                const double direct = solve_combination(settings, {line, speed_hz, level_m}).total_m3s;
                EXPECT_NEAR(table.total_m3s(line, speed_hz, level_m), direct, settings.minimum_flow_m3s / 5)
                    << int(line) << " on line, " << speed_hz << " Hz, " << level_m << " m";
            }
}

TEST(FlowTable, more_pumps_on_the_line_ask_more_speed_of_the_one_on_the_drive) {
    const FlowTable table(doubles::four_pumps());
    for (std::size_t line = 0; line < 4; ++line)
        EXPECT_GT(table.minimum_flow_hz(line + 1, 2.0), table.minimum_flow_hz(line, 2.0));
}

TEST(FlowTable, at_minimum_flow_speed_the_pump_delivers_its_minimum_continuous_flow) {
    const Settings settings = doubles::four_pumps();
    const FlowTable table(settings);
    for (std::uint8_t line = 0; line <= 3; ++line) {
        const double speed_hz = table.minimum_flow_hz(line, settings.marks.low_cutoff_m);
        const Delivery delivery = solve_combination(settings, {line, speed_hz, settings.marks.low_cutoff_m});
        EXPECT_NEAR(delivery.drive_pump_m3s, settings.minimum_flow_m3s, 1e-6);
    }
}

TEST(FlowTable, a_pump_too_slow_to_lift_delivers_nothing_and_takes_nothing_from_the_others) {
    const Settings settings = doubles::four_pumps();
    const Delivery slow = solve_combination(settings, {2, 25.0, 2.0});
    const Delivery without = solve_combination(settings, {2, 0.0, 2.0});
    EXPECT_EQ(slow.drive_pump_m3s, 0);
    EXPECT_NEAR(slow.total_m3s, without.total_m3s, 1e-9);
}

TEST(FlowTable, never_goes_below_the_floor_of_the_settings) {
    Settings settings = doubles::four_pumps();
    settings.drive.speed_min_hz = 48;
    const FlowTable table(settings);
    EXPECT_GE(table.minimum_flow_hz(0, 2.0), 48);
}

TEST(StoreArea, is_the_slope_of_the_storage_table) {
    Settings settings = doubles::four_pumps();
    settings.store = {{{0, 0}, {1, 100}, {3, 500}}};
    settings.store_points = 3;
    EXPECT_DOUBLE_EQ(store_area_m2(settings, 0.5), 100);
    EXPECT_DOUBLE_EQ(store_area_m2(settings, 2.0), 200);
    EXPECT_DOUBLE_EQ(store_area_m2(settings, 9.0), 200) << "held beyond the last point";
    EXPECT_DOUBLE_EQ(store_area_m2(settings, -1.0), 100) << "held below the first";
}

}  // namespace
}  // namespace freshet::core
