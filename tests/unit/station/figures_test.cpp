// The figures that the station keeps of a run, from its true contacts, level and energy.
#include "sim_plant/station/figures.hpp"

#include <gtest/gtest.h>

namespace freshet::plant {
namespace {

constexpr std::int64_t midnight_ms = 1'700'006'400'000;  // a whole number of days since 1970
constexpr double t0 = static_cast<double>(midnight_ms);
constexpr Contacts off{}, on_drive{true, false, true}, both{true, true, true}, on_line{false, true, true};
constexpr double minute_ms = 60'000;

FigureKeeper keeper(std::vector<config::TariffBand> tariff = {}, std::int32_t utc_offset_ms = 0) {
    config::Station station;
    station.tariff = std::move(tariff);
    station.utc_offset_ms = utc_offset_ms;
    return FigureKeeper{station, midnight_ms, 2.0};
}

TEST(Figures, counts_a_hand_over_with_its_overlap_and_closing_angle) {
    FigureKeeper figures = keeper();
    figures.contacts(0, on_drive, t0, 0);
    figures.contacts(0, both, t0 + 1000, -4.5);
    figures.contacts(0, on_line, t0 + 1180, 12);
    const Figures got = figures.at(midnight_ms + 2000, 0);
    EXPECT_EQ(got.hand_overs, 1U);
    EXPECT_EQ(got.take_backs, 0U);
    EXPECT_EQ(got.starts[0], 1U);
    EXPECT_EQ(got.line_starts[0], 0U);
    EXPECT_DOUBLE_EQ(got.overlap_ms_max, 180);
    EXPECT_DOUBLE_EQ(got.closing_angle_deg_max, 4.5);
}

TEST(Figures, counts_a_take_back) {
    FigureKeeper figures = keeper();
    figures.contacts(2, on_line, t0, 0);
    figures.contacts(2, both, t0 + 5000, 2);
    figures.contacts(2, on_drive, t0 + 5100, 2);
    const Figures got = figures.at(midnight_ms + 6000, 0);
    EXPECT_EQ(got.take_backs, 1U);
    EXPECT_EQ(got.hand_overs, 0U);
    EXPECT_EQ(got.line_starts[2], 1U);
}

TEST(Figures, finds_the_hour_with_the_most_transfers_of_all_pumps_wherever_it_begins) {
    FigureKeeper figures = keeper();
    const auto transfer = [&](std::size_t pump, double minute, Contacts from, Contacts to) {
        constexpr double ms_per_min = 60'000;
        const double at_ms = t0 + minute * ms_per_min;
        figures.contacts(pump, from, at_ms - 1000, 0);
        figures.contacts(pump, both, at_ms - 200, 0);
        figures.contacts(pump, to, at_ms, 0);
    };
    transfer(0, 30, on_drive, on_line);
    transfer(1, 50, on_drive, on_line);
    transfer(1, 70, on_line, on_drive);
    transfer(2, 89, on_drive, on_line);
    transfer(0, 91, on_line, on_drive);
    EXPECT_EQ(figures.at(midnight_ms + 7'200'000, 0).transfers_per_hour_max, 4U);
}

TEST(Figures, keeps_the_first_closings_of_a_run_and_counts_them_all) {
    FigureKeeper figures = keeper();
    for (std::size_t i = 0; i < closings_max + 2; ++i) figures.closing({t0 + static_cast<double>(i), {}});
    const Figures got = figures.at(midnight_ms + 7'200'000, 0);
    EXPECT_EQ(got.closing_count, closings_max + 2);
    ASSERT_EQ(got.closings.size(), closings_max);
    EXPECT_EQ(got.closings.back().at_ms, t0 + static_cast<double>(closings_max - 1));
}

TEST(Figures, does_not_count_a_transfer_that_was_withdrawn) {
    FigureKeeper figures = keeper();
    figures.contacts(0, on_drive, t0, 0);
    figures.contacts(0, both, t0 + 1000, 1);
    figures.contacts(0, on_drive, t0 + 1100, 1);
    EXPECT_EQ(figures.at(midnight_ms + 2000, 0).hand_overs, 0U);
}

TEST(Figures, counts_the_overlap_that_has_not_ended) {
    FigureKeeper figures = keeper();
    figures.contacts(0, on_drive, t0, 0);
    figures.contacts(0, both, t0 + 1000, 1);
    EXPECT_DOUBLE_EQ(figures.at(midnight_ms + 61'000, 0).overlap_ms_max, 60'000);
}

TEST(Figures, finds_the_hour_with_the_most_starts_wherever_it_begins) {
    FigureKeeper figures = keeper();
    for (const double minute : {30.0, 50.0, 70.0, 89.0, 91.0}) {  // 30..89 hold four; 50..91 hold four
        figures.contacts(1, on_line, t0 + minute * minute_ms, 0);
        figures.contacts(1, off, t0 + (minute + 0.5) * minute_ms, 0);
    }
    EXPECT_EQ(figures.at(midnight_ms + 2 * 3'600'000, 0).starts_per_hour_max, 4U);
}

TEST(Figures, counts_run_time_up_to_now_for_a_pump_still_fed) {
    FigureKeeper figures = keeper();
    figures.contacts(0, on_line, t0, 0);
    figures.contacts(0, off, t0 + 10'000, 0);
    figures.contacts(0, on_line, t0 + 20'000, 0);
    EXPECT_EQ(figures.at(midnight_ms + 25'000, 0).run_ms[0], 15'000);
}

TEST(Figures, prices_energy_by_the_hour_in_which_it_was_drawn) {
    constexpr double joule_per_kwh = 3.6e6;
    FigureKeeper figures = keeper({{0, 1, 0.10}, {1, 24, 0.30}});
    EXPECT_EQ(figures.next_price_ms(), midnight_ms + 3'600'000);
    figures.energy(midnight_ms + 3'600'000, 100 * joule_per_kwh);
    const Figures got = figures.at(midnight_ms + 5'000'000, 150 * joule_per_kwh);
    EXPECT_NEAR(got.cost, 100 * 0.10 + 50 * 0.30, 1e-9);
}

TEST(Figures, prices_energy_by_the_local_hour) {
    constexpr std::int32_t half_past_five_ms = 19'800'000;
    FigureKeeper figures = keeper({{0, 5, 1}, {5, 24, 3}}, half_past_five_ms);
    EXPECT_EQ(figures.next_price_ms(), midnight_ms + 1'800'000) << "half an hour to the full local hour";
    constexpr double j_per_kwh = 3.6e6;
    EXPECT_NEAR(figures.at(midnight_ms + 1'800'000, 2 * j_per_kwh).cost, 6, 1e-9)
        << "the hour from five o'clock local time";
}

TEST(Figures, costs_nothing_where_no_tariff_is_stated) {
    FigureKeeper figures = keeper();
    EXPECT_EQ(figures.at(midnight_ms + 1000, 1e9).cost, 0);
}

TEST(Figures, keeps_the_highest_and_lowest_true_level) {
    FigureKeeper figures = keeper();
    figures.level(3.5);
    figures.level(1.25);
    const Figures got = figures.at(midnight_ms, 0);
    EXPECT_EQ(got.level_max_m, 3.5);
    EXPECT_EQ(got.level_min_m, 1.25);
}

}  // namespace
}  // namespace freshet::plant
