// The answers to an instructor: what was done, or what was wrong and what was expected.
#include "sim_plant/process/fault_orders.hpp"

#include <gtest/gtest.h>

#include "tests/unit/station/sample_station.hpp"

namespace freshet::plant_process {
namespace {

class Instructed {
  public:
    std::string says(std::string_view line) { return obey(line, plant_, 4).answer; }
    Obeyed does(std::string_view line) { return obey(line, plant_, 4); }
    double amount_of_last() const { return plant_.faults().back().amount; }
    std::size_t faults() const { return plant_.faults().size(); }

  private:
    plant::Plant plant_{plant::sample_station(), plant::steady_scenario(0.9)};
};

TEST(FaultOrders, are_answered_with_what_was_done) {
    Instructed person;
    EXPECT_EQ(person.says("pump_2 blocked 0.4"), "pump_2: blocked 0.4\n");
    EXPECT_EQ(person.amount_of_last(), 0.4);
    EXPECT_EQ(person.says("drive trip"), "drive: trip\n");
    EXPECT_EQ(person.says("clear drive"), "drive: cleared\n");
    EXPECT_EQ(person.says("clear drive"), "drive: no fault to clear\n");
}

TEST(FaultOrders, give_a_record_what_was_set_cleared_or_refused) {
    Instructed person;
    const Obeyed set = person.does("pump_2 blocked 0.4");
    EXPECT_EQ(set.outcome, Obeyed::Outcome::set);
    EXPECT_EQ(set.device, "pump_2");
    EXPECT_EQ(set.kind, "blocked");
    EXPECT_EQ(set.amount, 0.4);
    EXPECT_EQ(set.order, "pump_2 blocked 0.4");
    EXPECT_EQ(person.does("clear pump_2").outcome, Obeyed::Outcome::cleared);
    EXPECT_EQ(person.does("clear pump_2").outcome, Obeyed::Outcome::refused);
    EXPECT_EQ(person.does("pump_2 blocked 40").outcome, Obeyed::Outcome::refused);
    EXPECT_EQ(person.does("list").outcome, Obeyed::Outcome::listed);
    EXPECT_EQ(person.does("  ").outcome, Obeyed::Outcome::nothing_asked);
}

TEST(FaultOrders, take_an_amount_in_si_as_a_scenario_does) {
    Instructed person;
    EXPECT_EQ(person.says("level_1 over_range 0.0215"), "level_1: over_range 0.0215\n");
    EXPECT_DOUBLE_EQ(person.amount_of_last(), 21.5) << "the loop counts in milliamperes";
}

TEST(FaultOrders, put_a_selector_to_hand_and_start_the_pump_by_hand_where_the_amount_is_1) {
    Instructed person;
    EXPECT_EQ(person.says("pump_3 selector_hand"), "pump_3: selector_hand\n");
    EXPECT_EQ(person.amount_of_last(), 0);
    EXPECT_EQ(person.says("pump_3 selector_hand 1"), "pump_3: selector_hand 1\n");
    EXPECT_EQ(person.amount_of_last(), 1);
}

TEST(FaultOrders,
     without_the_amount_that_they_need_or_with_one_that_cannot_be_do_nothing_and_say_what_was_expected) {
    Instructed person;
    EXPECT_EQ(person.says("pump_2 blocked"),
              "pump_2 blocked needs an amount; expected a plain number, above 0 to 1\n");
    EXPECT_EQ(person.says("pump_2 blocked 40"),
              "'40' is not an amount for pump_2 blocked; expected a plain number, above 0 to 1\n");
    EXPECT_EQ(person.says("level_1 offset"), "level_1 offset needs an amount; expected a number in m\n");
    EXPECT_EQ(person.says("level_1 drift nan"),
              "'nan' is not an amount for level_1 drift; expected a number in m/s\n");
    EXPECT_EQ(person.says("link link_slow -1"),
              "'-1' is not an amount for link link_slow; expected a number in s, above 0\n");
    EXPECT_EQ(person.says("drive trip 3"), "drive trip has no amount; the order was not carried out\n");
    EXPECT_EQ(person.faults(), 0U);
}

TEST(FaultOrders, with_a_name_that_is_no_longer_used_are_refused_with_the_new_one) {
    Instructed person;
    EXPECT_EQ(person.says("level_1 stuck"), "the fault 'stuck' has a new name; expected 'frozen'\n");
    EXPECT_EQ(person.says("pump_2.tripped off"), "the fault 'off' has a new name; expected 'dead'\n");
    EXPECT_NE(person.says("drive stuck").find("'stuck' is not a fault of drive"), std::string::npos)
        << "what never happened to the drive has no new name";
    EXPECT_EQ(person.faults(), 0U);
    EXPECT_EQ(person.says("level_1 frozen"), "level_1: frozen\n");
}

TEST(FaultOrders, that_are_wrong_are_answered_with_the_nearest_known_word) {
    Instructed person;
    EXPECT_NE(person.says("drve trip")
                  .find("there is no device 'drve'; the order list names the devices; nearest known device "
                        "\"drive\""),
              std::string::npos);
    EXPECT_NE(person.says("drive tripp").find("; nearest known kind \"trip\""), std::string::npos);
    EXPECT_EQ(person.faults(), 0U);
}

}  // namespace
}  // namespace freshet::plant_process
