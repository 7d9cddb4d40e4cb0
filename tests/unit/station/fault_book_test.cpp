// Timed faults and those set by hand, living together.
#include "sim_plant/station/fault_book.hpp"

#include <gtest/gtest.h>

#include <stdexcept>

namespace freshet::plant {
namespace {

using config::FaultKind;

constexpr std::int64_t start_ms = 1'700'000'000'000;
constexpr std::size_t four_pumps = 4;

config::Scenario scenario_with(std::vector<config::Fault> faults) {
    config::Scenario scenario;
    scenario.start_ms = start_ms;
    scenario.faults = std::move(faults);
    return scenario;
}

TEST(FaultBook, begins_and_ends_a_timed_fault_at_its_times) {
    FaultBook book{scenario_with({{10, 5, "level_1", FaultKind::frozen, 0}}), four_pumps};
    EXPECT_EQ(book.next_due_ms(), start_ms + 10'000);
    EXPECT_FALSE(book.advance(start_ms + 9'900));
    EXPECT_TRUE(book.in_force().empty());

    EXPECT_TRUE(book.advance(start_ms + 10'000));
    ASSERT_EQ(book.in_force().size(), 1U);
    EXPECT_EQ(book.in_force()[0].kind, FaultKind::frozen);
    EXPECT_EQ(book.next_due_ms(), start_ms + 15'000);

    EXPECT_TRUE(book.advance(start_ms + 15'000));
    EXPECT_TRUE(book.in_force().empty());
    EXPECT_EQ(book.next_due_ms(), FaultBook::never_due_ms);
}

TEST(FaultBook, keeps_a_fault_without_a_length_to_the_end) {
    FaultBook book{scenario_with({{1, 0, "pump_2", FaultKind::worn, 0.1}}), four_pumps};
    book.advance(start_ms + 1'000'000'000);
    ASSERT_EQ(book.in_force().size(), 1U);
    EXPECT_EQ(book.in_force()[0].device.pump, 1);
    EXPECT_DOUBLE_EQ(book.in_force()[0].amount, 0.1);
}

TEST(FaultBook, holds_several_kinds_on_one_device_and_ends_each_at_its_own_time) {
    FaultBook book{
        scenario_with({{0, 10, "pump_1", FaultKind::worn, 0.1}, {5, 10, "pump_1", FaultKind::trip, 0}}),
        four_pumps};
    book.advance(start_ms + 6'000);
    EXPECT_EQ(book.in_force().size(), 2U);
    book.advance(start_ms + 10'000);
    ASSERT_EQ(book.in_force().size(), 1U);
    EXPECT_EQ(book.in_force()[0].kind, FaultKind::trip);
}

TEST(FaultBook, ends_before_it_begins_when_both_fall_on_one_instant) {
    FaultBook book{scenario_with({{5, 5, "drive", FaultKind::trip, 0}, {10, 5, "drive", FaultKind::trip, 0}}),
                   four_pumps};
    book.advance(start_ms + 10'000);
    EXPECT_EQ(book.in_force().size(), 1U);
}

TEST(FaultBook, leaves_a_fault_set_by_hand_when_the_timed_one_it_replaced_would_have_ended) {
    FaultBook book{scenario_with({{5, 5, "level_1", FaultKind::offset, 0.5}}), four_pumps};
    book.advance(start_ms + 6'000);
    book.set(*config::find_device("level_1", four_pumps), FaultKind::offset, -0.25, start_ms + 7'000);
    book.advance(start_ms + 20'000);
    ASSERT_EQ(book.in_force().size(), 1U);
    EXPECT_DOUBLE_EQ(book.in_force()[0].amount, -0.25);
}

TEST(FaultBook, goes_on_with_the_earlier_of_two_overlapping_faults_where_the_later_ends) {
    FaultBook book{scenario_with({{5, 20, "link", FaultKind::link_slow, 0.3},
                                  {10, 5, "link", FaultKind::link_slow, 0.8}}),
                   four_pumps};
    const auto amount_at = [&book](double t_s) {
        book.advance(start_ms + static_cast<std::int64_t>(t_s * 1000));
        return book.in_force().empty() ? 0 : book.in_force()[0].amount;
    };
    EXPECT_DOUBLE_EQ(amount_at(6), 0.3);
    EXPECT_DOUBLE_EQ(amount_at(11), 0.8);
    EXPECT_DOUBLE_EQ(amount_at(16), 0.3);
    EXPECT_DOUBLE_EQ(amount_at(26), 0);
}

TEST(FaultBook, does_not_go_on_with_a_fault_that_was_cleared_by_hand) {
    FaultBook book{scenario_with({{5, 20, "link", FaultKind::link_slow, 0.3},
                                  {10, 5, "link", FaultKind::link_slow, 0.8}}),
                   four_pumps};
    book.advance(start_ms + 6'000);
    EXPECT_TRUE(book.clear(*config::find_device("link", four_pumps)));
    book.advance(start_ms + 16'000);
    EXPECT_TRUE(book.in_force().empty());
}

TEST(FaultBook, clears_every_fault_of_the_named_device_and_no_other) {
    FaultBook book{scenario_with({}), four_pumps};
    const auto pump = *config::find_device("pump_3", four_pumps);
    const auto contactor = *config::find_device("pump_3.line_side", four_pumps);
    book.set(pump, FaultKind::worn, 0.2, start_ms);
    book.set(pump, FaultKind::blocked, 0.5, start_ms);
    book.set(contactor, FaultKind::does_not_open, 0, start_ms);
    EXPECT_TRUE(book.clear(pump));
    ASSERT_EQ(book.in_force().size(), 1U);
    EXPECT_EQ(book.in_force()[0].kind, FaultKind::does_not_open);
    EXPECT_FALSE(book.clear(pump));
}

TEST(FaultBook, refuses_a_device_that_the_station_does_not_have) {
    EXPECT_THROW(FaultBook(scenario_with({{0, 0, "pump_5", FaultKind::trip, 0}}), four_pumps),
                 std::invalid_argument);
    EXPECT_THROW(FaultBook(scenario_with({{0, 0, "boiler", FaultKind::trip, 0}}), four_pumps),
                 std::invalid_argument);
}

TEST(FaultBook, refuses_a_kind_that_the_device_does_not_take) {
    EXPECT_THROW(FaultBook(scenario_with({{0, 0, "high_float", FaultKind::trip, 0}}), four_pumps),
                 std::invalid_argument);
}

TEST(Devices, every_listed_name_is_found_and_takes_at_least_one_kind) {
    for (const std::string& name : config::device_names(four_pumps)) {
        const auto device = config::find_device(name, four_pumps);
        ASSERT_TRUE(device) << name;
        EXPECT_FALSE(config::faults_of(device->kind_of_device).empty()) << name;
    }
}

}  // namespace
}  // namespace freshet::plant
