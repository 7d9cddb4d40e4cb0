// What the loader says of the table [control.rotation], word for word.
// One reason to change: what a station file may say of the order of the pumps.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "config/loader/load.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::SpoiledFile;

TEST(SettingsOfTheCore, keep_preferences_by_pump) {
    SpoiledFile file("stations/demo.toml");
    file.replace("by = \"hours\"", "by = \"hours\"\npreferred = [2]\nlast = [4]");
    const auto result = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(result) << text_of(result.error());
    EXPECT_EQ(result->settings.preference[1], core::Preference::preferred);
    EXPECT_EQ(result->settings.preference[3], core::Preference::last);
    file.replace("last = [4]", "last = [2, 5]");
    EXPECT_EQ(
        file.as_station(),
        file.at("2, 5") +
            "[control.rotation] last names pump 2 a second time; expected each pump in one list at most\n" +
            file.at("5]\nexercise") +
            "[control.rotation] last names a pump that does not exist; expected a list of pump numbers from "
            "1 to 4\n");
}

TEST(SettingsOfTheCore, take_the_operators_order_as_the_place_of_each_pump) {
    SpoiledFile file("stations/demo.toml");
    file.replace("by = \"hours\"", "by = \"order\"\norder = [3, 1, 4, 2]");
    const auto result = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(result) << text_of(result.error());
    EXPECT_EQ(result->settings.rotation, core::Rotation::order);
    const auto& place = result->settings.place;
    EXPECT_THAT(std::vector(place.begin(), place.begin() + 4), testing::ElementsAre(1, 3, 0, 2));
}

TEST(SettingsOfTheCore, take_alternation_from_a_file) {
    SpoiledFile file("stations/demo.toml");
    file.replace("by = \"hours\"", "by = \"alternation\"");
    const auto result = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(result) << text_of(result.error());
    EXPECT_EQ(result->settings.rotation, core::Rotation::alternation);
}

TEST(SettingsOfTheCore, take_the_longest_run_and_none_where_a_file_has_none) {
    SpoiledFile file("stations/demo.toml");
    EXPECT_EQ(read_station_file(file.text(), file.file(), test::units()).value().settings.run_longest_ms, 0);
    file.replace("by = \"hours\"", "by = \"hours\"\nrun_longest = \"36 h\"");
    const auto result = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(result) << text_of(result.error());
    EXPECT_EQ(result->settings.run_longest_ms, 36 * 3'600'000);
    file.replace("36 h", "20 min");
    EXPECT_EQ(file.as_station(),
              file.at("\"20 min\"") +
                  "[control.rotation] run_longest is \"20 min\"; expected a value of at least 3600 s\n");
}

TEST(OperatorsOrder, names_every_pump_that_is_unknown_missing_or_named_twice) {
    const std::string expected = "expected a list that names each pump once, the first to start first\n";
    SpoiledFile none("stations/demo.toml");
    none.replace("by = \"hours\"", "by = \"order\"");
    EXPECT_EQ(none.as_station(),
              none.at("[control.rotation]") + "[control.rotation] order is missing; " + expected);
    SpoiledFile two_missing("stations/demo.toml");
    two_missing.replace("by = \"hours\"", "by = \"order\"\norder = [3, 1]");
    const std::string list = two_missing.at("[3, 1]");
    EXPECT_EQ(two_missing.as_station(), list + "[control.rotation] order leaves out pump 2; " + expected +
                                            list + "[control.rotation] order leaves out pump 4; " + expected);
    SpoiledFile wrong("stations/demo.toml");
    wrong.replace("by = \"hours\"", "by = \"order\"\norder = [3, 1, 3, 5]");
    EXPECT_EQ(
        wrong.as_station(),
        wrong.at("3, 5]") + "[control.rotation] order names pump 3 a second time; " + expected +
            wrong.at("5]\nexercise") +
            "[control.rotation] order names a pump that does not exist; expected a list of pump numbers "
            "from 1 to 4\n");
}

TEST(OperatorsOrder, is_refused_where_another_key_contradicts_it) {
    SpoiledFile other("stations/demo.toml");
    other.replace("by = \"hours\"", "by = \"hours\"\norder = [2, 1, 4, 3]");
    EXPECT_EQ(other.as_station(),
              other.at("[2, 1, 4, 3]") +
                  "[control.rotation] order has no effect with this \"by\"; expected by = "
                  "\"order\", or no order\n");
    SpoiledFile preferred("stations/demo.toml");
    preferred.replace("by = \"hours\"", "by = \"order\"\norder = [2, 1, 4, 3]\npreferred = [2]");
    EXPECT_EQ(
        preferred.as_station(),
        preferred.at("[2]") +
            "[control.rotation] preferred contradicts by = \"order\", because the order says which pump "
            "starts first; expected no preferred\n");
}

}  // namespace
}  // namespace freshet::config
