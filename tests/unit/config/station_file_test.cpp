// What the loader says of spoiled station files, word for word, and what it makes of sound ones.
// One reason to change: what a station file may say.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "config/loader/load.hpp"
#include "controller/core/controller.hpp"
#include "controller/words/settings_faults.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::DemoStation;
using test::shipped;
using test::SpoiledFile;

TEST(StationFile, takes_every_shipped_station) {
    for (const auto& entry : std::filesystem::directory_iterator(shipped("stations"))) {
        const auto file = load_station_file(entry.path().string());
        EXPECT_TRUE(file) << text_of(file.error());
    }
}

TEST(StationFile, reads_the_demo_station_into_si_units) {
    const Station station = load_station_file(shipped("stations/demo.toml")).value().station;
    EXPECT_EQ(station.duty, Duty::empty_well);
    EXPECT_EQ(station.pump_count, 4);
    ASSERT_EQ(station.pump.curve.size(), 8U);
    EXPECT_DOUBLE_EQ(station.pump.curve[3].flow_m3s, 0.5);
    EXPECT_DOUBLE_EQ(station.pump.curve[3].efficiency, 0.82);
    EXPECT_NEAR(station.motor.nameplate.power_w, 372850, 1);
    EXPECT_DOUBLE_EQ(station.motor.circuit.xm_ohm, 54.02);
    EXPECT_NEAR(station.main.reaches.at(0).roughness_m, 0.0003, 1e-15);
    EXPECT_NEAR(station.fluid.viscosity_m2s, 1.004e-6, 1e-18);
    EXPECT_DOUBLE_EQ(station.instruments.level.at(1).resolution_ma, 0.002);
    EXPECT_DOUBLE_EQ(station.run_hours[3], 2950);
    EXPECT_EQ(station.tariff.size(), 3U);
}

TEST(StationFile, reads_us_customary_units_into_the_same_fields) {
    const Station station = load_station_file(shipped("stations/tank.toml")).value().station;
    EXPECT_EQ(station.duty, Duty::fill_tank);
    EXPECT_NEAR(station.well.overflow_level_m, 128 * 0.3048, 1e-12);
    EXPECT_NEAR(station.pump.minimum_flow_m3s, 420 * 6.30901964e-5, 1e-10);
    EXPECT_FALSE(station.motor.has_circuit);
}

TEST(StationFile, says_which_file_is_not_there) {
    const auto file = load_station_file("no/such/station.toml");
    ASSERT_FALSE(file);
    EXPECT_EQ(text_of(file.error()),
              "no/such/station.toml: cannot be opened; expected the path of a readable file\n");
    EXPECT_EQ(text_of(load_station_file(shipped("stations")).error()),
              shipped("stations") + ": is a folder; expected the path of a readable file\n");
}

TEST(StationFile, passes_on_what_toml_forbids_with_its_place) {
    DemoStation file;
    file.replace("duty = \"empty_well\"", "duty = \"empty_well\"\nduty = \"empty_well\"");
    EXPECT_THAT(file.as_station(),
                ::testing::StartsWith(file.file() + ":11:8: Error while parsing key-value pair"));
}

TEST(StationFile, refuses_what_the_toml_library_asserts_on) {
    const auto refused = read_station_file("good = 1\nbad = [ } ]\n", "station.toml", test::units());
    ASSERT_FALSE(refused);
    EXPECT_EQ(text_of(refused.error()),
              "station.toml:2:9: this is not TOML; expected a key, a value or the end of a list\n");
}

TEST(StationFile, names_the_nearest_known_key_of_an_unknown_one) {
    DemoStation file;
    file.replace("[motor.circuit]", "[motor.circuit]\nrr_standstil_ratio = 2");
    EXPECT_EQ(file.as_station(), file.at("rr_standstil_ratio") +
                                     "unknown key \"rr_standstil_ratio\" in [motor.circuit]; nearest known "
                                     "key \"rr_standstill_ratio\"\n");
}

TEST(StationFile, reports_a_misspelt_required_key_once_with_the_key_that_was_expected) {
    DemoStation file;
    file.replace("rated_speed", "rated_sped");
    EXPECT_EQ(file.as_station(),
              file.at("rated_sped") + "unknown key \"rated_sped\" in [pump]; expected \"rated_speed\"\n");
    DemoStation table;
    table.replace("[supply]", "[suply]");
    EXPECT_EQ(table.as_station(), table.at("suply") + "unknown key \"suply\"; expected \"supply\"\n");
    DemoStation duty;
    duty.replace("duty = ", "dutty = ");
    EXPECT_EQ(duty.as_station(),
              duty.at("dutty") + "unknown key \"dutty\" in [station]; expected \"duty\"\n");
    DemoStation station;
    station.replace("[station]", "[staton]");
    EXPECT_EQ(station.as_station(), station.at("staton") + "unknown key \"staton\"; expected \"station\"\n");
}

TEST(StationFile, reports_two_spellings_of_one_required_key_as_two_errors) {
    DemoStation file;
    file.replace("rated_speed", "rated_sped = \"1 rpm\"\nrated_spede");
    EXPECT_EQ(file.as_station(),
              file.at("rated_sped =") + "unknown key \"rated_sped\" in [pump]; expected \"rated_speed\"\n" +
                  file.at("rated_spede") +
                  "unknown key \"rated_spede\" in [pump]; nearest known key \"rated_speed\"\n");
}

TEST(StationFile, names_no_key_when_none_is_near) {
    DemoStation file;
    file.replace("[station]", "[station]\ncolour = 3");
    EXPECT_EQ(file.as_station(), file.at("colour") + "unknown key \"colour\" in [station]\n");
}

TEST(StationFile, refuses_a_bare_number_for_a_quantity) {
    DemoStation file;
    file.replace("suction_level = \"0.8 m\"", "suction_level = 0.8");
    EXPECT_EQ(file.as_station(), file.at("0.8\n") +
                                     "[well] suction_level is 0.8 without a unit; expected a length, level "
                                     "or head, such as \"4.2 m\" or \"14 ft\"\n");
}

TEST(StationFile, refuses_a_flow_for_a_level) {
    DemoStation file;
    file.replace("overflow_level = \"5.8 m\"", "overflow_level = \"350 gpm\"");
    EXPECT_EQ(file.as_station(), file.at("\"350 gpm\"") +
                                     "[well] overflow_level: \"350 gpm\" has the wrong unit; expected a "
                                     "length, level or head, such as \"4.2 m\" or \"14 ft\"\n");
}

TEST(StationFile, finds_all_faults_of_a_file_in_one_reading_in_the_order_of_its_lines) {
    DemoStation file;
    file.replace("pumps = 4", "pumps = 9");
    file.replace("66.0 m", "69.5 m");
    file.replace("ramp_up = \"2 Hz/s\"", "ramp_up = \"2 Hz\"");
    file.replace("scan = \"100 ms\"", "scan = \"100 m\"");
    const std::string said = file.as_station();
    EXPECT_THAT(said, ::testing::HasSubstr(file.at("9\n#") +
                                           "[station] pumps is 9; expected a whole number from 2 to 8\n"));
    EXPECT_THAT(
        said,
        ::testing::HasSubstr(
            file.at("\"69.5 m\"") +
            "curve: a head of 69.5 m follows one of 68 m; expected heads that fall as the flow rises\n"));
    EXPECT_THAT(said, ::testing::HasSubstr(file.at("\"2 Hz\"") +
                                           "[drive] ramp_up: \"2 Hz\" has the wrong unit; expected a rate of "
                                           "frequency, such as \"2 Hz/s\"\n"));
    EXPECT_THAT(said, ::testing::HasSubstr(file.at("\"100 m\"") +
                                           "[control] scan: \"100 m\" has the wrong unit; expected a time, "
                                           "such as \"90 s\" or \"15 min\"\n"));
    EXPECT_LT(said.find("pumps is 9"), said.find("69.5"));
    EXPECT_LT(said.find("69.5"), said.find("ramp_up"));
}

TEST(StationFile, refuses_a_word_that_is_not_one_of_its_words) {
    DemoStation file;
    file.replace("\"empty_well\"", "\"empty_wel\"");
    EXPECT_EQ(file.as_station(), file.at("\"empty_wel\"") +
                                     "\"empty_wel\" is not known; expected one of \"empty_well\", "
                                     "\"fill_tank\", \"hold_pressure\"; nearest known word \"empty_well\"\n");
}

TEST(StationFile, requires_what_could_change_what_a_pump_does) {
    for (const char* line : {"rest_min = \"5 min\"\n", "low_cutoff = \"1.6 m\"\n",
                             "residual_voltage = \"2 s\"", "overlap = \"500 ms\"\n", "forecast = true\n",
                             "slip_max = \"0.1 Hz\"\n", "minimum_flow = \"180 L/s\"\n", "allowed = true\n"}) {
        DemoStation file;
        file.replace(line, "");
        EXPECT_THAT(file.as_station(), ::testing::HasSubstr(" is missing; ")) << line;
    }
}

TEST(StationFile, refuses_a_value_of_the_wrong_kind) {
    DemoStation file;
    file.replace("forecast = true", "forecast = \"yes\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"yes\"") + "[control.staging] forecast is a string; expected true or false\n");
}

TEST(StationFile, refuses_a_value_outside_its_range) {
    DemoStation file;
    file.replace("ramp_up = \"2 Hz/s\"", "ramp_up = \"-2 Hz/s\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"-2 Hz/s\"") + "[drive] ramp_up is \"-2 Hz/s\"; expected a value above 0 Hz/s\n");
}

TEST(StationFile, refuses_hour_meters_that_do_not_match_the_pumps) {
    DemoStation file;
    file.replace("\"3005 h\", \"2950 h\"", "\"3005 h\"");
    EXPECT_EQ(
        file.as_station(),
        file.at("[\"3120 h\"") + "[station] run_hours has 3 values; expected one for each of the 4 pumps\n");
}

TEST(StationFile, refuses_a_key_written_twice) {
    DemoStation file;
    file.replace("pumps = 4", "pumps = 4\npumps = 4");
    EXPECT_NE(file.as_station(), "");
}

// The well.

TEST(WellTable, refuses_levels_that_fall) {
    DemoStation file;
    file.replace("{ level = \"2.0 m\"", "{ level = \"0.9 m\"");
    EXPECT_EQ(
        file.as_station(),
        file.at("\"0.9 m\"") + "storage: a level of 0.9 m follows one of 1 m; expected levels that rise\n");
}
TEST(WellTable, refuses_volumes_that_fall) {
    DemoStation file;
    file.replace("\"165 m3\"", "\"60 m3\"");
    EXPECT_EQ(
        file.as_station(),
        file.at("\"60 m3\" },\n    { level = \"6.5") +
            "storage: a volume of 60 m3 follows one of 60 m3; expected volumes that rise with the level\n");
}
TEST(WellTable, refuses_a_crest_above_its_table) {
    DemoStation file;
    file.replace("\"5.8 m\"", "\"6.5 m\"");
    EXPECT_EQ(file.as_station(), file.at("\"6.5 m\"\noverflow_width") +
                                     "overflow_level is 6.5 m; expected a level within the storage table, "
                                     "above 0 m and below 6.5 m\n");
}
TEST(WellTable, refuses_a_table_of_one_point) {
    SpoiledFile file("stations/tank.toml");
    file.replace("    { level = \"130 ft\", volume = \"496760 gal\" },\n", "");
    EXPECT_THAT(file.as_station(),
                ::testing::StartsWith(file.at("[\n    { level") + "storage has 1 point; expected 2 to 16\n"));
}

// The pump.

TEST(PumpTable, refuses_flows_that_do_not_rise) {
    DemoStation file;
    file.replace("{ flow = \"350 L/s\"", "{ flow = \"200 L/s\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"200 L/s\", head = \"61.9") +
                  "curve: a flow of 0.2 m3/s follows one of 0.2 m3/s; expected flows that rise\n");
}
TEST(PumpTable, refuses_a_curve_without_its_shut_off_point) {
    DemoStation file;
    file.replace("{ flow = \"0 L/s\"", "{ flow = \"10 L/s\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"10 L/s\"") + "curve: the first flow is 0.01 m3/s; expected 0, the shut-off point\n");
}
TEST(PumpTable, refuses_an_efficiency_of_nothing_where_water_flows) {
    DemoStation file;
    file.replace("efficiency = \"45 %\"", "efficiency = \"0 %\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"0 %\", npshr = \"3.2") +
                  "curve: the efficiency is 0 at 0.2 m3/s; expected a value above 0 and below 1\n");
}
TEST(PumpTable, refuses_an_efficiency_above_one) {
    DemoStation file;
    file.replace("efficiency = \"45 %\"", "efficiency = \"145 %\"");
    EXPECT_EQ(
        file.as_station(),
        file.at("\"145 %\"") + "[pump.curve] efficiency is \"145 %\"; expected a value of at most 100 %\n");
}
TEST(StationFile, shows_a_number_that_is_not_whole_or_not_finite) {
    DemoStation half;
    half.replace("transfers_per_hour_max = 12", "transfers_per_hour_max = 1.5");
    EXPECT_EQ(
        half.as_station(),
        half.at("1.5", half.text().find("transfers_per_hour_max = ")) +
            "[control.permissives] transfers_per_hour_max is 1.5; expected a whole number from 1 to 240\n");
    DemoStation none;
    none.replace("overflow_coefficient = 1.84", "overflow_coefficient = nan");
    EXPECT_EQ(none.as_station(), none.at("nan", none.text().find("overflow_coefficient")) +
                                     "[well] overflow_coefficient is nan; expected a finite number\n");
}
TEST(StationFile, blames_a_refused_number_of_pumps_for_nothing_else) {
    DemoStation file;
    file.replace("pumps = 4", "pumps = 9");
    EXPECT_EQ(file.as_station(), file.at("9", file.text().find("pumps = 9")) +
                                     "[station] pumps is 9; expected a whole number from 2 to 8\n");
}
TEST(PumpTable, refuses_a_minimum_flow_beyond_the_curve) {
    DemoStation file;
    file.replace("\"180 L/s\"", "\"900 L/s\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"900 L/s\"\ninertia") +
                  "minimum_flow is 0.9 m3/s; expected less than the curve's last flow, 0.9 m3/s\n");
}

// The motor.

TEST(MotorTable, refuses_a_speed_above_synchronous) {
    DemoStation file;
    file.replace("speed = \"1773 rpm\"\n\n", "speed = \"1810 rpm\"\n\n");
    EXPECT_EQ(file.as_station(), file.at("\"1810 rpm\"") +
                                     "speed is 1810 rpm, but a motor of 4 poles at 60 Hz turns at 1800 rpm "
                                     "without load; expected a speed a little below that\n");
}
TEST(MotorTable, refuses_an_odd_number_of_poles) {
    DemoStation file;
    file.replace("poles = 4", "poles = 5");
    EXPECT_EQ(file.as_station(), file.at("5\ninertia = \"11.06") + "poles is 5; expected an even number\n");
}
TEST(MotorTable, refuses_a_current_that_its_own_figures_contradict) {
    SpoiledFile file("stations/tank.toml");
    file.replace("current = \"86.4 A\"", "current = \"120 A\"");
    EXPECT_THAT(file.as_station(),
                ::testing::StartsWith(file.at("\"120 A\"") +
                                      "current is 120 A, but power, voltage, power factor and efficiency "
                                      "give 86.37 A; expected agreement within 5 %\n"));
}
TEST(MotorTable, refuses_an_efficiency_that_its_slip_forbids) {
    SpoiledFile file("stations/tank.toml");
    file.replace("speed = \"1775 rpm\"\ncurrent", "speed = \"1690 rpm\"\ncurrent");
    EXPECT_THAT(file.as_station(), ::testing::HasSubstr("efficiency is 94.5 %, but the rotor alone loses 6.1 "
                                                        "% at the rated speed; expected less than 93.9 %\n"));
}
TEST(MotorTable, refuses_a_locked_rotor_torque_above_breakdown) {
    SpoiledFile file("stations/tank.toml");
    file.replace("locked_rotor_torque = 1.4", "locked_rotor_torque = 2.4");
    EXPECT_EQ(file.as_station(),
              file.at("2.4") +
                  "locked_rotor_torque is 2.4 times the rated torque, but breakdown_torque is 2.2 times; "
                  "expected no more than breakdown_torque\n");
}
TEST(MotorTable, refuses_starting_figures_that_no_cage_motor_has) {
    SpoiledFile file("stations/booster.toml");
    file.replace("locked_rotor_current = 7.0", "locked_rotor_current = 1.2");
    EXPECT_THAT(file.as_station(),
                ::testing::HasSubstr(
                    file.at("1.2") +
                    "locked_rotor_current is 1.2 times the rated current; expected at least 2 times"));
    SpoiledFile other("stations/booster.toml");
    other.replace("breakdown_torque = 2.9", "breakdown_torque = 1.15");
    EXPECT_THAT(
        other.as_station(),
        ::testing::HasSubstr(other.at("1.15") +
                             "breakdown_torque is 1.15 times the rated torque; expected at least 1.2 times"));
}
TEST(MotorTable, refuses_a_circuit_that_cannot_give_rated_power) {
    DemoStation file;
    file.replace("power = \"500 hp\"", "power = \"2500 hp\"");
    EXPECT_THAT(file.as_station(),
                ::testing::StartsWith(file.at("[motor.circuit]") +
                                      "the circuit never gives the rated 1864 kW at 2300 V; expected a "
                                      "circuit that gives the rated power\n"));
}
TEST(MotorTable, refuses_a_speed_that_the_circuit_contradicts) {
    DemoStation file;
    file.replace("speed = \"1773 rpm\"\n\n", "speed = \"1760 rpm\"\n\n");
    EXPECT_EQ(file.as_station(), file.at("\"1760 rpm\"") +
                                     "speed is 1760 rpm, but the circuit gives rated power at 1772.9 rpm; "
                                     "expected a slip within a quarter of the circuit's slip\n");
}
TEST(MotorTable, needs_a_whole_nameplate_where_there_is_no_circuit) {
    SpoiledFile file("stations/tank.toml");
    file.replace("power_factor = \"86 %\"\n", "");
    EXPECT_EQ(file.as_station(),
              file.at("[motor.nameplate]") +
                  "[motor.nameplate] power_factor is missing; expected a ratio, such as 0.84 or \"84 %\"\n");
}
TEST(MotorFile, is_a_motor_table_or_a_station) {
    EXPECT_EQ(load_motor(shipped("stations/demo.toml")).value().circuit.rr_ohm, 0.187);
    SpoiledFile file("stations/demo.toml");
    const auto begin = file.text().find("[motor]"), end = file.text().find("[main]");
    const auto motor = read_motor_file(file.text().substr(begin, end - begin), "motor.toml", test::units());
    ASSERT_TRUE(motor) << text_of(motor.error());
    EXPECT_EQ(motor->circuit.rr_ohm, 0.187);
}

// Equipment against equipment.

TEST(WholeStation, refuses_a_supply_that_is_not_the_motors) {
    DemoStation file;
    file.replace("[supply]\nvoltage = \"2300 V\"\nfrequency = \"60 Hz\"",
                 "[supply]\nvoltage = \"4160 V\"\nfrequency = \"50 Hz\"");
    EXPECT_EQ(
        file.as_station(),
        file.at("\"4160 V\"") +
            "the supply has 4160 V, but the motor is made for 2300 V; expected agreement within 10 %\n" +
            file.at("\"50 Hz\"") +
            "the supply has 50 Hz, but the motor is made for 60 Hz; expected the same frequency\n");
}
TEST(WholeStation, refuses_a_drive_that_cannot_reach_the_line) {
    DemoStation file;
    file.replace("frequency_max = \"61 Hz\"", "frequency_max = \"58 Hz\"");
    EXPECT_EQ(file.as_station(), file.at("\"58 Hz\"") +
                                     "the drive reaches 58 Hz, but the line has 60 Hz; expected at least the "
                                     "line's frequency, because a motor is handed over at that frequency\n" +
                                     file.at("\"60 Hz\"\nmin =") +
                                     "[control.speed] max is 60 Hz, but the drive reaches only 58 Hz; "
                                     "expected no more than the drive reaches\n");
}
TEST(WholeStation, refuses_a_drive_too_small_for_a_motor) {
    DemoStation file;
    file.replace("\"125 A\"", "\"90 A\"");
    EXPECT_EQ(file.as_station(), file.at("\"90 A\"") +
                                     "the drive is limited to 90 A, but a motor takes 105.7 A at rated load; "
                                     "expected a limit of at least that current\n");
}
TEST(WholeStation, refuses_a_transmitter_that_cannot_see_the_marks) {
    DemoStation file;
    file.replace("at_20ma = \"7 m\"", "at_20ma = \"4 m\"");
    EXPECT_EQ(file.as_station(), file.at("[[instruments.level]]") +
                                     "the transmitter reads from 0 to 4 m; expected a range that covers "
                                     "every mark, from 1.6 to 5 m\n");
}
TEST(WholeStation, refuses_a_transmitter_whose_ends_are_changed_over) {
    DemoStation file;
    file.replace("at_4ma = \"0 m\"\nat_20ma = \"7 m\"", "at_4ma = \"7 m\"\nat_20ma = \"0 m\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"0 m\"\nnoise") + "at_20ma is 0 m; expected more than at_4ma, 7 m\n");
}
TEST(WholeStation, refuses_a_high_float_below_the_stage_up_mark) {
    DemoStation file;
    file.replace("high = \"5.2 m\"", "high = \"3.5 m\"");
    EXPECT_EQ(file.as_station(), file.at("\"3.5 m\"") +
                                     "the high float is at 3.5 m; expected a level above stage_up at 3.6 m "
                                     "and below the overflow at 5.8 m\n");
}
TEST(WholeStation, refuses_a_low_float_above_the_stop_mark) {
    DemoStation file;
    file.replace("low = \"1.5 m\"", "low = \"2.5 m\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"2.5 m\"") + "the low float is at 2.5 m; expected a level below stop at 2 m\n");
}
TEST(WholeStation, refuses_floats_without_their_settings) {
    DemoStation file;
    file.replace("[control.floats]\nhold = \"2 s\"\nrun_on = \"2 min\"\n", "");
    EXPECT_EQ(file.as_station(), file.at("[instruments.floats]") +
                                     "[instruments.floats] is in the file, but [control.floats] is missing; "
                                     "expected both or neither\n");
}
TEST(WholeStation, refuses_hours_without_a_price_and_hours_with_two) {
    DemoStation gap;
    gap.replace("from_hour = 22", "from_hour = 23");
    EXPECT_EQ(gap.as_station(),
              gap.at("[[tariff]]") + "hour 22 has no price; expected bands that fill the day\n");
    DemoStation overlap;
    overlap.replace("from_hour = 22", "from_hour = 21");
    EXPECT_EQ(overlap.as_station(),
              overlap.at("21") + "hour 21 has two prices; expected bands that do not overlap\n");
}
TEST(WholeStation, refuses_a_time_limit_shorter_than_the_contactor) {
    DemoStation file;
    file.replace("close = \"1 s\"", "close = \"200 ms\"");
    EXPECT_EQ(file.as_station(), file.at("\"200 ms\"") +
                                     "[control.step] close is 0.2 s; expected at least 0.265 s (closing time "
                                     "of a contactor and two scans)\n");
    DemoStation proposed;
    proposed.replace("close = \"1 s\"", "close = \"0.265 s\"");
    EXPECT_EQ(proposed.as_station(), "");
}

// Marks.

TEST(MarksOfTheDuty, refuse_a_stop_above_the_start) {
    DemoStation file;
    file.replace("stop = \"2.0 m\"", "stop = \"3.7 m\"");
    EXPECT_EQ(file.as_station(), file.at("\"3.7 m\"") +
                                     "stop is 3.7 m; expected a mark above low_cutoff at 1.6 m and below "
                                     "stage_down at 2.9 m, such as 2.25 m\n");
    file.replace("stop = \"3.7 m\"", "stop = \"2.25 m\"");
    EXPECT_EQ(file.as_station(), "") << "what was suggested is taken";
}
TEST(MarksOfTheDuty, refuse_a_start_above_stage_up) {
    DemoStation file;
    file.replace("start = \"3.6 m\"", "start = \"3.8 m\"");
    EXPECT_EQ(file.as_station(), file.at("\"3.6 m\"\nstage_down") +
                                     "stage_up is 3.6 m; expected a mark above start at 3.8 m and below "
                                     "high_alarm at 5 m, such as 4.4 m\n");
    file.replace("stage_up = \"3.6 m\"", "stage_up = \"4.4 m\"");
    EXPECT_EQ(file.as_station(), "") << "what was suggested is taken";
}
TEST(MarksOfTheDuty, refuse_an_alarm_below_stage_up) {
    DemoStation file;
    file.replace("high_alarm = \"5.0 m\"", "high_alarm = \"3.5 m\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"3.5 m\"") +
                  "high_alarm is 3.5 m; expected a mark above stage_up at 3.6 m, such as 3.8 m\n");
}
TEST(MarksOfTheDuty, are_each_named_where_no_single_one_would_mend_the_order) {
    DemoStation file;
    file.replace("stop = \"2.0 m\"", "stop = \"1.5 m\"");
    file.replace("stage_up = \"3.6 m\"", "stage_up = \"3.1 m\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"1.5 m\"\nstage_up") + "stop is 1.5 m; expected a mark above low_cutoff at 1.6 m\n" +
                  file.at("\"3.1 m\"") + "stage_up is 3.1 m; expected a mark above setpoint at 3.2 m\n" +
                  file.at("\"3.1 m\"") + "stage_up is 3.1 m; expected a mark at or above start at 3.6 m\n");
}
TEST(MarksOfTheDuty, stand_upside_down_for_filling) {
    SpoiledFile file("stations/tank.toml");
    file.replace("stop = \"126 ft\"", "stop = \"120 ft\"");
    EXPECT_EQ(file.as_station(), file.at("\"120 ft\"") +
                                     "stop is 36.576 m; expected a mark below high_cutoff at 38.862 m and "
                                     "above stage_down at 37.7952 m, such as 38.33 m\n");
    file.replace("stop = \"120 ft\"", "stop = \"38.33 m\"");
    EXPECT_EQ(file.as_station(), "") << "what was suggested is taken";
}
TEST(MarksOfTheDuty, have_the_names_of_their_duty) {
    SpoiledFile file("stations/tank.toml");
    file.replace("high_cutoff", "low_cutoff");
    EXPECT_EQ(
        file.as_station(),
        file.at("low_cutoff") + "unknown key \"low_cutoff\" in [control.marks]; expected \"high_cutoff\"\n");
}
TEST(MarksOfTheDuty, refuse_a_deadband_as_wide_as_the_band) {
    DemoStation file;
    file.replace("deadband = \"0.1 m\"", "deadband = \"0.4 m\"");
    EXPECT_EQ(file.as_station(), file.at("\"0.4 m\"") +
                                     "deadband is 0.4 m; expected less than 0.3 m, the distance from the "
                                     "setpoint to the nearer of stage_up and stage_down\n");
}
TEST(MarksOfTheDuty, refuse_an_alarm_above_the_overflow) {
    DemoStation file;
    file.replace("high_alarm = \"5.0 m\"", "high_alarm = \"6 m\"");
    EXPECT_EQ(file.as_station(), file.at("\"6 m\"", file.text().find("high_alarm")) +
                                     "high_alarm is 6 m; expected a mark below the overflow at 5.8 m\n");
}

// What the hydraulics and the store make impossible.

TEST(ServiceOfTheStation, is_refused_when_a_pump_never_overcomes_the_static_head) {
    DemoStation file;
    file.replace("discharge_level = \"36.2 m\"", "discharge_level = \"72 m\"");
    EXPECT_EQ(file.as_station(),
              file.at("[\n    { flow") +
                  "at full speed and no flow the pump gives 68 m, but the static head at the stop level is "
                  "70 m; expected a pump that overcomes the static head\n");
}
TEST(ServiceOfTheStation, is_refused_when_the_curve_meets_the_main_at_no_speed) {
    DemoStation file;
    file.replace("discharge_level = \"36.2 m\"", "discharge_level = \"3.0 m\"");
    EXPECT_THAT(
        file.as_station(),
        ::testing::StartsWith(file.at("[\n    { flow") +
                              "the pump's curve ends at 0.9 m3/s and 27.5 m, but the main takes only "));
}
TEST(ServiceOfTheStation, is_refused_when_a_further_pump_cannot_reach_its_minimum_flow) {
    DemoStation file;
    file.replace("\"180 L/s\"", "\"650 L/s\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"650 L/s\"") +
                  "with 3 pumps on the line, the next pump moves less than its minimum flow of 0.65 m3/s "
                  "even at 60 Hz; expected pumps and a main that let it reach its minimum flow\n");
}
TEST(ServiceOfTheStation, is_refused_when_a_rise_to_all_pumps_and_the_fall_exceed_the_limit_of_transfers) {
    DemoStation file;
    file.replace("transfers_per_hour_max = 12", "transfers_per_hour_max = 5");
    EXPECT_EQ(file.as_station(),
              file.at("5\nresidual_voltage") +
                  "transfers_per_hour_max is 5, but a rise of the inflow to all 4 pumps and the "
                  "fall after the rise take 6 transfers; expected at least 6\n");
    DemoStation suggested;
    suggested.replace("transfers_per_hour_max = 12", "transfers_per_hour_max = 6");
    EXPECT_EQ(suggested.as_station(), "");
}
TEST(ServiceOfTheStation, is_refused_when_the_noise_of_the_level_would_move_the_speed) {
    DemoStation file;
    file.replace("arrest = \"60 s\"", "arrest = \"2 s\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"2 s\"") +
                  "arrest is 2 s, but with a noise of 3 mm, a lag of 0.5 s and a store of 120 m2 "
                  "the speed would move by more than 0.5 Hz without any change of the water; "
                  "expected at least 10 s\n");
    DemoStation suggested;
    suggested.replace("arrest = \"60 s\"", "arrest = \"10 s\"");
    EXPECT_EQ(suggested.as_station(), "");
}
TEST(ServiceOfTheStation, is_refused_when_the_band_makes_a_pump_start_too_often) {
    DemoStation file;
    file.replace("stage_up = \"3.6 m\"", "stage_up = \"3.25 m\"");
    file.replace("start = \"3.6 m\"", "start = \"3.25 m\"");
    file.replace("stage_down = \"2.9 m\"", "stage_down = \"3.15 m\"");
    file.replace("deadband = \"0.1 m\"", "deadband = \"0.02 m\"");
    EXPECT_THAT(file.as_station(),
                testing::HasSubstr("a pump needs more than 6 starts an hour. No combination holds"));
}
TEST(ServiceOfTheStation, is_refused_when_the_look_ahead_is_longer_than_the_well_lasts) {
    DemoStation file;
    file.replace("forecast_margin = 1.2", "forecast_margin = 8");
    EXPECT_EQ(file.as_station(), file.at_value("forecast_margin") +
                                     "the look-ahead is 8 times 46 s, but a surplus of one pump's flow fills "
                                     "the 252 m3 from stage_down to the alarm in 321 s; expected a margin "
                                     "below 6.9, or 293 m3 between these marks\n");
    DemoStation suggested;
    suggested.replace("forecast_margin = 1.2", "forecast_margin = 6.9");
    EXPECT_EQ(suggested.as_station(), "");
    file.replace("forecast = true", "forecast = false");
    EXPECT_EQ(file.as_station(), "");
}
TEST(ServiceOfTheStation, is_refused_when_the_well_cannot_keep_the_limit_of_starts) {
    DemoStation file;  // a well of 4 m2 above its hopper
    file.replace("\"165 m3\"", "\"62 m3\"");
    file.replace("\"705 m3\"", "\"80 m3\"");
    EXPECT_THAT(file.as_station(),
                ::testing::HasSubstr(file.at("6         # soft") +
                                     "each pump needs more than 6 starts an hour. At an inflow of half the "
                                     "minimum flow, the 6.4 m3 from stop to start make 6.33 starts an hour "
                                     "for each of 4 pumps; expected 6.76 m3, or a limit of 7\n"));
}

// Settings.

TEST(SettingsOfTheCore, pass_the_cores_own_check_for_every_shipped_station) {
    int stations = 0;
    for (const auto& entry : std::filesystem::directory_iterator(shipped("stations"))) {
        const core::Settings settings = load_station_file(entry.path().string()).value().settings;
        EXPECT_EQ(words::clause(core::check(settings)), words::clause({})) << entry.path();
        EXPECT_TRUE(core::Controller(settings).refused().sound()) << entry.path();
        ++stations;
    }
    EXPECT_EQ(stations, 3);
}
TEST(SettingsOfTheCore, are_refused_by_the_core_where_no_rule_of_the_loader_refuses_them) {
    DemoStation file;
    const std::size_t step = file.text().find("[control.step]");
    const std::size_t key = file.text().find("drive_start = ", step);
    const std::string line = file.text().substr(key, file.text().find('\n', key) - key);
    file.replace(line, "drive_start = \"200 h\"");
    EXPECT_EQ(file.as_station(), file.file() +
                                     ": the controller's core refuses the settings, because drive_start_ms "
                                     "is 720000000 ms; expected one scan to one week\n");
}
bool has_on_curve(const core::Settings& settings, double flow_m3s, double head_m) {
    return std::any_of(settings.curve.begin(), settings.curve.begin() + settings.curve_points,
                       [&](const core::CurvePoint& point) {
                           return std::abs(point.flow_m3s - flow_m3s) < 1e-12 &&
                                  std::abs(point.head_m - head_m) < 1e-9;
                       });
}

TEST(SettingsOfTheCore, follow_from_the_equipment) {
    const core::Settings settings = load_station_file(shipped("stations/demo.toml")).value().settings;
    EXPECT_EQ(settings.pump_count, 4);
    EXPECT_EQ(settings.action, core::Action::direct);
    EXPECT_EQ(settings.measured, core::Measured::level);
    EXPECT_TRUE(settings.level_transmitter[0].fitted);
    EXPECT_DOUBLE_EQ(settings.level_transmitter[1].value_at_20ma_m, 7);
    EXPECT_EQ(settings.store_points, 4);
    // Rated speed is the motor's: nothing to scale.
    EXPECT_TRUE(has_on_curve(settings, 0, 68));
    EXPECT_TRUE(has_on_curve(settings, 0.2, 66));
    EXPECT_DOUBLE_EQ(settings.drive.line_voltage_v, 2300);
    EXPECT_EQ(settings.sync.line_side_closing_ms, 60);
    EXPECT_DOUBLE_EQ(settings.line_start.short_circuit_va, 60e6);
    EXPECT_EQ(settings.run_ms_initial[1], 2890LL * 3600 * 1000);
    EXPECT_EQ(settings.permissives.rest_min_ms, 300000);
    EXPECT_NEAR(settings.permissives.winding_temperature_max_k, 428.15, 1e-9);
    EXPECT_EQ(settings.exercise_ms, 7 * 86400 * 1000);
    EXPECT_TRUE(settings.floats.fitted);
}
TEST(SettingsOfTheCore, scale_the_curve_to_the_motors_speed_by_affinity) {
    SpoiledFile file("stations/demo.toml");
    file.replace("rated_speed = \"1773 rpm\"", "rated_speed = \"1750 rpm\"");
    const auto result = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(result) << text_of(result.error());
    const double ratio = 1773.0 / 1750.0;
    EXPECT_TRUE(has_on_curve(result->settings, 0.5 * ratio, 55.5 * ratio * ratio));
    EXPECT_NEAR(result->settings.minimum_flow_m3s, 0.18 * ratio, 1e-12);
}
TEST(SettingsOfTheCore, mirror_the_outer_marks_for_filling) {
    const core::Settings settings = load_station_file(shipped("stations/tank.toml")).value().settings;
    EXPECT_EQ(settings.action, core::Action::reverse);
    EXPECT_NEAR(settings.marks.low_cutoff_m, 127.5 * 0.3048, 1e-12);
    EXPECT_NEAR(settings.marks.high_alarm_m, 116 * 0.3048, 1e-12);
    EXPECT_NEAR(settings.suction_level_m, 6.5 * 0.3048, 1e-12);
    EXPECT_NEAR(settings.discharge_level_m, 108 * 0.3048, 1e-12);
}
TEST(SettingsOfTheCore, take_the_air_vessel_as_the_store_of_a_header) {
    const core::Settings settings = load_station_file(shipped("stations/booster.toml")).value().settings;
    EXPECT_EQ(settings.measured, core::Measured::header_pressure);
    EXPECT_TRUE(settings.pressure_transmitter.fitted);
    EXPECT_FALSE(settings.level_transmitter[0].fitted);
    ASSERT_EQ(settings.store_points, 9);
    EXPECT_DOUBLE_EQ(settings.store[0].level_m, 35);
    EXPECT_DOUBLE_EQ(settings.store[0].volume_m3, 0);
    EXPECT_DOUBLE_EQ(settings.store[8].level_m, 100);
}

}  // namespace
}  // namespace freshet::config
