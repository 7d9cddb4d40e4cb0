// What a station file says of the duty of the water.
// One reason to change: what a station file may say of the duty.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "config/loader/load.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config::duty {
namespace {

using test::SpoiledFile;
using ::testing::HasSubstr;

TEST(WaterDuty, fill_and_draw_at_the_speed_of_least_energy_where_the_file_wants_it) {
    SpoiledFile file("stations/demo.toml");
    const auto holding = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(holding);
    EXPECT_FALSE(holding->settings.draw.wanted);
    EXPECT_EQ(holding->settings.draw.speed_hz[0], 0);
    file.replace("water = \"hold\"", "water = \"fill_and_draw\"");
    const auto drawing = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(drawing) << text_of(drawing.error());
    EXPECT_TRUE(drawing->settings.draw.wanted);
    EXPECT_NEAR(drawing->settings.draw.speed_hz[0], 51, 1);
    EXPECT_GT(drawing->settings.draw.speed_hz[3], drawing->settings.draw.speed_hz[0]);
    EXPECT_EQ(drawing->settings.draw.speed_hz[4], 0) << "the station has four pumps";
}
TEST(WaterDuty, do_not_fill_and_draw_where_a_pressure_is_held) {
    SpoiledFile file("stations/booster.toml");
    file.replace("arrest = \"10 s\"", "arrest = \"10 s\"\nwater = \"fill_and_draw\"");
    EXPECT_EQ(file.as_station(), file.at_value("water") +
                                     "water is \"fill_and_draw\", but the duty \"hold_pressure\" holds a "
                                     "pressure; expected \"hold\"\n");
}

/// What the loader says of a shipped station with one text replaced; empty for a sound file.
std::string said(const char* station, const char* before, const char* after) {
    return SpoiledFile(station).replace(before, after).as_station();
}

TEST(WaterDuty, sleeps_between_its_marks_only) {
    EXPECT_THAT(
        said("stations/booster.toml", "wake = \"56 m\"", "wake = \"59 m\""),
        HasSubstr("wake is 59 m, but the pump starts at 58 m and the low alarm is at 45 m; expected a "
                  "value between the two, such as 56.00 m"));
    EXPECT_THAT(
        said("stations/booster.toml", "boost = \"72 m\"", "boost = \"65 m\""),
        HasSubstr("boost is 65 m, but the pump stops at 66 m and the high cut-off is at 80 m; expected "
                  "a value between the two, such as 73.00 m"));
    EXPECT_THAT(said("stations/booster.toml", "boost = \"72 m\"", "boost = \"78 m\""),
                HasSubstr("boost is 78 m, but one pump delivers its minimum flow up to 7"));
    EXPECT_THAT(said("stations/demo.toml", "[control.staging]",
                     "[control.sleep]\nwake = \"3 m\"\nboost = \"1 m\"\n[control.staging]"),
                HasSubstr("only the duty \"hold_pressure\" can sleep"));
}

TEST(WaterDuty, sleeps_with_a_vessel_that_is_large_enough_for_the_minimum_run_and_the_starts) {
    EXPECT_THAT(
        said("stations/booster.toml", "run_min = \"90 s\"", "run_min = \"4 min\""),
        HasSubstr("run_min is 240 s, but a pump at its minimum flow charges the vessel from wake to boost "
                  "in 1"));
    EXPECT_THAT(said("stations/booster.toml", "starts_per_hour_max = 8", "starts_per_hour_max = 1"),
                HasSubstr("times an hour, but starts_per_hour_max is 1; expected a vessel of "));
}

TEST(WaterDuty, moves_a_setpoint_within_the_cut_off_only) {
    EXPECT_THAT(said("stations/booster.toml", "rise_max = \"0 m\"", "rise_max = \"20 m\""),
                HasSubstr("expected at most 12.60 m"));
    EXPECT_EQ(said("stations/booster.toml", "rise_max = \"0 m\"", "rise_max = \"5 m\""), "");
    EXPECT_THAT(said("stations/tank.toml", "rise = \"0 ft\"", "rise = \"1 ft\""),
                HasSubstr("the tariff has one price for the whole day, so that no hour is cheap"));
    EXPECT_THAT(said("stations/demo.toml", "[control.staging]",
                     "[control.cheap_hours]\nrise = \"1 m\"\n[control.staging]"),
                HasSubstr("only the duty \"fill_tank\" fills ahead in cheap hours"));
}

TEST(WaterDuty, takes_the_cheap_hours_from_the_tariff) {
    SpoiledFile file("stations/tank.toml");
    file.replace("rise = \"0 ft\"", "rise = \"1 ft\"");
    file.replace(
        "to_hour = 24\nprice_per_kwh = 0.11",
        "to_hour = 5\nprice_per_kwh = 0.08\n[[tariff]]\nfrom_hour = 5\nto_hour = 24\nprice_per_kwh = 0.11");
    file.replace("duty = \"fill_tank\"", "duty = \"fill_tank\"\nutc_offset = \"-5 h\"");
    const auto station = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(station) << text_of(station.error());
    EXPECT_EQ(station->settings.cheap.hours, 0b11111U);
    EXPECT_EQ(station->settings.utc_offset_ms, -5 * 3'600'000);
    EXPECT_NEAR(station->settings.cheap.rise_m, 0.3048, 1e-12);
}

TEST(WaterDuty, reads_days_and_times) {
    SpoiledFile file("stations/demo.toml");
    file.replace("days = []  ", "days = [\"monday\", \"saturday\"]  ");
    file.replace("days = []", "days = [\"sunday\"]");
    const auto station = read_station_file(file.text(), file.file(), test::units());
    ASSERT_TRUE(station) << text_of(station.error());
    const core::Settings& settings = station->settings;
    EXPECT_EQ(settings.draw_down.time.days, 0b1000010);
    EXPECT_EQ(settings.draw_down.time.at_ms, (5 * 60 + 30) * 60'000);
    EXPECT_EQ(settings.draw_down.time.within_ms, 90 * 60'000);
    EXPECT_NEAR(settings.draw_down.level_m, 1.8, 1e-12);
    EXPECT_EQ(settings.scour.time.days, 1);
    EXPECT_NEAR(settings.scour.flow_m3s, 0.8 * 3.14159265 / 4 * 1.1 * 1.1, 1e-6);
    EXPECT_EQ(settings.scour.lasts_ms, 5 * 60'000);
}

TEST(WaterDuty, refuses_days_and_times_that_do_not_exist) {
    EXPECT_THAT(
        said("stations/demo.toml", "days = []  ", "days = [\"mond\"]  "),
        HasSubstr("[control.draw_down] days has an entry that is no day of the week; expected a list of "
                  "days, such as [\"monday\", \"thursday\"], or [] for never"));
    EXPECT_THAT(
        said("stations/demo.toml", "at = \"05:30\"", "at = \"25:30\""),
        HasSubstr("[control.draw_down] at is \"25:30\"; expected a local time of day, such as \"05:30\""));
}

TEST(WaterDuty, draws_down_above_the_low_float_only) {
    SpoiledFile file("stations/demo.toml");
    file.replace("days = []  ", "days = [\"monday\"]  ").replace("level = \"1.8 m\"", "level = \"1.5 m\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"1.5 m\"", file.text().find("[control.draw_down]")) +
                  "level is 1.5 m, but the cut-off and the low float stop every pump at 1.6 m, and the pumps "
                  "stop at 2 m "
                  "without a draw-down; expected a level between the two, such as 1.80 m\n");
}

TEST(WaterDuty, scours_with_what_one_pump_and_the_store_can_give) {
    SpoiledFile file("stations/demo.toml");
    const std::size_t table = file.text().find("[control.scour]");
    ASSERT_NE(table, std::string::npos);
    file.replace("[control.scour]\ndays = []", "[control.scour]\ndays = [\"monday\"]");
    EXPECT_EQ(file.as_station(), "");
    SpoiledFile fast = file;
    fast.replace("velocity = \"0.8 m/s\"", "velocity = \"1.2 m/s\"");
    EXPECT_THAT(fast.as_station(),
                HasSubstr("a velocity of 1.20 m/s in the widest reach of the main needs 1.14 m3/s, "
                          "but one pump delivers "));
    SpoiledFile lengthy = file;
    lengthy.replace("lasts = \"5 min\"", "lasts = \"1 h\"");
    EXPECT_THAT(lengthy.as_station(),
                HasSubstr("lasts is 60 min, but the 192 m3 from start to stop last for "));
}

/// The demonstration station with both tasks on these days.
SpoiledFile cleaning(const char* draw_down_days, const char* scour_days) {
    SpoiledFile file("stations/demo.toml");
    file.replace("[control.draw_down]\ndays = []  ",
                 std::string("[control.draw_down]\ndays = ") + draw_down_days + "  ");
    file.replace("[control.scour]\ndays = []", std::string("[control.scour]\ndays = ") + scour_days);
    return file;
}

TEST(WaterDuty, leaves_time_for_each_task) {
    EXPECT_EQ(cleaning("[\"monday\"]", "[\"monday\"]").as_station(), "");
    EXPECT_THAT(
        cleaning("[\"monday\"]", "[\"monday\"]").replace("at = \"02:00\"", "at = \"05:00\"").as_station(),
        HasSubstr("the draw-down would be left out, because the scour of the same day may still be "
                  "under way then; expected a time outside of its 150 min"));
    EXPECT_THAT(
        cleaning("[\"monday\"]", "[\"monday\"]").replace("at = \"02:00\"", "at = \"06:59\"").as_station(),
        HasSubstr("the scour would be left out"));
    EXPECT_EQ(
        cleaning("[\"monday\"]", "[\"sunday\"]").replace("at = \"02:00\"", "at = \"06:59\"").as_station(),
        "");
    // From Sunday late into Monday, across the end of the week.
    EXPECT_THAT(cleaning("[\"sunday\"]", "[\"saturday\"]")
                    .replace("at = \"02:00\"", "at = \"23:00\"")
                    .replace("at = \"05:30\"", "at = \"00:30\"")
                    .as_station(),
                HasSubstr("the draw-down would be left out"));
    EXPECT_THAT(
        cleaning("[]", "[\"monday\"]").replace("within = \"150 min\"", "within = \"4 min\"").as_station(),
        HasSubstr("within is 4 min, but the scour lasts 5 min; expected at least 5 min"));
    EXPECT_THAT(
        cleaning("[\"monday\"]", "[]").replace("within = \"90 min\"", "within = \"2 min\"").as_station(),
        HasSubstr("within is 2 min, but one pump at full speed draws the "));
}

TEST(WaterDuty, cleans_and_scours_at_stations_with_a_store_only) {
    const std::string draw_down =
        "[control.draw_down]\ndays = [\"monday\"]\nat = \"05:00\"\nwithin = \"1 h\"\nlevel = \"1 "
        "m\"\n[control.staging]";
    const std::string scour =
        "[control.scour]\ndays = [\"monday\"]\nat = \"05:00\"\nwithin = \"1 h\"\nvelocity = \"1 m/s\"\nlasts "
        "= "
        "\"5 min\"\n[control.staging]";
    EXPECT_THAT(said("stations/tank.toml", "[control.staging]", draw_down.c_str()),
                HasSubstr("only the duty \"empty_well\" draws a well down"));
    EXPECT_THAT(said("stations/booster.toml", "[control.staging]", scour.c_str()),
                HasSubstr("the duty \"hold_pressure\" has no store for a scour"));
    EXPECT_THAT(said("stations/demo.toml", "[control.staging]",
                     "[control.setpoint_by_flow]\nloss = \"4 m\"\nat_flow = \"60 L/s\"\nrise_max = \"1 m\"\n"
                     "[control.staging]"),
                HasSubstr("only the duty \"hold_pressure\" has a setpoint that follows the flow"));
}

TEST(WaterDuty, scours_no_slower_than_the_minimum_flow_of_a_pump) {
    EXPECT_THAT(cleaning("[]", "[\"monday\"]")
                    .replace("velocity = \"0.8 m/s\"", "velocity = \"0.1 m/s\"")
                    .as_station(),
                HasSubstr("a velocity of 0.10 m/s in the widest reach of the main needs "));
}

TEST(WaterDuty, raises_a_setpoint_no_higher_than_a_pump_can) {
    EXPECT_THAT(said("stations/booster.toml", "high_cutoff = \"80 m\"", "high_cutoff = \"99 m\""), "");
    SpoiledFile file("stations/booster.toml");
    file.replace("high_cutoff = \"80 m\"", "high_cutoff = \"99 m\"")
        .replace("rise_max = \"0 m\"", "rise_max = \"20 m\"");
    EXPECT_THAT(file.as_station(),
                HasSubstr("a rise of 20 m needs 80 m, but one pump delivers its minimum flow up to 7"));
}

}  // namespace
}  // namespace freshet::config::duty
