// What the loader says of spoiled scenarios and tables, word for word, and what it makes of sound ones.
// One reason to change: what a scenario may describe.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>

#include "config/loader/load.hpp"
#include "config/loader/series.hpp"
#include "tests/doubles/scratch_folder.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::shipped;
using test::SpoiledFile;

struct DesignStorm : SpoiledFile {
    DesignStorm() : SpoiledFile("scenarios/design_storm.toml") {}
};
constexpr std::string_view trip = R"(
[[fault]]
begins = "2 h"
lasts = "10 min"
device = "drive"
kind = "trip"
)";

TEST(ScenarioFile, takes_every_shipped_scenario) {
    for (const auto& entry : std::filesystem::directory_iterator(shipped("scenarios"))) {
        const auto scenario = load_scenario(entry.path().string());
        EXPECT_TRUE(scenario) << text_of(scenario.error());
    }
}
TEST(ScenarioFile, reads_the_design_storm) {
    const Scenario scenario = load_scenario(shipped("scenarios/design_storm.toml")).value();
    EXPECT_EQ(scenario.name, "design_storm");
    EXPECT_EQ(scenario.station_file, shipped("stations/demo.toml"));
    EXPECT_EQ(scenario.start_ms, 1936483200000);  // date -u -d 2031-05-14 +%s
    EXPECT_EQ(scenario.duration_s, 86400);
    ASSERT_EQ(scenario.weather.storms.size(), 1U);
    EXPECT_DOUBLE_EQ(scenario.weather.storms[0].depth_m, 0.0889);
    EXPECT_EQ(scenario.weather.storms[0].distribution.name, "nrcs_type_ii_24h");
    EXPECT_EQ(scenario.weather.storms[0].distribution.cumulative.size(), 241U);
    EXPECT_EQ(scenario.weather.storms[0].distribution.span, 24);
    EXPECT_DOUBLE_EQ(scenario.weather.catchment.sewered_area_m2, 7.2e6);
    EXPECT_EQ(scenario.weather.catchment.triangles.at(2).time_to_peak_s, 8 * 3600);
    EXPECT_DOUBLE_EQ(scenario.weather.dry.weekday[9], 1.5);
}
TEST(ScenarioFile, puts_a_demand_pattern_at_the_middles_of_its_hours) {
    const Scenario scenario = load_scenario(shipped("scenarios/booster_day.toml")).value();
    ASSERT_EQ(scenario.demand_m3s.size(), 24U);
    EXPECT_EQ(scenario.demand_m3s[7].t_s, 7.5 * 3600);
    EXPECT_DOUBLE_EQ(scenario.demand_m3s[7].value, 0.04 * 1.75);
    EXPECT_DOUBLE_EQ(scenario.initial_level_m, 65);
}
TEST(ScenarioFile, says_which_station_is_not_there) {
    DesignStorm file;
    file.replace("../stations/demo.toml", "../stations/gone.toml");
    EXPECT_EQ(file.as_scenario(), file.at("\"../stations/gone.toml\"") + "\"" +
                                      shipped("stations/gone.toml") +
                                      "\" cannot be opened; expected the path of a readable file; a path in "
                                      "this file starts from the file's own folder\n");
}
TEST(ScenarioFile, says_which_rain_is_not_there) {
    DesignStorm file;
    file.replace("nrcs_type_ii_24h.csv", "type_two.csv");
    EXPECT_THAT(file.as_scenario(), ::testing::StartsWith(file.at("\"../storms/type_two.csv\"")));
}
TEST(ScenarioFile, refuses_a_start_without_an_offset_from_utc) {
    DesignStorm file;
    file.replace("2031-05-14T00:00:00Z", "2031-05-14T00:00:00");
    EXPECT_EQ(file.as_scenario(), file.at("2031-05-14T00:00:00 ") +
                                      "[scenario] start is a local date or time; expected a date and time "
                                      "with its offset from UTC, such as 2031-05-17T00:00:00Z\n");
}
TEST(ScenarioFile, refuses_a_first_level_outside_the_well) {
    DesignStorm file;
    file.replace("initial_level = \"3.0 m\"", "initial_level = \"30 ft\"");
    EXPECT_EQ(file.as_scenario(), file.at("\"30 ft\"") +
                                      "[scenario] initial_level is \"30 ft\"; expected a level within the "
                                      "storage table, from 0 to 6.5 m\n");
}
TEST(ScenarioFile, refuses_a_pattern_of_23_hours_and_one_about_another_mean) {
    DesignStorm hours;
    hours.replace("weekday = [0.62, ", "weekday = [");
    EXPECT_EQ(
        hours.as_scenario(),
        hours.at("[0.50") + "[dry_weather] weekday has 23 values; expected a list of 24 plain numbers\n");
    DesignStorm mean;
    mean.replace("weekday = [0.62, ", "weekday = [6.2, ");
    EXPECT_EQ(mean.as_scenario(),
              mean.at("[6.2") +
                  "[dry_weather] weekday has a mean of 1.233; expected hourly factors with a mean of 1\n");
}
TEST(ScenarioFile, refuses_a_storm_without_a_catchment) {
    DesignStorm file;
    file.replace("[catchment.sewered]", "[catchments.sewered]");
    EXPECT_EQ(file.as_scenario(),
              file.at("catchments") + "unknown key \"catchments\"; expected \"catchment\"\n");
    DesignStorm none;
    none.replace("[catchment.sewered]", "[areas.sewered]");
    EXPECT_EQ(none.as_scenario(),
              none.start() + "[[storm]] has no catchment to fall on; expected a [catchment] table\n" +
                  none.at("areas") + "unknown key \"areas\"\n");
}
TEST(ScenarioFile, reports_a_misspelt_required_key_once_with_the_key_that_was_expected) {
    DesignStorm file;
    file.replace("duration = ", "duraton = ");
    EXPECT_EQ(file.as_scenario(),
              file.at("duraton") + "unknown key \"duraton\" in [scenario]; expected \"duration\"\n");
}
TEST(ScenarioFile, refuses_a_measured_inflow_together_with_a_storm) {
    DesignStorm file;
    file.append("\n[measured_inflow]\nfile = \"../storms/uniform.csv\"\n");
    EXPECT_THAT(file.as_scenario(),
                ::testing::HasSubstr(file.at("[measured_inflow]") +
                                     "[measured_inflow] is given together with [dry_weather] or [[storm]]; "
                                     "expected one or the other, because a measured inflow holds both\n"));
}
TEST(ScenarioFile, takes_a_fault_of_a_device_that_can_have_it) {
    DesignStorm file;
    file.append(trip);
    const Scenario scenario = read_scenario(file.text(), file.file(), test::units()).value();
    ASSERT_EQ(scenario.faults.size(), 1U);
    EXPECT_EQ(scenario.faults[0].kind, FaultKind::trip);
    EXPECT_EQ(scenario.faults[0].begins_s, 7200);
    EXPECT_EQ(scenario.faults[0].lasts_s, 600);
}
TEST(ScenarioFile, takes_what_people_do_and_when) {
    DesignStorm file;
    file.append("[[people]]\nat = \"2 h\"\naction = \"reset\"\n");
    file.append("[[people]]\nat = \"3 min\"\naction = \"press_reset\"\n");
    file.append("[[people]]\nat = \"4 s\"\naction = \"acknowledge\"\n");
    const auto scenario = read_scenario(file.text(), file.file(), test::units());
    ASSERT_TRUE(scenario) << text_of(scenario.error());
    ASSERT_EQ(scenario->people.size(), 3U);
    EXPECT_EQ(scenario->people[0].at_s, 7200);
    EXPECT_EQ(scenario->people[0].action, PeopleAction::reset);
    EXPECT_EQ(scenario->people[1].action, PeopleAction::press_reset);
    EXPECT_EQ(scenario->people[2].action, PeopleAction::acknowledge);
}
TEST(ScenarioFile, refuses_what_people_cannot_do_and_a_time_outside_of_the_run) {
    DesignStorm file;
    file.append("[[people]]\nat = \"2 h\"\naction = \"start\"\n");
    EXPECT_EQ(file.as_scenario(),
              file.at("\"start\"") +
                  "\"start\" is not known; expected one of \"reset\", \"press_reset\", \"acknowledge\"\n");
    DesignStorm late;
    late.append("[[people]]\nat = \"30 h\"\naction = \"reset\"\n");
    EXPECT_EQ(late.as_scenario(),
              late.at("\"30 h\"") +
                  "[people] at is 30 h after the start of the run, but the run lasts only "
                  "24 h; expected a time within the run\n");
}
TEST(ScenarioFile, refuses_a_press_of_a_reset_button_that_the_field_map_does_not_have) {
    SpoiledFile file("scenarios/tank_day.toml");
    file.append("[[people]]\nat = \"2 h\"\naction = \"press_reset\"\n");
    EXPECT_EQ(file.as_scenario(),
              file.at("\"press_reset\"") +
                  "the field map has no signal \"emergency_stop_reset\", so the station has no reset button; "
                  "expected \"reset\", which people do at the controller\n");
}
TEST(ScenarioFile, names_the_nearest_device_of_an_unknown_one) {
    DesignStorm file;
    file.append(trip).replace("device = \"drive\"", "device = \"pump_2.linside\"");
    EXPECT_EQ(file.as_scenario(), file.at("\"pump_2.linside\"") +
                                      "unknown device \"pump_2.linside\" for a station of 4 pumps; nearest "
                                      "known device \"pump_2.line_side\"\n");
}
TEST(ScenarioFile, refuses_a_device_of_a_pump_that_the_station_has_not) {
    DesignStorm file;
    file.append(trip).replace("device = \"drive\"", "device = \"pump_5\"");
    EXPECT_THAT(
        file.as_scenario(),
        ::testing::StartsWith(file.at("\"pump_5\"") + "unknown device \"pump_5\" for a station of 4 pumps"));
}
TEST(ScenarioFile, refuses_a_fault_that_its_device_cannot_have) {
    DesignStorm file;
    file.append(trip).replace("kind = \"trip\"", "kind = \"blocked\"");
    EXPECT_EQ(file.as_scenario(),
              file.at("\"blocked\"") +
                  "\"blocked\" is not known; expected one of \"trip\", \"never_in_sync\", "
                  "\"slips_out_of_sync\", \"loses_reference\", \"not_ready\"\n");
}
TEST(ScenarioFile, reads_an_amount_in_the_unit_of_what_it_falsifies) {
    DesignStorm file;
    file.append("[[fault]]\nbegins = \"1 h\"\ndevice = \"level_1\"\nkind = \"drift\"\namount = \"1 ft/h\"\n");
    file.append(
        "[[fault]]\nbegins = \"1 h\"\ndevice = \"pump_1.line_side\"\nkind = \"closes_late\"\namount = \"250 "
        "ms\"\n");
    file.append(
        "[[fault]]\nbegins = \"1 h\"\ndevice = \"level_2\"\nkind = \"over_range\"\namount = \"22 mA\"\n");
    file.append("[[fault]]\nbegins = \"1 h\"\ndevice = \"line\"\nkind = \"dip\"\namount = \"30 %\"\n");
    const auto scenario = read_scenario(file.text(), file.file(), test::units());
    ASSERT_TRUE(scenario) << text_of(scenario.error());
    EXPECT_DOUBLE_EQ(scenario->faults[0].amount, 0.3048 / 3600);
    EXPECT_DOUBLE_EQ(scenario->faults[1].amount, 0.25);
    EXPECT_DOUBLE_EQ(scenario->faults[2].amount, 22);
    EXPECT_DOUBLE_EQ(scenario->faults[3].amount, 0.3);
}
TEST(ScenarioFile, refuses_an_amount_that_means_nothing_and_one_of_the_wrong_kind) {
    DesignStorm file;
    file.append(trip).append("amount = 3\n");
    EXPECT_EQ(file.as_scenario(),
              file.at("3\n", file.text().rfind("amount")) +
                  "[fault] amount has no meaning for the fault \"trip\"; expected no amount\n");
    DesignStorm unit;
    unit.append("[[fault]]\nbegins = \"1 h\"\ndevice = \"level_1\"\nkind = \"offset\"\namount = \"3 s\"\n");
    EXPECT_EQ(unit.as_scenario(),
              unit.at("\"3 s\"") +
                  "[fault] amount: \"3 s\" has the wrong unit; expected a value such as \"0.1 m\"\n");
}
TEST(ScenarioFile, refuses_an_old_name_of_a_fault_with_the_new_one) {
    SpoiledFile file("scenarios/dry_day.toml");
    file.append("[[fault]]\nbegins = \"1 h\"\ndevice = \"level_1\"\nkind = \"intermittent\"\n");
    EXPECT_EQ(file.as_scenario(), file.at("\"intermittent\"") +
                                      "the fault \"intermittent\" has a new name; expected \"drops_out\"\n");
}
TEST(ScenarioFile, passes_on_the_faults_of_its_station_under_the_stations_name) {
    const doubles::ScratchFolder folder;
    SpoiledFile station("stations/demo.toml");
    station.replace("66.0 m", "69.5 m");
    const auto path = folder / "station.toml";
    {
        std::FILE* out = std::fopen(path.c_str(), "wb");
        ASSERT_NE(out, nullptr);
        std::fwrite(station.text().data(), 1, station.text().size(), out);
        std::fclose(out);
    }
    DesignStorm file;
    file.replace("../stations/demo.toml", path.string());
    EXPECT_THAT(file.as_scenario(), ::testing::StartsWith(path.string() + ":"));
    EXPECT_THAT(file.as_scenario(), ::testing::HasSubstr("69.5"));
}

// Tables of numbers.

std::string flow_refusal(std::string_view text) {
    return text_of(read_measured_flow(text, "flow.csv").error());
}
std::string rain_refusal(std::string_view text) {
    return text_of(read_measured_rain(text, "rain.csv").error());
}
std::string distribution_refusal(std::string_view text) {
    return text_of(read_distribution(text, "storm.csv").error());
}

TEST(MeasuredSeries, is_read_from_its_first_row_on) {
    const auto flow =
        read_measured_flow(
            "# logger 3\ntime,flow_gpm\n2031-05-14T06:00:00Z,1000\n2031-05-14T06:05:00Z,2000\n", "flow.csv")
            .value();
    ASSERT_EQ(flow.size(), 2U);
    EXPECT_EQ(flow[0].t_s, 0);
    EXPECT_EQ(flow[1].t_s, 300);
    EXPECT_NEAR(flow[1].value, 0.12618, 1e-5);
}
TEST(MeasuredSeries, refuses_time_that_goes_back) {
    EXPECT_EQ(
        flow_refusal("t_s,flow_m3s\n0,1\n60,1\n30,1\n"),
        "flow.csv:4:1: the time does not rise from 60 s to 30 s; expected a time after that of line 3\n");
}
TEST(MeasuredSeries, refuses_a_gap_in_time_and_a_gap_in_values) {
    EXPECT_EQ(flow_refusal("t_min,flow_l_s\n0,1\n5,1\n20,1\n25,1\n"),
              "flow.csv:4:1: the series has a gap of 900 s, from 300 s in line 3 to 1200 s; expected steps "
              "of 300 s\n");
    EXPECT_EQ(rain_refusal(
                  "time,rain_mm\n2031-05-14T06:00:00Z,0\n2031-05-14T06:05:00Z,2\n2031-05-14T06:25:00Z,2\n"),
              "rain.csv:4:1: the series has a gap of 1200 s, from 2031-05-14T06:05:00Z in line 3 to "
              "2031-05-14T06:25:00Z; expected steps of 300 s\n");
    EXPECT_EQ(flow_refusal("t_min,flow_l_s\n0,1\n5,\n10,1\n"),
              "flow.csv:3:3: a value is missing; expected a number\n");
}
TEST(MeasuredSeries, refuses_a_row_left_out_wherever_it_was) {
    EXPECT_EQ(rain_refusal("t_min,rain_mm\n0,0\n10,1\n15,1\n20,1\n"),
              "rain.csv:3:1: the series has a gap of 600 s, from 0 s in line 2 to 600 s; expected steps of "
              "300 s\n");
    EXPECT_EQ(rain_refusal("t_min,rain_mm\n0,0\n5,1\n10,1\n20,1\n"),
              "rain.csv:5:1: the series has a gap of 600 s, from 600 s in line 4 to 1200 s; expected steps "
              "of 300 s\n");
}
TEST(MeasuredSeries, says_once_what_is_wrong_in_every_row) {
    EXPECT_EQ(rain_refusal("t_min,rain_mm\n0,0\n5,0,5\n10,1,5\n15,2,5\n"),
              "rain.csv:3:1: the row has 3 cells; expected 2, as in the heading; write decimals with a "
              "point, not with a comma (in 3 rows)\n");
    EXPECT_EQ(
        flow_refusal("t_s,flow_m3s\n0,a\n60,b\n120,c\n180,d\n240,e\n"),
        "flow.csv:2:3: \"a\" cannot be read; expected a number\nflow.csv:3:4: \"b\" cannot be read; expected "
        "a number\nflow.csv:4:5: \"c\" cannot be read; expected a number (and in 2 more cells)\n");
}
TEST(RainDistributionFile, may_have_rows_at_uneven_times_because_each_holds_the_sum) {
    EXPECT_TRUE(read_distribution("t_h,cumulative_fraction\n0,0\n6,0.1\n18,0.9\n24,1\n", "storm.csv"));
}
TEST(MeasuredSeries, refuses_text_rows_and_headings_that_it_does_not_know) {
    EXPECT_EQ(flow_refusal("t_s,flow_m3s\n0,one\n60,1\n"),
              "flow.csv:2:3: \"one\" cannot be read; expected a number\n");
    EXPECT_EQ(
        flow_refusal("t_s,flow\n0,1\n60,1\n"),
        "flow.csv:1:5: heading 2 is \"flow\"; expected one of flow_m3s, flow_l_s, flow_gpm, flow_mgd\n");
    EXPECT_EQ(flow_refusal("t_s,flow_m3s\n0,1\n60,1,2\n"),
              "flow.csv:3:1: the row has 3 cells; expected 2, as in the heading; write decimals with a "
              "point, not with a comma\n");
    EXPECT_EQ(flow_refusal(""),
              "flow.csv:1:1: the file is empty; expected a heading line and rows of numbers\n");
    EXPECT_EQ(flow_refusal("t_s,flow_m3s\n"),
              "flow.csv:1:1: the file has only a heading; expected rows of numbers\n");
    EXPECT_EQ(flow_refusal("t_s,flow_m3s\n0,1\n60,-1\n"),
              "flow.csv:3:1: -1 is below zero; expected a value of at least 0\n");
}
TEST(MeasuredSeries, turns_rain_into_a_distribution_and_a_depth) {
    const auto rain = read_measured_rain("t_min,rain_mm\n0,0\n5,1\n10,3\n15,0\n", "rain.csv").value();
    EXPECT_DOUBLE_EQ(rain.depth_m, 0.004);
    EXPECT_EQ(rain.duration_s, 900);
    EXPECT_DOUBLE_EQ(rain.distribution.cumulative[1].value, 0.25);
    EXPECT_DOUBLE_EQ(rain.distribution.cumulative[2].value, 1);
    EXPECT_EQ(rain_refusal("t_min,rain_in\n0,0.1\n5,1\n"),
              "rain.csv:2:1: the first row has rain; expected 0, because each row holds the rain since the "
              "row before\n");
    EXPECT_EQ(rain_refusal("t_min,rain_in\n0,0\n5,0\n"),
              "rain.csv:2:1: the series has no rain; expected some rain\n");
}
TEST(RainDistributionFile, is_cumulative_from_nothing_to_all) {
    EXPECT_EQ(distribution_refusal("t_h,cumulative_fraction\n0,0\n12,0.7\n18,0.6\n24,1\n"),
              "storm.csv:4:1: the cumulative fraction falls from 0.7 to 0.6; expected a fraction that never "
              "falls\n");
    EXPECT_EQ(distribution_refusal("t_h,cumulative_fraction\n1,0\n24,0.9\n"),
              "storm.csv:2:1: the distribution does not begin at zero; expected 0, 0 in the first "
              "row\nstorm.csv:3:1: the distribution ends at 0.9; expected a cumulative fraction of 1 in the "
              "last row\n");
}
}  // namespace
}  // namespace freshet::config
