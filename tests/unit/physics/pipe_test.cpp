// The main's loss table against the laws it is made from, and monotone cubics.
#include "config/hydraulics/pipe.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "config/numerics/monotone_cubic.hpp"
#include "sample_water_station.hpp"
#include "sim_plant/physics/main_loss.hpp"
#include "sim_plant/physics/surge.hpp"

namespace {

using namespace freshet;
using namespace freshet::plant;

TEST(MainLoss, table_follows_the_friction_laws) {
    const config::Station station = tests::water_station();
    const MainLoss table(station.main, station.fluid, 2.64);
    for (double flow = 0.264; flow < 2.64; flow += 0.0137) {
        const double exact = config::main_loss_m(station.main, station.fluid, flow);
        EXPECT_NEAR(table.at(flow).loss_m, exact, 1e-6 * exact);
    }
    // Where the loss hardly counts the table may be coarser, but by less than 0.2 mm.
    for (double flow = 0; flow < 0.264; flow += 0.0007) {
        EXPECT_NEAR(table.at(flow).loss_m, config::main_loss_m(station.main, station.fluid, flow), 2e-4);
    }
}

TEST(MainLoss, has_the_sign_of_the_flow_and_never_a_falling_slope) {
    const config::Station station = tests::water_station();
    const MainLoss table(station.main, station.fluid, 2.64);
    for (double flow = 0; flow < 10; flow += 0.01) {
        EXPECT_EQ(table.at(-flow).loss_m, -table.at(flow).loss_m);
        EXPECT_GE(table.at(flow).slope_sm2, 0);
    }
}

TEST(MainLoss, goes_on_smoothly_beyond_its_table) {
    const config::Station station = tests::water_station();
    const MainLoss table(station.main, station.fluid, 2.64);
    EXPECT_NEAR(table.at(2.64 - 1e-9).loss_m, table.at(2.64 + 1e-9).loss_m, 1e-6);
    EXPECT_NEAR(table.at(2.64 - 1e-9).slope_sm2, table.at(2.64 + 1e-9).slope_sm2, 1e-5);
    EXPECT_NEAR(table.at(5).loss_m, config::main_loss_m(station.main, station.fluid, 5),
                0.05 * config::main_loss_m(station.main, station.fluid, 5));
}

TEST(FrictionFactor, passes_through_the_transition_without_a_step) {
    EXPECT_NEAR(config::friction_factor(2000 - 1e-6, 1e-3), config::friction_factor(2000 + 1e-6, 1e-3), 1e-9);
    EXPECT_NEAR(config::friction_factor(4000 - 1e-6, 1e-3), config::friction_factor(4000 + 1e-6, 1e-3), 1e-9);
}

TEST(Column, inertia_is_the_sum_over_the_reaches) {
    const config::Station station = tests::water_station();
    const double expected = (1500 / config::area_m2(1.0) + 500 / config::area_m2(0.9)) / 9.80665;
    EXPECT_NEAR(config::column_inertia_s2m2(station.main), expected, 1e-9);
    EXPECT_NEAR(config::narrowest_diameter_m(station.main), 0.9, 0);
}

TEST(Surge, the_worst_reach_gives_the_figure) {
    const config::Station station = tests::water_station();
    EXPECT_NEAR(trip_surge_head_m(station.main, 1.0), joukowsky_head_m(1100, config::velocity_ms(1.0, 0.9)),
                1e-9);
}

TEST(MonotoneCubic, never_overshoots_its_points) {
    const std::vector<double> x{0, 1, 1.1, 3, 4};
    const std::vector<double> y{10, 9.9, 5, 4.9, 0};
    const std::vector<double> slope = config::monotone_slopes(x, y);
    for (std::size_t i = 0; i + 1 < x.size(); ++i) {
        const config::Cubic piece = config::hermite(x[i + 1] - x[i], y[i], y[i + 1], slope[i], slope[i + 1]);
        for (double part = 0; part <= 1; part += 0.01) {
            const double value = config::value_at(piece, part * (x[i + 1] - x[i]));
            EXPECT_LE(value, y[i] + 1e-12);
            EXPECT_GE(value, y[i + 1] - 1e-12);
        }
    }
}

}  // namespace
