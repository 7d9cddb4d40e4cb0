// Settings that cannot be met together, and mistakes on which others would follow: refused once with the
// reason, and what is suggested does when it is tried.
// One reason to change: such a pair of settings.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <string>

#include "tests/doubles/scratch_folder.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

using test::DemoStation;
using test::SpoiledFile;
using ::testing::HasSubstr;

TEST(MinimumRun, is_refused_where_the_well_is_empty_before_it_is_over) {
    DemoStation file;
    file.replace("run_min = \"3 min\"", "run_min = \"3 h\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"3 h\"") +
                  "run_min is 180 min, but without inflow a pump at its minimum flow empties the 234 m3 from "
                  "start to low_cutoff in 21.7 min, and stops there; expected at most 21.6 min\n");
    DemoStation suggested;
    suggested.replace("run_min = \"3 min\"", "run_min = \"21.6 min\"");
    EXPECT_EQ(suggested.as_station(), "");
}
TEST(MinimumRun, is_refused_where_the_tank_is_full_before_it_is_over) {
    SpoiledFile file("stations/tank.toml");
    file.replace("run_min = \"3 min\"", "run_min = \"30 h\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"30 h\"") +
                  "run_min is 1800 min, but without demand a pump at its minimum flow fills the 470 m3 from "
                  "start to high_cutoff in 296 min, and stops there; expected at most 295.6 min\n");
    SpoiledFile suggested("stations/tank.toml");
    suggested.replace("run_min = \"3 min\"", "run_min = \"295.6 min\"");
    EXPECT_EQ(suggested.as_station(), "");
}
TEST(MinimumRest, is_refused_where_so_many_of_them_take_longer_than_an_hour) {
    DemoStation file;
    file.replace("rest_min = \"5 min\"", "rest_min = \"2 h\"");
    EXPECT_EQ(file.as_station(), file.at("\"2 h\"") +
                                     "rest_min is 120 min and starts_per_hour_max is 6, but 6 rests take "
                                     "longer than an hour; expected a rest_min of at most 10 min\n");
    DemoStation shorter;
    shorter.replace("rest_min = \"5 min\"", "rest_min = \"10 min\"");
    EXPECT_EQ(shorter.as_station(), "");
}
TEST(MinimumRest, is_accepted_with_the_fewer_starts_that_are_suggested) {
    DemoStation file;
    file.replace("rest_min = \"5 min\"", "rest_min = \"25 min\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"25 min\"") +
                  "rest_min is 25 min and starts_per_hour_max is 6, but 6 rests take longer than an hour; "
                  "expected a rest_min of at most 10 min, or a starts_per_hour_max of 2\n");
    file.replace("starts_per_hour_max = 6", "starts_per_hour_max = 2");
    EXPECT_EQ(file.as_station(), "");
}
TEST(MinimumRest, is_named_when_a_greater_limit_of_starts_needs_a_shorter_rest) {
    DemoStation file;  // a well of 4 m2 above its hopper
    file.replace("\"165 m3\"", "\"62 m3\"");
    file.replace("\"705 m3\"", "\"80 m3\"");
    file.replace("rest_min = \"5 min\"", "rest_min = \"9 min\"");
    EXPECT_THAT(file.as_station(), HasSubstr("or a limit of 7 with a rest_min of at most 8.5 min\n"));
}
TEST(MarginOfTheForecast, is_refused_below_one_with_a_value_that_does) {
    DemoStation file;
    file.replace("forecast_margin = 1.2", "forecast_margin = 0.2");
    EXPECT_EQ(file.as_station(), file.at_value("forecast_margin") +
                                     "forecast_margin is 0.2, so the look-ahead is shorter than the time in "
                                     "which a pump comes on; expected at least 1, such as 1.2\n");
    file.replace("forecast = true", "forecast = false");
    EXPECT_THAT(file.as_station(), HasSubstr("expected at least 1, such as 1.2\n"));
}
TEST(MarginOfTheForecast, is_never_proposed_below_one) {
    DemoStation file;
    file.replace("ramp_up = \"2 Hz/s\"", "ramp_up = \"0.2 Hz/s\"");
    EXPECT_EQ(file.as_station(),
              file.at_value("forecast_margin") +
                  "the look-ahead is 1.2 times 323 s, but a surplus of one pump's flow fills the 252 m3 from "
                  "stage_down to the alarm in 321 s; expected a drive with a ramp_up of 0.3 Hz/s, no "
                  "forecast, or 305 m3 between these marks\n");
    DemoStation faster;
    faster.replace("ramp_up = \"2 Hz/s\"", "ramp_up = \"0.3 Hz/s\"");
    EXPECT_EQ(faster.as_station(), "");
    file.replace("forecast = true", "forecast = false");
    EXPECT_EQ(file.as_station(), "");
}
TEST(MarginOfTheForecast, comes_with_what_else_is_wrong_where_one_would_not_do_either) {
    DemoStation file;
    file.replace("ramp_up = \"2 Hz/s\"", "ramp_up = \"0.2 Hz/s\"");
    file.replace("forecast_margin = 1.2", "forecast_margin = 0.2");
    EXPECT_THAT(file.as_station(), HasSubstr("expected at least 1\n"));
    EXPECT_THAT(file.as_station(), HasSubstr("the look-ahead is 1 times "));
}

TEST(MarginOfTheForecast, is_kept_by_the_volume_that_is_proposed) {
    DemoStation file;  // 305 m3 are 2.55 m of this well
    file.replace("ramp_up = \"2 Hz/s\"", "ramp_up = \"0.2 Hz/s\"");
    file.replace("high_alarm = \"5.0 m\"", "high_alarm = \"5.45 m\"");
    EXPECT_EQ(file.as_station(), "");
}

TEST(MeasuredInflow, is_refused_where_the_run_outlasts_it_and_taken_with_the_length_that_is_proposed) {
    const doubles::ScratchFolder folder;
    std::ofstream(folder / "flow.csv") << "t_min,flow_l_s\n0,400\n30,500\n60,450\n";
    SpoiledFile file("scenarios/dry_day.toml");
    const std::string text = file.text();
    file.replace(text.substr(text.find("[dry_weather]")),
                 "[measured_inflow]\nfile = \"" + (folder / "flow.csv").string() + "\"\n");
    EXPECT_EQ(file.as_scenario(), file.at("\"" + (folder / "flow.csv").string()) +
                                      "the series lasts 1 h, but the run lasts 24 h; expected a series as "
                                      "long as the run, or a duration of \"3600 s\"\n");
    file.replace("duration = \"24 h\"", "duration = \"3600 s\"");
    EXPECT_EQ(file.as_scenario(), "");
}

TEST(BeginningAfterTheEnd, of_a_storm_or_a_fault_is_refused) {
    SpoiledFile storm("scenarios/design_storm.toml");
    storm.replace("begins = \"0 h\"", "begins = \"30 h\"");
    EXPECT_EQ(storm.as_scenario(), storm.at("\"30 h\"") +
                                       "[storm] begins is 30 h after the start of the run, but the run lasts "
                                       "only 24 h; expected a time within the run\n");
    SpoiledFile fault("scenarios/dry_day.toml");
    fault.append("[[fault]]\nbegins = \"240 h\"\ndevice = \"drive\"\nkind = \"trip\"\n");
    EXPECT_THAT(fault.as_scenario(), HasSubstr("expected a time within the run\n"));
}

TEST(OneMistake, of_the_duty_is_one_error) {
    SpoiledFile file("stations/tank.toml");
    file.replace("duty = \"fill_tank\"", "duty = \"fill_tanks\"");
    EXPECT_EQ(file.as_station(), file.at("\"fill_tanks\"") +
                                     "\"fill_tanks\" is not known; expected one of \"empty_well\", "
                                     "\"fill_tank\", \"hold_pressure\"; nearest known word \"fill_tank\"\n");
}
TEST(OneMistake, of_a_reach_s_friction_is_one_error) {
    SpoiledFile file("stations/tank.toml");
    file.replace("\"hazen_williams\"", "\"chezy\"");
    EXPECT_EQ(file.as_station(),
              file.at("\"chezy\"") +
                  "\"chezy\" is not known; expected one of \"darcy_weisbach\", \"hazen_williams\"\n");
}
TEST(OneMistake, of_a_missing_heading_gives_no_message_for_each_key_below_the_heading) {
    DemoStation file;
    file.replace("[[main.reach]]\n", "");
    EXPECT_EQ(file.as_station(),
              file.at("[main]") + "[main] reach is missing; expected one or more [[main.reach]] tables\n" +
                  file.at("length = \"3000 m\"") + "unknown key \"length\" in [main] (and 5 more keys)\n");
}

}  // namespace
}  // namespace freshet::config
