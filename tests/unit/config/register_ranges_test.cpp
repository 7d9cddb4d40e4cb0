// Registers that cannot hold the rated value of what they measure, word for word.
// One reason to change: the range that a signal needs.
#include <gtest/gtest.h>

#include <string>

#include "config/loader/read.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::shipped;
using test::SpoiledFile;

/// What the loader says of the demonstration's field map after one replacement.
struct ChangedMap : SpoiledFile {
    ChangedMap() : SpoiledFile("field_maps/demo.toml") {}
    std::string with(const std::string& old_text, const std::string& new_text) {
        replace(old_text, new_text);
        const auto map = read_field_map(text(), file(), test::units());
        if (!map) return text_of(map.error());
        return text_of(check_together(*map, load_station_file(shipped("stations/demo.toml")).value()));
    }
};

TEST(RegisterRange, of_every_shipped_map_holds_the_rated_values) {
    for (const auto* pair : {"demo", "tank", "booster"}) {
        const StationFile station =
            load_station_file(shipped("stations/" + std::string(pair) + ".toml")).value();
        EXPECT_TRUE(load_field_map_for(station, shipped("field_maps/" + std::string(pair) + ".toml")))
            << pair;
    }
}

TEST(RegisterRange, must_hold_the_rated_current) {
    ChangedMap map;
    const std::string said =
        map.with("\"pump_1.current\", address = 16, type = \"u16\", scale = \"0.1 A\"",
                 "\"pump_1.current\", address = 16, type = \"u16\", scale = \"0.001 A\"");
    EXPECT_EQ(said,
              map.at("{ signal = \"pump_1.current\"") +
                  "\"pump_1.current\" holds 0 to 65.53 A by its type and scale, but must hold 0 to 126.8 A "
                  "(the rated current and a fifth more); expected a scale of \"0.01 A\", or the type "
                  "\"f32\"\n");
}

TEST(RegisterRange, must_hold_both_failure_limits_of_a_loop) {
    ChangedMap map;
    const std::string said = map.with("scale = \"0.001 mA\"", "scale = \"0.0001 mA\"");
    EXPECT_NE(
        said.find("\"level_1_loop\" holds 0 to 6.554 mA by its type and scale, but must hold 3.6 to 21 mA "
                  "(both failure limits of NAMUR NE 43); expected a scale of \"0.001 mA\", or the type "
                  "\"f32\"\n"),
        std::string::npos)
        << said;
}

TEST(RegisterRange, of_the_angle_must_have_a_sign) {
    ChangedMap map;
    const std::string said = map.with("\"drive_angle\", address = 13, type = \"s16\"",
                                      "\"drive_angle\", address = 13, type = \"u16\"");
    EXPECT_EQ(said,
              map.at("{ signal = \"drive_angle\"") +
                  "\"drive_angle\" holds 0 to 655.4 deg by its type and scale, but must hold -180 to 180 "
                  "deg (half a turn either way); expected a type with a sign, or the type \"f32\"\n");
}

TEST(RegisterRange, must_hold_the_highest_frequency_of_the_drive) {
    ChangedMap map;
    const std::string said =
        map.with("\"drive_frequency\", address = 11, type = \"u16\", scale = \"0.001 Hz\"",
                 "\"drive_frequency\", address = 11, type = \"s16\", scale = \"0.001 Hz\"");
    EXPECT_EQ(said,
              map.at("{ signal = \"drive_frequency\"") +
                  "\"drive_frequency\" holds -32.77 to 32.77 Hz by its type and scale, but must hold 0 to "
                  "61 Hz (the drive's frequency_max); expected a scale of \"0.01 Hz\", or the type "
                  "\"f32\"\n");
}

}  // namespace
}  // namespace freshet::config
