// The engineering check: a good station passes, and the right rule finds a spoiled station.
// One reason to change: a finding of the check.
#include "sim_plant/studies/check_findings.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace freshet::studies {
namespace {

config::StationFile demo() {
    return config::load_station_file(FRESHET_SOURCE_DIR "/config/stations/demo.toml").value();
}

Severity worst_of(const std::vector<Finding>& findings, std::string_view about) {
    Severity worst = Severity::info;
    for (const Finding& finding : findings)
        if (finding.about == about) worst = std::max(worst, finding.severity);
    return worst;
}
double figure_of(const std::vector<Finding>& findings, std::string_view about) {
    const auto finding = std::ranges::find(findings, about, &Finding::about);
    EXPECT_NE(finding, findings.end()) << about;
    return finding == findings.end() ? 0 : finding->figure;
}

TEST(EngineeringCheck, finds_no_error_in_the_shipped_stations) {
    for (const char* name : {"demo", "tank", "booster"}) {
        const auto file =
            config::load_station_file(std::string(FRESHET_SOURCE_DIR "/config/stations/") + name + ".toml")
                .value();
        for (const Finding& finding : examine(file, std::nullopt))
            EXPECT_NE(finding.severity, Severity::error) << name << ": " << finding.says;
    }
}
TEST(EngineeringCheck, names_a_source_for_every_rule) {
    for (const Finding& finding : examine(demo(), DesignFlows{0.4, 2.3, "test"}))
        EXPECT_TRUE(finding.rule.empty() || !finding.source.empty()) << finding.about;
}
TEST(EngineeringCheck, warns_of_a_minimum_run_that_lasts_beyond_the_stop_mark) {
    config::StationFile file = demo();
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "run_min"), Severity::info);
    file.settings.permissives.run_min_ms = 20 * 60 * 1000;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "run_min"), Severity::warning);
}
TEST(EngineeringCheck, warns_of_more_starts_an_hour_than_run_and_rest_leave_room_for) {
    config::StationFile file = demo();
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "starts_per_hour"), Severity::info);
    file.settings.permissives.rest_min_ms = 8 * 60 * 1000;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "starts_per_hour"), Severity::warning);
}
config::StationFile booster() {
    return config::load_station_file(FRESHET_SOURCE_DIR "/config/stations/booster.toml").value();
}
TEST(EngineeringCheck, gives_the_speed_of_least_energy_where_a_store_is_emptied_or_filled) {
    // A prototype of the demonstration station had its least at 50.6 Hz. Source: own calculation.
    EXPECT_NEAR(figure_of(examine(demo(), std::nullopt), "least_energy"), 50.6, 0.5);
    const auto findings = examine(booster(), std::nullopt);
    EXPECT_EQ(std::ranges::find(findings, "least_energy", &Finding::about), findings.end());
}
TEST(EngineeringCheck, warns_of_a_vessel_that_is_too_small_for_the_starts_of_a_booster_without_sleep) {
    config::StationFile file = booster();
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "vessel"), Severity::info);
    const double asleep = figure_of(examine(file, std::nullopt), "vessel");
    file.settings.sleep.wanted = false;
    EXPECT_GT(figure_of(examine(file, std::nullopt), "vessel"), 1.2 * asleep) << "fewer metres, more starts";
    file.station.air_vessel.air_volume_m3 = 1;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "vessel"), Severity::warning);
}
TEST(EngineeringCheck, warns_of_a_rest_longer_than_the_store_lasts) {
    config::StationFile file = demo();
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "rest_min"), Severity::info);
    file.settings.permissives.rest_min_ms = 10 * 60 * 1000;
    const auto findings = examine(file, std::nullopt);
    const auto rest = std::ranges::find(findings, "rest_min", &Finding::about);
    ASSERT_NE(rest, findings.end());
    EXPECT_EQ(rest->severity, Severity::warning);
    const std::string lasts = std::to_string(static_cast<int>(rest->figure + 0.5));
    const std::string most = std::to_string(static_cast<int>(rest->figure));
    EXPECT_EQ(rest->says,
              "rest_min is 600 s, but at the flow of one pump the store lasts " + lasts +
                  " s from stop to high_alarm; a pump that stopped last would still rest there, and "
                  "its rest would give way with an alarm; expected at most " +
                  most + " s");
    // 360 m3 from 2.0 m to 5.0 m, and 0.79 m3/s of one pump, as the station file states.
    EXPECT_NEAR(rest->figure, 360 / 0.79, 10);
}
TEST(EngineeringCheck, judges_firm_and_total_capacity_against_the_peak) {
    EXPECT_EQ(worst_of(examine(demo(), DesignFlows{0.4, 2.0, "test"}), "firm_capacity"), Severity::info);
    EXPECT_EQ(worst_of(examine(demo(), DesignFlows{0.4, 2.3, "test"}), "firm_capacity"), Severity::warning);
    EXPECT_EQ(worst_of(examine(demo(), DesignFlows{0.4, 2.5, "test"}), "firm_capacity"), Severity::error);
}
// 0.1 m3/s is the average of 22.8 thousand people at 100 US gallons per head and day; the factor for them is
// 1 + 14 / (4 + sqrt 22.8) = 2.60 (Recommended Standards for Wastewater Facilities).
TEST(EngineeringCheck, warns_of_a_peak_that_is_low_for_the_people_who_give_the_average) {
    EXPECT_EQ(worst_of(examine(demo(), DesignFlows{0.1, 0.27, "test"}), "peaking"), Severity::info);
    EXPECT_EQ(worst_of(examine(demo(), DesignFlows{0.1, 0.25, "test"}), "peaking"), Severity::warning);
}
TEST(EngineeringCheck, warns_of_a_closing_limit_above_the_overlap_limit_and_names_a_value_that_would_do) {
    config::StationFile file = demo();
    file.settings.step.close_ms = file.settings.step.overlap_ms = 500;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "close_limit"), Severity::info);
    file.settings.step.close_ms = 600;
    const std::vector<Finding> findings = examine(file, std::nullopt);
    EXPECT_EQ(worst_of(findings, "close_limit"), Severity::warning);
    const auto finding = std::ranges::find(findings, "close_limit", &Finding::about);
    ASSERT_NE(finding, findings.end());
    EXPECT_EQ(finding->rule, "close of at most 500 ms");
}
// Closing 65 ms, opening 35 ms and four scans of 100 ms, with the contactors of the station file.
TEST(EngineeringCheck, warns_of_an_overlap_limit_too_short_for_closing_and_opening) {
    config::StationFile file = demo();
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "overlap"), Severity::info);
    EXPECT_NEAR(figure_of(examine(file, std::nullopt), "overlap"), 500, 1e-6);
    file.settings.step.overlap_ms = 400;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "overlap"), Severity::warning);
}
// NEC Table 430.250: 118 A for 500 hp at 2300 V.
TEST(EngineeringCheck, warns_of_a_rated_current_far_from_the_table) {
    config::StationFile file = demo();
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "rated_current"), Severity::info);
    file.station.motor.nameplate.current_a = 80;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "rated_current"), Severity::warning);
}
// NEMA MG 1 10.37: 4.36 kVA per horsepower is D. The 500 hp machine of Krause, Wasynczuk and Sudhoff,
// derived.
TEST(EngineeringCheck, names_the_code_letter_of_a_start_on_the_line) {
    const auto findings = examine(demo(), std::nullopt);
    const auto dip = std::ranges::find(findings, "line_start_dip", &Finding::about);
    ASSERT_NE(dip, findings.end());
    EXPECT_NE(dip->says.find("code letter D"), std::string::npos) << dip->says;
}
TEST(EngineeringCheck, finds_a_motor_too_small_for_its_pump) {
    config::StationFile file = demo();
    file.station.motor.nameplate.power_w = 300e3;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "motor_load"), Severity::error);
}
// Open-circuit time constant 0.783 s, to a quarter in 1.086 s: the 500 hp machine of Krause, Wasynczuk and
// Sudhoff, derived.
TEST(EngineeringCheck, finds_a_wait_shorter_than_the_residual_voltage_lasts) {
    config::StationFile file = demo();
    EXPECT_NEAR(figure_of(examine(file, std::nullopt), "residual_voltage"), 1.086, 0.001);
    file.settings.permissives.residual_voltage_ms = 1000;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "residual_voltage"), Severity::error);
}
TEST(EngineeringCheck, finds_a_supply_too_weak_for_a_line_start) {
    config::StationFile file = demo();
    file.station.supply.short_circuit_va = 15e6;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "line_start_dip"), Severity::error);
}
TEST(EngineeringCheck, finds_a_main_too_wide_for_one_pump_to_keep_clean) {
    config::StationFile file = demo();
    file.station.main.reaches[0].diameter_m = 1.6;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "main_velocity"), Severity::warning);
}
TEST(EngineeringCheck, finds_a_cut_off_below_the_vortex_level) {
    config::StationFile file = demo();
    file.station.well.vortex_level_m = 1.7;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "vortex"), Severity::error);
}
TEST(EngineeringCheck, finds_a_suction_that_lifts_too_high) {
    config::StationFile file = demo();
    file.station.well.suction_level_m = 7;
    EXPECT_EQ(worst_of(examine(file, std::nullopt), "npsh"), Severity::error);
}

}  // namespace
}  // namespace freshet::studies
