// Floats, starts in succession, trips, the watch of the delivery, the discharge pressure and the wait for the
// drive in station files: what is taken, and what is refused with its reason.
// One reason to change: these parts of a station file.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "config/loader/load.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::SpoiledFile;

struct TankStation : SpoiledFile {
    TankStation() : SpoiledFile("stations/tank.toml") {}
    core::Settings settings() const {
        const auto read = read_station_file(text(), file(), test::units());
        EXPECT_TRUE(read) << text_of(read.error());
        return read ? read->settings : core::Settings{};
    }
};

struct DemoFile : SpoiledFile {
    DemoFile() : SpoiledFile("stations/demo.toml") {}
    core::Settings settings() const {
        const auto read = read_station_file(text(), file(), test::units());
        EXPECT_TRUE(read) << text_of(read.error());
        return read ? read->settings : core::Settings{};
    }
};

constexpr std::int64_t minute_ms = 60'000;

TEST(Trips, per_hour_are_three_where_the_file_does_not_say) {
    DemoFile file;
    file.replace("trips_per_hour_max = 3 ", "trips_per_hour_max = 5 ");
    EXPECT_EQ(file.settings().permissives.trips_per_hour_max, 5);
    DemoFile without;
    without.replace("trips_per_hour_max = 3 ", "");
    EXPECT_EQ(without.settings().permissives.trips_per_hour_max, 3);
    DemoFile none;
    none.replace("trips_per_hour_max = 3 ", "trips_per_hour_max = 0 ");
    EXPECT_THAT(none.as_station(), ::testing::HasSubstr("trips_per_hour_max is 0; expected"));
}

TEST(DeliveryWatch, has_its_usual_limits_where_the_file_does_not_say) {
    DemoFile file;
    file.replace("hold = \"60 s\"", "hold = \"2 min\"").replace("lost_max = \"10 %\"", "lost_max = \"20 %\"");
    EXPECT_EQ(file.settings().delivery.hold_ms, 120'000);
    EXPECT_NEAR(file.settings().delivery.lost_max_ratio, 0.2, 1e-12);
    DemoFile without;
    without.replace("[control.delivery]\nhold = \"60 s\"\nlost_max = \"10 %\"\n", "");
    EXPECT_EQ(without.settings().delivery.hold_ms, 60'000);
    EXPECT_NEAR(without.settings().delivery.lost_max_ratio, 0.1, 1e-12);
}

TEST(FloatsOfATank, are_taken_the_other_way_round) {
    EXPECT_TRUE(TankStation().settings().floats.fitted);
}
TEST(FloatsOfATank, are_refused_where_the_low_one_would_start_no_pump_in_time) {
    TankStation file;
    file.replace("low = \"112 ft\"", "low = \"122 ft\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"122 ft\"") +
                  "the low float is at 37.1856 m; expected a level below stage_up at 36.8808 m and above the "
                  "floor at 32.9184 m, because this float starts the pumps that fill\n");
}
TEST(FloatsOfATank, are_refused_where_the_high_one_would_stop_the_pumps_too_late) {
    TankStation file;
    file.replace("high = \"127 ft\"", "high = \"129 ft\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"129 ft\"") +
                  "the high float is at 39.3192 m; expected a level above stop at 38.4048 m and below the "
                  "overflow at 39.0144 m, because this float stops the pumps that fill\n");
}
TEST(FloatsOfAPressure, are_refused_with_the_reason) {
    SpoiledFile file("stations/booster.toml");
    file.append(
        "\n[instruments.floats]\nhigh = \"3 m\"\nlow = \"1 m\"\ndifferential = \"5 "
        "cm\"\n[control.floats]\nhold = \"2 s\"\nrun_on = \"2 min\"\n");
    EXPECT_EQ(file.as_station(),
              file.at("[instruments.floats]") +
                  "floats measure a level, but the duty \"hold_pressure\" holds a pressure; expected no "
                  "floats, because they could neither start nor stop a pump\n");
}

TEST(Succession, is_read_from_the_station_file) {
    const core::Settings::Succession rule = TankStation().settings().succession;
    EXPECT_EQ(rule.cold_starts_max, 2);
    EXPECT_EQ(rule.warm_starts_max, 1);
    EXPECT_EQ(rule.cool_ms, 60 * minute_ms);
    EXPECT_EQ(rule.rest_ms, 20 * minute_ms);
    EXPECT_EQ(rule.even_run_ms, 30 * minute_ms);
    EXPECT_FALSE(rule.drive_starts_count);
}
TEST(Succession, is_not_judged_where_the_file_has_none) {
    const auto read = load_station_file(test::shipped("stations/booster.toml"));
    ASSERT_TRUE(read);
    EXPECT_EQ(read->settings.succession.cold_starts_max, 0);
}
TEST(Succession, is_refused_with_more_starts_from_warm_than_from_cold) {
    TankStation file;
    file.replace("warm_starts = 1", "warm_starts = 3");
    EXPECT_EQ(
        file.as_station(),
        file.at("3\ncool") +
            "warm_starts is 3, but cold_starts is 2; expected no more starts from warm than from cold\n");
}
TEST(Succession, is_refused_with_a_rest_longer_than_cooling_takes) {
    TankStation file;
    file.replace("rest = \"20 min\"", "rest = \"2 h\"");
    EXPECT_EQ(
        file.as_station(),
        file.at("\"2 h\"") + "rest is 120 min, but cool is 60 min; expected a rest no longer than cool\n");
}
TEST(Succession, is_refused_in_part) {
    TankStation file;
    file.replace("even_run = ", "# ");
    EXPECT_EQ(
        file.as_station(),
        file.at("[control.succession]") +
            "[control.succession] even_run is missing; expected a time, such as \"90 s\" or \"15 min\"\n");
}

TEST(DischargePressure, is_read_from_the_station_file) {
    const core::Settings settings = TankStation().settings();
    EXPECT_NEAR(settings.permissives.discharge_pressure_max_m, 190 * 0.3048, 1e-12);
    EXPECT_EQ(settings.permissives.discharge_pressure_hold_ms, 5000);
}
TEST(DischargePressure, is_refused_where_it_is_not_measured) {
    TankStation file;
    const std::string_view transmitter =
        "[instruments.header_pressure]   # head above the pumps' centre line\nat_4ma = \"0 ft\"\nat_20ma = "
        "\"250 ft\"\n";
    file.replace(transmitter, "");
    EXPECT_EQ(file.as_station(), file.at("[control.discharge_pressure]") +
                                     "the discharge pressure has a limit, but no transmitter measures it; "
                                     "expected an [instruments.header_pressure] table\n");
}
TEST(DischargePressure, is_refused_beyond_the_transmitter) {
    TankStation file;
    file.replace("max = \"190 ft\"", "max = \"260 ft\"");
    EXPECT_EQ(file.as_station(), file.at("\"260 ft\"") +
                                     "[control.discharge_pressure] max is 79.248 m; expected a head within "
                                     "the range of the transmitter, from 0 to 76.2 m\n");
}

TEST(WaitForTheDrive, is_taken_from_the_file_or_from_the_drives_restart_lock) {
    TankStation file;
    file.replace("drive_wait = \"45 s\"", "drive_wait = \"50 s\"");
    EXPECT_EQ(file.settings().restart.drive_wait_ms, 50'000);
    TankStation without;
    without.replace("drive_wait = \"45 s\"", "")
        .replace("restart_lock = \"30 s\"", "restart_lock = \"20 s\"");
    EXPECT_EQ(without.settings().restart.drive_wait_ms, 35'000) << "the lock and 15 s to start up";
    TankStation none;
    none.replace("drive_wait = \"45 s\"", "drive_wait = \"0 s\"");
    EXPECT_EQ(none.settings().restart.drive_wait_ms, 0);
}
TEST(WaitForTheDrive, is_refused_where_it_ends_before_the_restart_lock) {
    TankStation file;
    file.replace("drive_wait = \"45 s\"", "drive_wait = \"20 s\"");
    EXPECT_EQ(
        file.as_station(),
        file.at("\"20 s\"", file.text().find("drive_wait")) +
            "[control.restart] drive_wait is 20 s, but the drive's restart_lock is 30 s; expected at least "
            "30 s, or \"0 s\" to wait for no drive\n");
}

}  // namespace
}  // namespace freshet::config
