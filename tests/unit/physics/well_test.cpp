// The stage-storage table and the implicit weir.
#include "sim_plant/physics/well.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <stdexcept>

#include "sim_plant/physics/check_valve.hpp"

namespace {

using namespace freshet;
using namespace freshet::plant;

TEST(StageStorage, level_and_volume_are_inverse_wherever_the_piece_is_remembered) {
    StageStorage storage({{-1, 3}, {0, 10}, {2, 60}, {6, 340}});
    std::mt19937 random(7);
    std::uniform_real_distribution<double> level(-1.5, 7);
    for (int i = 0; i < 1000; ++i) {
        const double wanted = level(random);
        EXPECT_NEAR(storage.level_m(storage.volume_m3(wanted)), wanted, 1e-12);
    }
}

TEST(StageStorage, goes_on_above_and_below_with_the_end_pieces_areas) {
    StageStorage storage({{0, 0}, {1, 10}, {2, 40}});
    EXPECT_NEAR(storage.level_m(70), 3, 1e-12);
    EXPECT_NEAR(storage.per_area_m2(), 1.0 / 30, 1e-12);
    EXPECT_NEAR(storage.level_m(-5), -0.5, 1e-12);
}

TEST(StageStorage, refuses_tables_that_do_not_rise) {
    EXPECT_THROW(StageStorage({{0, 0}}), std::invalid_argument);
    EXPECT_THROW(StageStorage({{0, 0}, {0, 10}}), std::invalid_argument);
    EXPECT_THROW(StageStorage({{0, 10}, {1, 10}}), std::invalid_argument);
}

TEST(WeirStep, head_after_the_step_balances_what_went_over) {
    for (const double area : {0.5, 20.0, 5000.0}) {
        for (const double weir : {0.01, 1.0, 500.0}) {
            for (const double free : {1e-6, 0.1, 3.0}) {
                const double head = weir_head_after_step_m(free, area, weir);
                EXPECT_NEAR(area * (free - head), weir * std::pow(head, 1.5), 1e-9 * area * free);
                EXPECT_GT(head, 0);
                EXPECT_LT(head, free);
            }
        }
    }
}

TEST(WeirStep, tends_to_the_weir_formula_as_the_step_shrinks) {
    const double step = 1e-6;
    const double gone = 100 * (0.2 - weir_head_after_step_m(0.2, 100, step * 1.84 * 4)) / step;
    EXPECT_NEAR(gone, 1.84 * 4 * std::pow(0.2, 1.5), 1e-4);
}

TEST(CheckValve, shuts_over_its_closing_time_and_not_beyond) {
    EXPECT_NEAR(opening_after_reversal(1, 0.1, 0.5), 0.8, 1e-12);
    EXPECT_EQ(opening_after_reversal(0.1, 0.1, 0.5), 0);
    EXPECT_EQ(opening_after_reversal(1, 0.1, 0), 0);
}

}  // namespace
