// Station design rules against the published texts. A rule without arithmetic is checked as a limit, just
// inside and just outside. Each check names its source.
// One reason to change: a published rule.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "config/engineering/rules.hpp"
#include "config/loader/document.hpp"
#include "config/loader/read.hpp"
#include "tests/reference/rules/quantities.hpp"

namespace freshet::config {
namespace {

std::string refusal_of_demo(std::string_view before, std::string_view after) {
    const std::string path = FRESHET_SOURCE_DIR "/config/stations/demo.toml";
    std::string text = read_text(path).value();
    const auto begin = text.find(before);
    EXPECT_NE(begin, std::string::npos) << before;
    text.replace(begin, before.size(), after);
    const auto file = read_station_file(text, path, units());
    return file ? "" : text_of(file.error());
}

// Virginia, 9VAC25-790-380 A.2 (law.lis.virginia.gov): the maximum flow or 2.5 times the average, whichever
// is greater, with any one pump out of service. Computed from this rule, with invented pumps of 500, 500 and
// 800 gpm, an average of 400 gpm and a maximum of 950 gpm: 1000 gpm are needed and 1000 gpm remain.
TEST(FirmCapacity, of_two_small_pumps_just_meets_two_and_a_half_times_the_average) {
    EXPECT_NEAR(required_firm_capacity_m3s(flow("400 gpm"), flow("950 gpm")) / flow("1 gpm"), 1000, 1e-9);
    EXPECT_GE(flow("500 gpm") + flow("500 gpm"),
              required_firm_capacity_m3s(flow("400 gpm"), flow("950 gpm")));
}
// The same rule with an invented average of 300 gpm.
TEST(FirmCapacity, is_the_maximum_where_that_is_greater) {
    EXPECT_DOUBLE_EQ(required_firm_capacity_m3s(flow("300 gpm"), flow("950 gpm")), flow("950 gpm"));
}
// UFC 3-240-06A (EI 11C201), para 7-1 (buildingcriteria1.tpub.com/ufc_3_240_06a/ufc_3_240_06a0049.htm): 0.6
// m/s (2.0 ft/s) with one pump, at most 3 m/s (10.0 ft/s). The rounding of feet in the text makes 2 %.
TEST(MainVelocity, has_the_published_limits_in_either_unit) {
    EXPECT_NEAR(main_velocity_least_ms, units().si("2.0 ft/s", Quantity::velocity).value(),
                0.02 * main_velocity_least_ms);
    EXPECT_NEAR(main_velocity_most_ms, units().si("10.0 ft/s", Quantity::velocity).value(),
                0.02 * main_velocity_most_ms);
    // Wis. Adm. Code NR 110.14(3)(j)1 (docs.legis.wisconsin.gov): 61 cm/s (2 ft/s).
    EXPECT_NEAR(main_velocity_least_ms, 0.61, 0.02 * 0.61);
}
// UFC 3-240-08FA (TM 5-814-2, 15 March 1985), p. 5-7, para c "Alarms"
// (buildingcriteria1.tpub.com/ufc_3_240_08fa/ufc_3_240_08fa0022.htm):
//   low-level pump cut-off < lead pump stop ... start of the last pump < high-level alarm.
// All three checks that follow.
TEST(OrderOfLevels, puts_the_low_cut_off_below_the_stop) {
    EXPECT_THAT(refusal_of_demo("low_cutoff = \"1.6 m\"", "low_cutoff = \"2.1 m\""),
                ::testing::HasSubstr("stop is 2 m; expected a mark above low_cutoff at 2.1 m "));
}
TEST(OrderOfLevels, puts_the_start_of_the_last_pump_below_the_high_alarm) {
    EXPECT_THAT(refusal_of_demo("high_alarm = \"5.0 m\"", "high_alarm = \"3.5 m\""),
                ::testing::HasSubstr("high_alarm is 3.5 m; expected a mark above stage_up at 3.6 m"));
}
TEST(OrderOfLevels, of_the_demo_station_is_the_published_one) {
    EXPECT_EQ(refusal_of_demo("deadband", "deadband"), "");
}

// NEMA MG 10, Table 2-3, allowable starts, transcribed from a reproduction (scribd.com/document/450805826),
// not from the printed standard. A second reproduction agrees in the rows that are checked here.
TEST(StartsOfMotors, are_those_of_the_published_table) {
    const auto expect = [](double hp, int poles, double a, double b, double c) {
        const auto duty = start_duty(hp, poles);
        ASSERT_TRUE(duty) << hp;
        EXPECT_EQ(duty->starts_per_hour, a) << hp;
        EXPECT_EQ(duty->starts_per_hour_lb_ft2, b) << hp;
        EXPECT_EQ(duty->rest_s, c) << hp;
    };
    expect(50, 4, 6.8, 232, 72);
    expect(100, 4, 5.2, 441, 110);
    expect(150, 4, 4.5, 640, 160);
    expect(200, 4, 4, 831, 300);
    expect(250, 4, 3.7, 1017, 500);
    expect(100, 2, 2.6, 92, 220);
    expect(200, 2, 2, 172, 600);
    expect(250, 2, 1.8, 210, 1000);
    expect(100, 6, 5.9, 1181, 97);
    expect(250, 6, 4.2, 2744, 440);
}
// The same table. That the next larger size holds is a rule of ours.
TEST(StartsOfMotors, take_the_next_larger_size_and_end_at_250_hp_and_six_poles) {
    EXPECT_EQ(start_duty(90, 4)->starts_per_hour, 5.2);
    EXPECT_FALSE(start_duty(300, 4));
    EXPECT_FALSE(start_duty(100, 8));
}
// EASA Electrical Engineering Handbook, allowable starts and starting intervals (a copy on the web; edition
// not stated):
// 25 hp, 4 poles and a load of 50 lb ft2 allow 122/50 = 2.44 starts an hour.
TEST(StartsOfMotors, are_fewer_with_a_heavy_load) {
    EXPECT_NEAR(allowed_starts_per_hour(start_duty(25, 4).value(), 50), 2.44, 0.005);
}

// "Motor Starting Voltage Drop Analysis", 28 February 2026 (toolgrit.com/guides/motor-starting-voltage-drop):
// a start of 5 % of the short-circuit power dips the supply by "roughly 5%", a start of 25 % by "around 20%".
TEST(StartOnTheLine, dips_the_supply_by_its_share_of_both_powers) {
    EXPECT_NEAR(start_dip_ratio(0.05, 1), 0.048, 0.005);
    EXPECT_NEAR(start_dip_ratio(0.25, 1), 0.20, 0.005);
}
// "An example of calculating transformer size and voltage drop due to starting of large motor",
// electrical-engineering-portal.com/calculating-transformer-size-voltage-drop-due-to-starting-of-large-motor:
// 1688 kVA on 17391 kVA make 9.7 % by the plain ratio. The motor in series with the supply makes a little
// less.
TEST(StartOnTheLine, dips_less_than_the_plain_ratio) {
    EXPECT_LT(start_dip_ratio(1688e3, 17391e3), 0.097);
    EXPECT_GT(start_dip_ratio(1688e3, 17391e3), 0.085);
}

}  // namespace
}  // namespace freshet::config
