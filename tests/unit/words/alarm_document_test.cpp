// The document of alarms: complete, equal to the rules, and with priorities as the standard recommends.
#include "controller/words/alarm_document.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "controller/core/alarms.hpp"
#include "controller/core/sequences.hpp"
#include "controller/words/alarms.hpp"

namespace freshet::words {
namespace {

std::size_t lines_in(const std::string& text) {
    return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

TEST(AlarmDocument, has_a_row_for_every_alarm_in_both_forms) {
    const std::string csv = alarms_csv(), markdown = alarms_markdown();
    EXPECT_EQ(lines_in(csv), 1 + core::station_alarm_count + core::pump_alarm_count);
    for (const auto& alarm : station_alarms) {
        EXPECT_NE(csv.find("\"" + std::string(alarm.name) + "\""), std::string::npos) << alarm.name;
        EXPECT_NE(markdown.find("`" + std::string(alarm.name) + "`"), std::string::npos) << alarm.name;
    }
    for (const auto& alarm : pump_alarms)
        EXPECT_NE(csv.find("\"pump_N." + std::string(alarm.name) + "\""), std::string::npos) << alarm.name;
}

TEST(AlarmDocument, gives_the_times_priority_and_group_of_the_controller) {
    const std::string csv = alarms_csv();
    const std::size_t begin = csv.find("\"drive_not_ready\"");
    const std::string row = csv.substr(begin, csv.find("\r\n", begin) - begin);
    EXPECT_NE(
        row.find(R"("low","drive","","2","5","none","no","drive_tripped or supply","does not matter","yes")"),
        std::string::npos)
        << row;
}

std::string row_of(const std::string& name) {
    const std::string csv = alarms_csv();
    const std::size_t begin = csv.find("\"" + name + "\"");
    return begin == std::string::npos ? "" : csv.substr(begin, csv.find("\r\n", begin) - begin);
}

// An alarm of a time-out of synchronism is not raised by the first failure.
TEST(AlarmDocument, says_which_alarms_wait_for_failures_in_a_row) {
    for (const core::StepRow& step : core::tables::rows) {
        if (step.wait_for != core::Condition::in_sync) continue;
        ASSERT_EQ(step.time_out_alarm.of, core::AlarmRef::Of::station);
        const auto name = station_alarms[step.time_out_alarm.code].name;
        EXPECT_NE(row_of(std::string(name)).find("attempts_max in a row"), std::string::npos) << name;
    }
    EXPECT_NE(row_of("sync_check_disagrees").find("attempts_max in a row"), std::string::npos);
    EXPECT_NE(row_of("drive_locked_out").find("attempts_max in a row"), std::string::npos);
    EXPECT_EQ(row_of("output_does_not_open").find("attempts_max in a row"), std::string::npos);
}

// The words for a level that is too high or too low must hold for a tank and for a pressure, too.
TEST(AlarmDocument, names_every_duty_when_an_alarm_belongs_to_every_duty) {
    for (const char* name : {"value_high", "high_float", "value_low_cutoff", "low_float"})
        EXPECT_NE(row_of(name).find("tank"), std::string::npos) << row_of(name);
    for (const char* name : {"value_high", "value_low_cutoff", "value_bad"})
        EXPECT_NE(row_of(name).find("pressure"), std::string::npos) << row_of(name);
}

// A transfer goes on being tried after its alarm, and a pump that cannot be handed over makes room.
TEST(AlarmDocument, says_of_a_failed_transfer_that_it_is_tried_again) {
    for (const char* name :
         {"not_in_sync", "sync_check_disagrees", "pump_N.hand_over_failed", "pump_N.take_back_failed"})
        EXPECT_NE(row_of(name).find("after each pause"), std::string::npos) << row_of(name);
    for (const char* name : {"pump_N.hand_over_failed", "pump_N.line_side_does_not_close"})
        EXPECT_NE(row_of(name).find("makes room"), std::string::npos) << row_of(name);
}

TEST(AlarmDocument, has_as_many_cells_in_every_row_as_in_its_heading) {
    const std::string csv = alarms_csv();
    const std::string head = csv.substr(0, csv.find("\r\n"));
    const auto columns = std::count(head.begin(), head.end(), ',') + 1;
    for (std::size_t at = csv.find("\r\n") + 2; at < csv.size();) {
        const std::size_t end = csv.find("\r\n", at);
        const std::string row = csv.substr(at, end - at);
        EXPECT_EQ(std::count(row.begin(), row.end(), '"'), 2 * columns) << row;
        at = end + 2;
    }
}

// Priorities of alarms as configured: about 80 % low, 15 % medium, 5 % high (ANSI/ISA-18.2-2016, as quoted in
// a public course text on alarm management). "About" is taken as within ten points.
TEST(AlarmPriorities, are_spread_about_as_the_standard_recommends) {
    std::array<double, 3> share{};
    for (const auto& rule : core::station_alarm_rules) share[static_cast<std::size_t>(rule.priority)] += 1;
    for (const auto& rule : core::pump_alarm_rules) share[static_cast<std::size_t>(rule.priority)] += 1;
    constexpr double all = core::station_alarm_count + core::pump_alarm_count;
    constexpr double points = 10;
    EXPECT_NEAR(100 * share[0] / all, 80, points);
    EXPECT_NEAR(100 * share[1] / all, 15, points);
    // Ten points about 5 % would let there be none.
    EXPECT_GT(share[2], 0);
    EXPECT_LE(100 * share[2] / all, 10);
}

// Wet-well stations alarm at least high and low level, pump failure and failure of the speed control
// (UFC 3-240-08FA, formerly TM 5-814-2, p. 5-7, para c).
TEST(AlarmsRequired, are_all_there) {
    for (const char* name : {"value_high", "value_low_cutoff", "drive_tripped"})
        EXPECT_TRUE(code_of(station_alarms, name)) << name;
    EXPECT_TRUE(code_of(pump_alarms, "tripped"));
    EXPECT_TRUE(code_of(pump_alarms, "not_running"));
}

}  // namespace
}  // namespace freshet::words
