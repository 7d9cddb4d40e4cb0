// What the loader says of the marks of lag pumps, word for word.
// One reason to change: what a station file may say of these marks.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "config/loader/load.hpp"
#include "controller/core/need.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::shipped;
using test::SpoiledFile;

/// The demo station with marks of its three lag pumps after the settings of the staging. Its first pump
/// starts at 3.6 m and stops at 2.0 m, and its high alarm is at 5.0 m.
struct LagMarksOfTheDemoStation : SpoiledFile {
    explicit LagMarksOfTheDemoStation(std::string_view marks) : SpoiledFile("stations/demo.toml") {
        replace("\n[control.sync]", "\n" + std::string(marks) + "\n[control.sync]");
    }
};
std::string lag(std::string_view start, std::string_view stop) {
    return "[[control.staging.lag]]\nstart = \"" + std::string(start) + "\"\nstop = \"" + std::string(stop) +
           "\"\n";
}

TEST(LagMarks, are_read_for_every_pump_but_the_first) {
    const LagMarksOfTheDemoStation file(lag("3.6 m", "2.4 m") + lag("380 cm", "2.6 m") +
                                        lag("4.0 m", "2.8 m"));
    const auto result = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(result) << text_of(result.error());
    ASSERT_EQ(result->settings.staging.lag_count, 3);
    EXPECT_DOUBLE_EQ(result->settings.staging.lag[0].start_m, 3.6);
    EXPECT_DOUBLE_EQ(result->settings.staging.lag[1].start_m, 3.8);
    EXPECT_DOUBLE_EQ(result->settings.staging.lag[2].stop_m, 2.8);
}

TEST(LagMarks, follow_from_stage_up_and_stage_down_where_a_file_has_none) {
    const core::Settings settings = load_station_file(shipped("stations/demo.toml")).value().settings;
    EXPECT_EQ(settings.staging.lag_count, 0);
    EXPECT_DOUBLE_EQ(core::fixed_speed_marks(settings, 0).stop_m, 2.0);
    EXPECT_DOUBLE_EQ(core::fixed_speed_marks(settings, 3).start_m, 3.6);
    EXPECT_DOUBLE_EQ(core::fixed_speed_marks(settings, 3).stop_m, 2.9);
}

TEST(LagMarks, are_refused_for_too_few_pumps) {
    const LagMarksOfTheDemoStation file(lag("3.6 m", "2.4 m"));
    EXPECT_THAT(file.as_station(),
                testing::HasSubstr(
                    "[control.staging] lag has 1 tables; expected 3 tables, with the start and stop of "
                    "each pump but the first\n"));
}

TEST(LagMarks, are_refused_with_a_mark_that_would_do_where_they_contradict_one_another) {
    const LagMarksOfTheDemoStation below(lag("3.4 m", "2.4 m") + lag("3.8 m", "2.6 m") +
                                         lag("4.0 m", "2.8 m"));
    EXPECT_EQ(below.as_station(), below.at("\"3.4 m\"") +
                                      "start of lag pump 1 is 3.4 m; expected a mark at or above 3.6 m, the "
                                      "start of the first pump, and "
                                      "below 5 m, the high alarm, such as 3.95 m\n");
    const LagMarksOfTheDemoStation unordered(lag("3.8 m", "2.4 m") + lag("3.7 m", "2.6 m") +
                                             lag("4.0 m", "2.8 m"));
    EXPECT_EQ(
        unordered.as_station(),
        unordered.at("\"3.7 m\"") +
            "start of lag pump 2 is 3.7 m; expected a mark at or above 3.8 m, the start of lag pump 1, and "
            "below 5 m, the high alarm, such as 4.2 m\n");
    const LagMarksOfTheDemoStation alarm(lag("3.8 m", "2.4 m") + lag("4.0 m", "2.6 m") +
                                         lag("5.3 m", "2.8 m"));
    EXPECT_EQ(alarm.as_station(), alarm.at("\"5.3 m\"") +
                                      "start of lag pump 3 is 5.3 m; expected a mark at or above 4 m, the "
                                      "start of lag pump 2, and below 5 "
                                      "m, the high alarm, such as 4.5 m\n");
    const LagMarksOfTheDemoStation stop(lag("3.8 m", "3.8 m") + lag("4.0 m", "2.6 m") +
                                        lag("4.2 m", "2.8 m"));
    EXPECT_EQ(stop.as_station(), stop.at("\"3.8 m\"\n[[") +
                                     "stop of lag pump 1 is 3.8 m; expected a mark at or above 2 m, the stop "
                                     "of the first pump, and below "
                                     "3.8 m, the start of the same pump, such as 2.9 m\n");
    const LagMarksOfTheDemoStation low(lag("3.8 m", "2.4 m") + lag("4.0 m", "2.2 m") + lag("4.2 m", "2.8 m"));
    EXPECT_EQ(low.as_station(), low.at("\"2.2 m\"") +
                                    "stop of lag pump 2 is 2.2 m; expected a mark at or above 2.4 m, the "
                                    "stop of lag pump 1, and below 4 "
                                    "m, the start of the same pump, such as 3.2 m\n");
}

}  // namespace
}  // namespace freshet::config
