// The answers to orders about alarms: what was done, or what was wrong and what was expected.
#include "controller/process/alarm_orders.hpp"

#include <gtest/gtest.h>

#include "controller/core/controller.hpp"
#include "tests/doubles/station_double.hpp"

namespace freshet::controller_process {
namespace {

/// A controller, and a person who writes orders.
class Attended {
  public:
    Attended() { scan({}); }

    std::string says(std::string_view line) {
        const ReadOrder order = read_order(line, *advice_, settings_.pump_count);
        if (!order.people.asks()) return order.answer;
        EXPECT_EQ(order.answer, "") << "nothing is promised before it is done";
        scan(order.people);
        return outcome_of(order, *advice_);
    }
    void emergency_stop() {
        station_.emergency_stop = true;
        let_pass();
    }
    void release() {
        station_.emergency_stop = false;
        let_pass();
    }

  private:
    void let_pass() {
        constexpr int until_it_is_seen = 50;
        for (int scans = 0; scans < until_it_is_seen; ++scans) scan({});
    }
    void scan(const core::OperatorInputs& people) {
        core::Inputs inputs = station_.look();
        inputs.people = people;
        advice_ = &controller_.scan(inputs);
        station_.step(*advice_);
    }

    core::Settings settings_ = doubles::four_pumps();
    core::Controller controller_{settings_};
    doubles::StationDouble station_{settings_};
    const core::Advice* advice_ = nullptr;
};

TEST(AlarmOrders, are_answered_with_what_was_done) {
    Attended person;
    EXPECT_EQ(person.says("shelve drive_tripped 30"), "drive_tripped: shelved for 30 minutes\n");
    EXPECT_EQ(person.says("unshelve drive_tripped"), "drive_tripped: no longer shelved\n");
    EXPECT_EQ(person.says("out_of_service pump_2.seal_leak"), "pump_2.seal_leak: out of service\n");
    EXPECT_EQ(person.says("in_service pump_2.seal_leak"), "pump_2.seal_leak: in service\n");
}

TEST(AlarmOrders, that_changed_nothing_are_answered_so) {
    Attended person;
    EXPECT_EQ(person.says("acknowledge drive_tripped"), "drive_tripped: nothing to acknowledge\n");
    EXPECT_EQ(person.says("acknowledge all"), "all: nothing to acknowledge\n");
    EXPECT_EQ(person.says("unshelve pump_1.tripped"), "pump_1.tripped: was not shelved\n");
    EXPECT_EQ(person.says("in_service supply"), "supply: was in service already\n");
    person.says("out_of_service supply");
    EXPECT_EQ(person.says("out_of_service supply"), "supply: was out of service already\n");
}

TEST(AlarmOrders, acknowledge_an_alarm_once) {
    Attended person;
    person.emergency_stop();
    EXPECT_NE(person.says("list").find("emergency_stop: active, not acknowledged"), std::string::npos);
    EXPECT_EQ(person.says("acknowledge emergency_stop"), "emergency_stop: acknowledged\n");
    EXPECT_EQ(person.says("acknowledge emergency_stop"), "emergency_stop: nothing to acknowledge\n");
}

TEST(AlarmOrders, to_acknowledge_all_say_how_many_there_were_and_how_many_are_left) {
    core::Advice advice;
    advice.event_count = 2;
    for (std::size_t i = 0; i < 2; ++i) advice.events[i].what = core::EventKind::alarm_acknowledged;
    ReadOrder all;
    all.people.acknowledge_all = true;
    EXPECT_EQ(outcome_of(all, advice), "all: 2 acknowledged\n");
    advice.pump_alarms_unacknowledged[1] = 0b101;
    EXPECT_EQ(outcome_of(all, advice), "all: 2 acknowledged, 2 left; write the order again\n");
}

TEST(AlarmOrders, that_are_wrong_are_answered_with_what_was_expected_and_the_nearest_known_word) {
    Attended person;
    EXPECT_NE(person.says("shelf supply 30").find("nearest known order \"shelve\""), std::string::npos);
    EXPECT_NE(person.says("shelve suply 30").find("nearest known alarm \"supply\""), std::string::npos);
    EXPECT_NE(person.says("acknowledge pump_9.tripped").find("there is no alarm 'pump_9.tripped'"),
              std::string::npos);
    EXPECT_EQ(person.says("shelve supply"),
              "'shelve supply' is not an order; expected shelve ALARM MINUTES\n");
    EXPECT_EQ(person.says("acknowledge all now"),
              "'acknowledge all now' is not an order; expected acknowledge all or acknowledge ALARM\n");
    for (const char* minutes : {"0", "481", "30m", "-1", "99999999999"})
        EXPECT_EQ(person.says(std::string("shelve supply ") + minutes),
                  std::string("'") + minutes + "' is not a shelving time; expected 1 to 480 minutes\n");
    EXPECT_EQ(person.says("shelve high_float 30"), "high_float has high priority and may not be set aside\n");
    EXPECT_EQ(person.says("list"), "every alarm is normal\n") << "nothing of all that was done";
}

TEST(ResetOrder, is_answered_with_what_was_done_or_with_the_reason_of_its_refusal) {
    Attended person;
    EXPECT_EQ(person.says("reset"), "reset: nothing to reset\n");
    person.emergency_stop();
    EXPECT_EQ(person.says("reset"), "reset: refused, because the emergency stop was operated\n");
    person.release();
    EXPECT_EQ(person.says("reset"), "reset: done, pumps may start\n");
    EXPECT_EQ(person.says("reset"), "reset: nothing to reset\n");
}

TEST(ResetOrder, with_a_misspelling_is_answered_with_the_nearest_order) {
    Attended person;
    EXPECT_NE(person.says("rest").find("nearest known order \"reset\""), std::string::npos);
}

}  // namespace
}  // namespace freshet::controller_process
