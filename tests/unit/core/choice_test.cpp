// Why a pump was chosen to start, and the values that decided.
// One reason to change: a ground on which a pump comes before another.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>

#include "controller/core/rotation.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/watch.hpp"

namespace freshet::core {
namespace {

using testing::ElementsAre;

constexpr std::int64_t chosen_at_ms = doubles::odd_start_ms;
constexpr PumpMask every_pump = 0x0F;

/// Four pumps with unlike hours and starts. None of them started in the last hour.
struct PumpsToChooseFrom {
    Settings settings = doubles::four_pumps();
    SequencerState state;
    PumpsToChooseFrom() {
        const std::int64_t run_h[] = {300, 100, 200, 150};
        const std::uint32_t starts[] = {5, 9, 2, 7};
        for (std::size_t pump = 0; pump < 4; ++pump) {
            state.pumps[pump].run_ms = run_h[pump] * 1_h;
            state.pumps[pump].starts_total = starts[pump];
        }
    }
    Choice choice(PumpMask among = every_pump) const {
        return next_to_start(among, state, settings, chosen_at_ms);
    }
};

TEST(Choice, by_hours_names_the_hours_of_the_pump_and_of_the_next) {
    const PumpsToChooseFrom station;
    const Choice choice = station.choice();
    EXPECT_EQ(choice.pump, 1);
    EXPECT_EQ(choice.why, Reason::fewest_hours);
    EXPECT_THAT(choice.values, ElementsAre(100, 150, 4, 4)) << "100 h, and pump 4 with 150 h is the next";
}

TEST(Choice, by_hours_names_the_starts_of_the_last_hour_when_they_decide) {
    PumpsToChooseFrom station;
    station.state.pumps[1].starts.note(chosen_at_ms - 10_min);
    EXPECT_EQ(station.choice(bit_of(0) | bit_of(1)).why, Reason::fewest_hours) << "one start counts as none";
    station.state.pumps[1].starts.note(chosen_at_ms - 5_min);
    const Choice choice = station.choice(bit_of(0) | bit_of(1));
    EXPECT_EQ(choice.pump, 0);
    EXPECT_EQ(choice.why, Reason::fewest_starts_in_hour);
    EXPECT_THAT(choice.values, ElementsAre(0, 2, 2, 2));
}

TEST(Choice, counts_only_the_pumps_that_were_compared) {
    PumpsToChooseFrom station;
    station.state.pumps[1].starts.note(chosen_at_ms - 10_min);
    station.state.pumps[1].starts.note(chosen_at_ms - 5_min);
    const Choice choice = station.choice();
    EXPECT_EQ(choice.pump, 3);
    EXPECT_EQ(choice.why, Reason::fewest_hours);
    EXPECT_THAT(choice.values, ElementsAre(150, 200, 3, 3))
        << "pump 2 has fewer hours, but two starts in the hour";
}

TEST(Choice, by_starts_names_the_starts_of_the_pump_and_of_the_next) {
    PumpsToChooseFrom station;
    station.settings.rotation = Rotation::starts;
    const Choice choice = station.choice();
    EXPECT_EQ(choice.pump, 2);
    EXPECT_EQ(choice.why, Reason::fewest_starts);
    EXPECT_THAT(choice.values, ElementsAre(2, 5, 1, 4));
}

TEST(Choice, in_alternation_names_the_pump_that_started_last) {
    PumpsToChooseFrom station;
    station.settings.rotation = Rotation::alternation;
    station.state.pumps[1].started_ms = chosen_at_ms - 10_min;
    const Choice choice = station.choice();
    EXPECT_EQ(choice.pump, 2);
    EXPECT_EQ(choice.why, Reason::next_in_alternation);
    EXPECT_THAT(choice.values, ElementsAre(2, 4, 4, 0));
}

TEST(Choice, in_alternation_says_when_no_start_is_known) {
    PumpsToChooseFrom station;
    station.settings.rotation = Rotation::alternation;
    EXPECT_EQ(station.choice().why, Reason::next_in_alternation);
    EXPECT_TRUE(std::isnan(station.choice().values[0]));
}

TEST(Choice, in_the_operators_order_names_the_places) {
    PumpsToChooseFrom station;
    station.settings.rotation = Rotation::order;
    station.settings.place = {3, 2, 0, 1};
    const Choice choice = station.choice(static_cast<PumpMask>(every_pump & ~bit_of(2)));
    EXPECT_EQ(choice.pump, 3);
    EXPECT_EQ(choice.why, Reason::first_in_order);
    EXPECT_THAT(choice.values, ElementsAre(2, 3, 2, 3)) << "place 2, and pump 2 with place 3 is the next";
}

TEST(Choice, by_number_names_the_next_number) {
    PumpsToChooseFrom station;
    station.settings.rotation = Rotation::fixed;
    EXPECT_EQ(station.choice().why, Reason::lowest_number);
    EXPECT_THAT(station.choice().values, ElementsAre(2, 4, 0, 0));
}

TEST(Choice, of_pumps_with_equal_wear_falls_to_the_lowest_number) {
    PumpsToChooseFrom station;
    station.state.pumps[3].run_ms = station.state.pumps[1].run_ms;
    EXPECT_EQ(station.choice().why, Reason::lowest_number);
    EXPECT_THAT(station.choice().values, ElementsAre(4, 2, 0, 0));
}

TEST(Choice, of_a_preferred_pump_says_so) {
    PumpsToChooseFrom station;
    station.settings.preference[0] = Preference::preferred;
    EXPECT_EQ(station.choice().pump, 0);
    EXPECT_EQ(station.choice().why, Reason::preferred);
}

TEST(Choice, of_the_only_free_pump_says_so_whatever_its_wear) {
    PumpsToChooseFrom station;
    EXPECT_EQ(station.choice(bit_of(0)).why, Reason::only_pump_free);
    EXPECT_EQ(station.choice(0).pump, no_pump);
    EXPECT_EQ(station.choice(0).why, Reason::none);
}

TEST(Choice, of_a_pump_that_is_due_for_exercise_names_the_idle_times) {
    PumpsToChooseFrom station;
    station.settings.exercise_ms = 24_h;
    for (PumpRecord& pump : station.state.pumps) pump.released_ms = chosen_at_ms - 2_h;
    station.state.pumps[3].released_ms = chosen_at_ms - 30_h;
    station.state.pumps[0].released_ms = chosen_at_ms - 20_h;
    const Choice choice = station.choice();
    EXPECT_EQ(choice.pump, 3);
    EXPECT_EQ(choice.why, Reason::idle_longest);
    EXPECT_THAT(choice.values, ElementsAre(30, 20, 1, 4));
}

std::size_t choices_of(const Watch& watch) {
    std::size_t found = 0;
    for (const Event& event : watch.events) found += event.what == EventKind::pump_chosen ? 1U : 0U;
    return found;
}

TEST(JournalOfAStart, has_the_choice_of_the_pump_after_the_event_that_the_start_begins_with) {
    Settings settings = doubles::four_pumps();
    settings.run_ms_initial = {300_h, 100_h, 200_h, 150_h};
    Watch watch(settings);
    watch.station.level_m = 2.3;
    watch.station.inflow_m3s = 0.6;
    ASSERT_TRUE(watch.run_until_state(1, PumpState::on_drive, 2_min));
    const Event* begun =
        watch.last(EventKind::sequence_begun, static_cast<std::uint8_t>(Sequence::start_on_drive));
    const Event* chosen = watch.last(EventKind::pump_chosen);
    ASSERT_NE(begun, nullptr);
    ASSERT_NE(chosen, nullptr);
    EXPECT_EQ(chosen->cause_number, begun->number);
    EXPECT_EQ(chosen->pump, 1);
    EXPECT_EQ(chosen->detail, static_cast<std::uint8_t>(Sequence::start_on_drive));
    EXPECT_EQ(chosen->why, Reason::fewest_hours);
    EXPECT_THAT(chosen->values, ElementsAre(100, 150, 4, 4));
    EXPECT_EQ(choices_of(watch), 1U);
}

TEST(JournalOfAStart, has_the_choice_of_each_pump_and_of_no_other_sequence) {
    Watch watch;
    ASSERT_TRUE(watch.one_on_line_one_on_drive());
    EXPECT_EQ(choices_of(watch), watch.count(EventKind::sequence_begun, Sequence::start_on_drive));
    EXPECT_EQ(choices_of(watch), 2U) << "the hand-over between the starts has no choice";
}

TEST(JournalOfAStart, on_the_line_has_the_choice_too) {
    Settings settings = doubles::four_pumps();
    settings.line_start = {.allowed = true,
                           .spacing_ms = 30'000,
                           .supply_dip_max_ratio = 0.15,
                           .short_circuit_va = 100e6,
                           .locked_rotor_current_ratio = 6};
    Watch watch(settings);
    watch.station.drive_fault.not_ready = true;
    watch.station.level_m = 2.3;
    for (const std::size_t pump : {0U, 1U, 3U}) watch.station.selector[pump] = Selector::off;
    ASSERT_TRUE(watch.run_until_state(2, PumpState::on_line, 3_min));
    const Event* chosen = watch.last(EventKind::pump_chosen, static_cast<std::uint8_t>(Sequence::line_start));
    ASSERT_NE(chosen, nullptr);
    EXPECT_EQ(chosen->why, Reason::only_pump_free);
    EXPECT_EQ(chosen->pump, 2);
}

}  // namespace
}  // namespace freshet::core
