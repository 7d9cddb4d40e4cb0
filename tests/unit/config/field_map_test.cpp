// What the loader says of spoiled field maps, word for word, and what it makes of sound ones.
// One reason to change: the notation of a field map.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "config/loader/load.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::shipped;
using test::SpoiledFile;

const FieldEntry& entry_of(const FieldMap& map, SignalIndex signal) {
    return *std::ranges::find(map.entries, signal, &FieldEntry::signal);
}

struct DemoMap : SpoiledFile {
    DemoMap() : SpoiledFile("field_maps/demo.toml") {}
};
struct ScatteredMap : SpoiledFile {
    ScatteredMap() : SpoiledFile("field_maps/scattered.toml") {}
};

TEST(FieldMapFile, takes_every_shipped_map) {
    for (const auto& entry : std::filesystem::directory_iterator(shipped("field_maps"))) {
        const auto map = load_field_map(entry.path().string());
        EXPECT_TRUE(map) << text_of(map.error());
    }
}
TEST(FieldMapFile, with_a_value_in_place_of_a_table_gives_one_message) {
    DemoMap map;
    map.replace("table = \"input_registers\"", "table = \"inputs\"");
    const std::string told = map.as_field_map();
    EXPECT_EQ(std::ranges::count(told, '\n'), 1) << told;
    EXPECT_THAT(told, ::testing::StartsWith(map.at("\"inputs\"")));
    EXPECT_THAT(told, ::testing::HasSubstr("one of \"coils\", "));
}
TEST(FieldMapFile, lets_one_request_read_a_scan_of_the_demo_station) {
    const FieldMap map = load_field_map(shipped("field_maps/demo.toml")).value();
    // MODBUS Application Protocol Specification V1.1b3, 6.4: at most 125 registers a request.
    std::set<int> addresses;
    for (const FieldEntry& entry : map.entries) {
        EXPECT_EQ(entry.unit_id, 1);
        EXPECT_EQ(entry.table, Table::input_registers);
        addresses.insert(entry.address);
    }
    EXPECT_EQ(*addresses.begin(), 0);
    EXPECT_LT(*addresses.rbegin(), 125);
}
TEST(FieldMapFile, leaves_no_hole_in_the_demo_block) {
    const FieldMap map = load_field_map(shipped("field_maps/demo.toml")).value();
    std::set<int> words{1, 2, 3};  // the rest of the clock at 0
    for (const FieldEntry& entry : map.entries) words.insert(entry.address);
    EXPECT_EQ(static_cast<int>(words.size()), *words.rbegin() + 1);
}
TEST(FieldMapFile, reads_scales_in_the_sites_units) {
    const FieldMap map = load_field_map(shipped("field_maps/scattered.toml")).value();
    const FieldEntry& temperature = entry_of(map, index_of(0, PumpSignal::winding_temperature));
    EXPECT_NEAR(temperature.scale, 5.0 / 9, 1e-12);
    EXPECT_NEAR(temperature.offset, 255.372222, 1e-6);  // 0 degF
    const FieldEntry& voltage = entry_of(map, index_of(StationSignal::line_voltage));
    EXPECT_DOUBLE_EQ(voltage.scale, 1);
    EXPECT_EQ(voltage.type, WordType::f32);
    EXPECT_EQ(voltage.order, WordOrder::cdab);
    EXPECT_NEAR(entry_of(map, index_of(StationSignal::station_flow)).scale, 6.30902e-5, 1e-10);
    EXPECT_TRUE(entry_of(map, index_of(StationSignal::drive_tripped)).inverted);
    EXPECT_EQ(entry_of(map, index_of(StationSignal::drive_tripped)).table, Table::discrete_inputs);
    EXPECT_EQ(map.groups.at(entry_of(map, index_of(3, PumpSignal::winding_temperature)).group).period_ms,
              10000);
    EXPECT_EQ(entry_of(map, index_of(StationSignal::plant_time)).order, WordOrder::dcba);
}
TEST(FieldMapFile, names_the_nearest_signal_of_an_unknown_one) {
    DemoMap file;
    file.replace("\"drive_ready\"", "\"drive_redy\"");
    EXPECT_EQ(
        file.as_field_map(),
        file.at("\"drive_redy\"") + "unknown signal \"drive_redy\"; nearest known signal \"drive_ready\"\n");
}
TEST(FieldMapFile, reports_a_misspelt_required_key_once_with_the_key_that_was_expected) {
    DemoMap group;
    group.replace("period = ", "peroid = ");
    EXPECT_EQ(group.as_field_map(),
              group.at("peroid") + "unknown key \"peroid\" in [group]; expected \"period\"\n");
    DemoMap entry;
    entry.replace("\"low_float\", address", "\"low_float\", adress");
    EXPECT_EQ(entry.as_field_map(),
              entry.at("adress") + "unknown key \"adress\" in [block.signals]; expected \"address\"\n");
}
TEST(FieldMapFile, refuses_overlapping_addresses) {
    DemoMap file;
    file.replace("\"level_2_loop\", address = 6", "\"level_2_loop\", address = 5");
    EXPECT_EQ(file.as_field_map(), file.at("{ signal = \"level_2_loop\"") +
                                       "\"level_2_loop\" overlaps \"level_1_loop\" of line 33 at address 5; "
                                       "expected an address of its own\n");
}
TEST(FieldMapFile, refuses_a_word_inside_a_longer_value) {
    DemoMap file;
    file.replace("\"level_2_loop\", address = 6", "\"level_2_loop\", address = 3");
    EXPECT_EQ(file.as_field_map(), file.at("{ signal = \"level_2_loop\"") +
                                       "\"level_2_loop\" overlaps \"plant_time\" of line 19 at address 3; "
                                       "expected an address of its own\n");
}
TEST(FieldMapFile, refuses_two_signals_in_one_bit_and_a_number_over_bits) {
    DemoMap bit;
    bit.replace("\"low_float\", address = 4, bit = 1", "\"low_float\", address = 4, bit = 0");
    EXPECT_EQ(bit.as_field_map(), bit.at("{ signal = \"low_float\"") +
                                      "\"low_float\" overlaps \"high_float\" of line 21 at address 4; "
                                      "expected an address of its own\n");
    DemoMap word;
    word.replace("\"level_1_loop\", address = 5", "\"level_1_loop\", address = 4");
    EXPECT_THAT(word.as_field_map(),
                ::testing::StartsWith(word.at("{ signal = \"level_1_loop\"") +
                                      "\"level_1_loop\" overlaps \"high_float\" of line 21 at address 4"));
}
TEST(FieldMapFile, takes_the_same_address_in_another_unit_and_in_another_table) {
    EXPECT_EQ(ScatteredMap().as_field_map(),
              "");  // units 21 to 24 repeat their addresses; 0 and 1000 stand in several tables
}
TEST(FieldMapFile, refuses_a_signal_that_the_file_already_has) {
    DemoMap file;
    file.replace("\"level_2_loop\"", "\"level_1_loop\"");
    EXPECT_EQ(file.as_field_map(),
              file.at("{ signal = \"level_1_loop\", address = 6") +
                  "signal \"level_1_loop\" is already in line 33; expected each signal once\n");
}
TEST(FieldMapFile, refuses_a_scale_of_the_wrong_kind) {
    DemoMap file;
    file.replace("scale = \"0.1 L/s\"", "scale = \"0.1 m\"");
    EXPECT_EQ(file.as_field_map(), file.at("\"0.1 m\"") +
                                       "[block.signals] scale: \"0.1 m\" has the wrong unit; expected a "
                                       "number of m3/s per count, such as \"0.01 m3/s\"\n");
    DemoMap bare;
    bare.replace("scale = \"0.1 L/s\"", "scale = 0.1");
    EXPECT_EQ(bare.as_field_map(), bare.at("0.1 },\n    # The line") +
                                       "[block.signals] scale is a number; expected a number of m3/s per "
                                       "count, such as \"0.01 m3/s\"\n");
}
TEST(FieldMapFile, refuses_a_measurement_without_a_scale_and_a_bit_without_a_place) {
    DemoMap scale;
    scale.replace(", scale = \"0.1 L/s\"", "");
    EXPECT_EQ(
        scale.as_field_map(),
        scale.at("{ signal = \"station_flow\"") +
            "[block.signals] scale is missing; expected a number of m3/s per count, such as \"0.01 m3/s\"\n");
    DemoMap bit;
    bit.replace("\"low_float\", address = 4, bit = 1", "\"low_float\", address = 4");
    EXPECT_EQ(bit.as_field_map(),
              bit.at("{ signal = \"low_float\"") +
                  "[block.signals] bit is missing; expected a whole number from 0 to 15\n");
}
TEST(FieldMapFile, refuses_a_number_in_a_table_of_bits) {
    ScatteredMap file;
    file.replace("{ signal = \"drive_ready\", address = 0 }",
                 "{ signal = \"level_1\", address = 0, type = \"u16\", scale = \"1 mm\" }");
    EXPECT_EQ(file.as_field_map(), file.at("{ signal = \"level_1\"") +
                                       "\"level_1\" is a number, but a table of bits cannot hold a number; "
                                       "expected input_registers or holding_registers\n");
}
TEST(FieldMapFile, refuses_a_value_that_runs_past_the_last_address) {
    ScatteredMap file;
    file.replace("address = 65000", "address = 65534");
    EXPECT_EQ(file.as_field_map(),
              file.at("{ signal = \"plant_time\"") +
                  "\"plant_time\" extends past address 65535; expected a lower address\n");
}
TEST(FieldMapFile, refuses_a_group_that_is_not_there) {
    ScatteredMap file;
    file.replace("group = \"steady\"", "group = \"stedy\"");
    EXPECT_EQ(file.as_field_map(), file.at("\"stedy\"") +
                                       "\"stedy\" is not known; expected one of \"fast\", \"steady\", "
                                       "\"slow\"; nearest known word \"steady\"\n");
}
TEST(FieldMapFile, must_hold_what_its_station_needs) {
    const StationFile station = load_station_file(shipped("stations/demo.toml")).value();
    DemoMap file;
    file.replace("    { signal = \"pump_2.selector\", address = 19, type = \"u16\" },\n", "");
    const auto map = read_field_map(file.text(), file.file(), test::units());
    ASSERT_TRUE(map) << text_of(map.error());
    EXPECT_EQ(
        text_of(check_together(*map, station)),
        file.start() +
            "signal \"pump_2.selector\" is missing; \"Vandremouth pumping station (invented)\" needs it\n");
    EXPECT_TRUE(
        check_together(load_field_map(shipped("field_maps/scattered.toml")).value(), station).empty());
}
TEST(FieldMapFile, must_hold_the_header_pressure_where_the_station_limits_it) {
    const StationFile station = load_station_file(shipped("stations/tank.toml")).value();
    ASSERT_GT(station.settings.permissives.discharge_pressure_max_m, 0);
    test::SpoiledFile file("field_maps/tank.toml");
    file.replace(
        "    { signal = \"header_pressure_loop\", address = 6, type = \"u16\", scale = \"0.001 mA\" },\n",
        "");
    const auto map = read_field_map(file.text(), file.file(), test::units());
    ASSERT_TRUE(map) << text_of(map.error());
    EXPECT_EQ(text_of(check_together(*map, station)),
              file.start() +
                  "signal \"header_pressure_loop\" is missing; \"Zelvermoor transfer station (invented)\" "
                  "needs it\n");
}
TEST(FieldMapFile, is_not_loaded_for_a_station_that_it_does_not_suit) {
    const StationFile station = load_station_file(shipped("stations/demo.toml")).value();
    const auto map = load_field_map_for(station, shipped("field_maps/booster.toml"));
    ASSERT_FALSE(map);
    EXPECT_THAT(
        text_of(map.error()),
        ::testing::HasSubstr(
            "signal \"high_float\" is missing; \"Vandremouth pumping station (invented)\" needs it\n"));
    EXPECT_TRUE(load_field_map_for(station, shipped("field_maps/scattered.toml")));
}
TEST(FieldMapFile, may_not_name_pumps_that_its_station_has_not) {
    const StationFile station = load_station_file(shipped("stations/tank.toml")).value();
    const FieldMap map = load_field_map(shipped("field_maps/demo.toml")).value();
    EXPECT_THAT(text_of(check_together(map, station)),
                ::testing::HasSubstr("there is no pump 4, because \"Zelvermoor transfer station (invented)\" "
                                     "has 3 pumps; expected signals of those pumps only\n"));
}

}  // namespace
}  // namespace freshet::config
