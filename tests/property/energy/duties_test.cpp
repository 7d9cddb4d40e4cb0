// A tank that is filled in cheap hours, a draw-down and a scour at a real pace, and a setpoint that follows
// the flow. One reason to change: what such a duty must achieve, or what it may cost.
#include <gtest/gtest.h>

#include <algorithm>
#include <iostream>
#include <string>
#include <vector>

#include "config/hydraulics/pipe.hpp"
#include "controller/words/sentences.hpp"
#include "sim_plant/bench/bench.hpp"
#include "tests/property/operator_cases/watched_run.hpp"

namespace freshet::operator_cases::duties {
namespace {

/// Prints what the duty asked of the water, as the journal says it. Returns the reasons.
std::vector<core::Reason> modes(const core::Advice& advice, double t_s) {
    std::vector<core::Reason> reasons;
    for (std::size_t i = 0; i < advice.event_count; ++i) {
        if (advice.events[i].what != core::EventKind::water_mode) continue;
        std::cout << "  " << t_s / s_per_h << " h " << words::sentence(advice.events[i]) << "\n";
        reasons.push_back(advice.events[i].why);
    }
    return reasons;
}

struct Story {
    std::vector<core::Reason> reasons;
    Watched figures;
    bool tells(core::Reason why) const { return std::ranges::count(reasons, why) > 0; }
};
Story journalled(const std::string& name, const Case& one, const EachScan& each = {}) {
    Story story;
    story.figures = watched_run(one, [&](double t_s, const plant::Plant& plant, const core::Advice& advice) {
        for (const core::Reason why : modes(advice, t_s)) story.reasons.push_back(why);
        if (each) each(t_s, plant, advice);
    });
    print(name, story.figures);
    return story;
}

constexpr std::uint8_t every_day = 0x7F;
constexpr std::int32_t minute_ms = 60'000, hour_ms = 60 * minute_ms;

TEST(CheapHours, move_the_energy_of_a_tank_into_the_night_and_keep_the_water_between_its_marks) {
    Case one = shipped("tank_day");
    one.station.tariff = {{0, 6, 0.06}, {6, 24, 0.14}};
    one.scenario.duration_s = 2 * 24 * s_per_h;
    const auto cost_of = [](const Case& given) {
        return bench::run(given.station, given.settings, given.scenario, given.plan, {}).energy_cost;
    };
    const double flat = cost_of(one);
    // The usual marks are low, so that there is room for the rise.
    constexpr double lower_m = 1.2, rise_m = 1.4;
    core::Settings::Marks& marks = one.settings.marks;
    for (double* mark :
         {&marks.setpoint_m, &marks.start_m, &marks.stop_m, &marks.stage_up_m, &marks.stage_down_m})
        *mark -= lower_m;
    one.settings.cheap.rise_m = rise_m;
    derive_again(one);
    const double cheap = cost_of(one);
    const Story story = journalled("tank with cheap hours", one);
    std::cout << "  cost of two days: flat " << flat << ", filled ahead " << cheap << "\n";
    EXPECT_TRUE(story.tells(core::Reason::cheap_hours_begun));
    EXPECT_TRUE(story.tells(core::Reason::cheap_hours_over));
    EXPECT_LT(cheap, 0.97 * flat);
    EXPECT_EQ(story.figures.overflow_m3, 0);
    EXPECT_GT(story.figures.level_min_m, marks.high_alarm_m);
}

TEST(DrawDown, cleans_the_well_at_its_time_and_never_reaches_the_cut_off) {
    Case one = demonstration_well({{0, 0.25}, {4 * s_per_h, 0.25}}, 3.2);
    constexpr double level_m = 1.8;
    one.settings.draw_down = {{every_day, hour_ms, 90 * minute_ms}, level_m};
    const Story story = journalled("draw-down at 0.25 m3/s", one);
    EXPECT_TRUE(story.tells(core::Reason::well_drawn_down));
    EXPECT_LE(story.figures.level_min_m, level_m + 0.02);
    EXPECT_GT(story.figures.level_min_m, one.settings.marks.low_cutoff_m);
    EXPECT_EQ(story.figures.suction_dry_s, 0);
}

TEST(DrawDown, is_given_up_in_a_storm) {
    Case one = demonstration_well({{0, 0.25}, {3900, 0.25}, {4200, 2.0}, {4 * s_per_h, 2.0}}, 3.2);
    one.settings.draw_down = {{every_day, hour_ms, 90 * minute_ms}, 1.8};
    const Story story = journalled("draw-down, then 2.0 m3/s", one);
    EXPECT_TRUE(story.tells(core::Reason::pumps_needed));
    EXPECT_EQ(story.figures.overflow_m3, 0);
}

TEST(Scour, reaches_its_velocity_for_its_time_when_the_water_is_there) {
    Case one = demonstration_well({{0, 0.3}, {4 * s_per_h, 0.3}}, 2.4);
    constexpr double velocity_ms = 0.8, lasts_s = 360;
    const double area_m2 = config::area_m2(config::widest_diameter_m(one.station.main));
    one.settings.scour = {{every_day, hour_ms, 2 * hour_ms}, velocity_ms * area_m2, 6 * minute_ms};
    double at_velocity_s = 0;
    const Story story =
        journalled("scour at 0.3 m3/s", one, [&](double, const plant::Plant& plant, const core::Advice&) {
            constexpr double nearly = 0.97;
            if (plant.water().main_flow_m3s >= nearly * velocity_ms * area_m2)
                at_velocity_s += one.settings.scan_ms * 0.001;
        });
    std::cout << "  " << at_velocity_s << " s at the velocity\n";
    EXPECT_TRUE(story.tells(core::Reason::main_scoured));
    EXPECT_GE(at_velocity_s, 0.9 * lasts_s);
    EXPECT_GT(story.figures.level_min_m, one.settings.marks.low_cutoff_m);
}

TEST(SetpointByFlow, raises_the_pressure_of_the_header_with_the_demand) {
    Case one = shipped("booster_day");
    one.scenario.demand_m3s = {{0, 0.012}, {7200, 0.012}, {7800, 0.028}, {86400, 0.028}};
    one.scenario.duration_s = 4 * s_per_h;
    constexpr double loss_m = 4, at_m3s = 0.03;
    one.settings.flow_setpoint = {loss_m / (at_m3s * at_m3s), 5};
    double small_m = 0, large_m = 0;
    const Story story = journalled("booster with a setpoint by flow", one,
                                   [&](double t_s, const plant::Plant& plant, const core::Advice&) {
                                       if (t_s < 7000) small_m = plant.held_m();
                                       large_m = plant.held_m();
                                   });
    const auto expected_m = [&](double demand_m3s) {
        return one.settings.marks.setpoint_m + loss_m * demand_m3s * demand_m3s / (at_m3s * at_m3s);
    };
    const double within_m = one.settings.marks.deadband_m + 0.5;
    EXPECT_NEAR(small_m, expected_m(0.012), within_m);
    EXPECT_NEAR(large_m, expected_m(0.028), within_m);
    EXPECT_EQ(story.figures.transfers(), 0);
}

}  // namespace
}  // namespace freshet::operator_cases::duties
