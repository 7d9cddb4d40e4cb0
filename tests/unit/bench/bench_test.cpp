// Controller and station in one process, on the shipped scenarios.
#include "sim_plant/bench/bench.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <cmath>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <utility>

#include "controller/report/report.hpp"
#include "sim_plant/bench/case_files.hpp"
#include "tests/doubles/scratch_folder.hpp"

namespace freshet::bench {
namespace {

CaseFiles load(const std::string& name) {
    auto loaded = load_case(std::string{FRESHET_SOURCE_DIR} + "/config/scenarios/" + name + ".toml");
    if (!loaded) throw std::runtime_error(loaded.error());
    return std::move(*loaded);
}

record::RunSummary run_recorded(const CaseFiles& loaded, const std::filesystem::path& folder,
                                double duration_s) {
    auto record = record::RunRecord::open(folder,
                                          {loaded.scenario.name, loaded.scenario.title,
                                           loaded.station.station.name, true, loaded.station.settings},
                                          report::report_html);
    if (!record) throw std::runtime_error(record.error().message);
    RunOptions options;
    options.duration_s = duration_s;
    options.record = &*record;
    record::RunSummary summary =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, options);
    const auto failure = record->close(summary);
    if (failure) throw std::runtime_error(failure->message);
    return summary;
}

TEST(Bench, writes_the_same_journal_and_trend_twice_byte_for_byte) {
    const CaseFiles loaded = load("cloudburst");
    const doubles::ScratchFolder folder;
    const auto first = folder / "first", second = folder / "second";
    run_recorded(loaded, first, 0);
    run_recorded(loaded, second, 0);
    EXPECT_GT(doubles::bytes_of(first / "journal.jsonl").size(), 1000U);
    EXPECT_EQ(doubles::bytes_of(first / "journal.jsonl"), doubles::bytes_of(second / "journal.jsonl"));
    EXPECT_EQ(doubles::bytes_of(first / "trend.csv"), doubles::bytes_of(second / "trend.csv"));
}

TEST(Bench, records_when_each_fault_of_the_scenario_came_and_went) {
    CaseFiles loaded = load("cloudburst");
    loaded.scenario.faults = {
        {.begins_s = 0, .lasts_s = 20, .device = "level_2", .kind = config::FaultKind::dead},
        {.begins_s = 10, .lasts_s = 0.2, .device = "line", .kind = config::FaultKind::dip, .amount = 0.2}};
    const doubles::ScratchFolder folder;
    run_recorded(loaded, folder.path(), 20);
    const std::string faults = doubles::bytes_of(folder / "faults.jsonl");
    std::size_t at = 0;
    for (const char* expected :
         {R"(:00.000Z","by":"scenario","what":"set","device":"level_2","kind":"dead","amount":null)",
          R"(:10.000Z","by":"scenario","what":"set","device":"line","kind":"dip","amount":0.2)",
          R"(:10.200Z","by":"scenario","what":"cleared","device":"line")",
          R"(:20.000Z","by":"scenario","what":"cleared","device":"level_2")"}) {
        at = faults.find(expected, at);
        ASSERT_NE(at, std::string::npos) << expected << " in order in\n" << faults;
    }
}

TEST(Bench, refuses_a_given_field_map_that_does_not_suit_the_station) {
    const std::string config = std::string{FRESHET_SOURCE_DIR} + "/config/";
    const auto loaded = load_case(config + "scenarios/cloudburst.toml", config + "field_maps/booster.toml");
    ASSERT_FALSE(loaded);
    EXPECT_NE(loaded.error().find("signal \"high_float\" is missing"), std::string::npos) << loaded.error();
}

TEST(Bench, decides_alike_with_and_without_a_record) {
    const CaseFiles loaded = load("cloudburst");
    const doubles::ScratchFolder folder;
    const record::RunSummary recorded = run_recorded(loaded, folder.path(), 0);
    const record::RunSummary plain =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, {});
    EXPECT_EQ(recorded.level_max_m, plain.level_max_m);
    EXPECT_EQ(recorded.energy_kwh, plain.energy_kwh);
    EXPECT_EQ(recorded.hand_overs, plain.hand_overs);
    EXPECT_EQ(recorded.alarms, plain.alarms);
}

TEST(Bench, gives_the_effect_of_every_closing_on_its_motor) {
    const CaseFiles loaded = load("cloudburst");
    const record::RunSummary summary =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, {});

    std::uint32_t transfers = 0;
    for (const record::ClosingShock& closing : summary.closings) {
        if (closing.from_rest) continue;
        ++transfers;
        // A closing within the limits of the sync check does not stress the motor: the resultant stays far
        // below the 1.33 of a bad reclosing, and below that of any start.
        EXPECT_LT(closing.resultant_v_per_hz_pu, 0.3);
        EXPECT_GE(closing.peak_current_ratio, 1.0);
        EXPECT_LT(closing.peak_current_ratio, 6.0);
    }
    EXPECT_EQ(transfers, summary.hand_overs + summary.take_backs);
}

TEST(Bench, prices_the_energy_between_the_cheapest_and_the_dearest_hour) {
    const CaseFiles loaded = load("cloudburst");
    const record::RunSummary summary =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, {});
    double cheapest = 1e9, dearest = 0;
    for (const config::TariffBand& band : loaded.station.station.tariff) {
        cheapest = std::min(cheapest, band.price_per_kwh);
        dearest = std::max(dearest, band.price_per_kwh);
    }
    EXPECT_GE(summary.energy_cost, cheapest * summary.energy_kwh * (1 - 1e-9));
    EXPECT_LE(summary.energy_cost, dearest * summary.energy_kwh * (1 + 1e-9));
}

TEST(Bench, writes_a_trend_row_for_each_second) {
    const CaseFiles loaded = load("dry_day");
    const doubles::ScratchFolder folder;
    constexpr double minutes_s = 120;
    run_recorded(loaded, folder.path(), minutes_s);
    const std::string trend = doubles::bytes_of(folder / "trend.csv");
    EXPECT_EQ(std::count(trend.begin(), trend.end(), '\n'), 1 + 120);
}

TEST(Bench, carries_the_design_storm_with_every_pump_and_no_line_start) {
    const CaseFiles loaded = load("design_storm");
    const record::RunSummary summary =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, {});
    EXPECT_DOUBLE_EQ(summary.simulated_s, loaded.scenario.duration_s);
    for (std::size_t pump = 0; pump < summary.pump_count; ++pump)
        EXPECT_GE(summary.starts_per_pump[pump], 1U) << pump;
    EXPECT_GE(summary.hand_overs, 3U);
    EXPECT_GE(summary.take_backs, 3U);
    EXPECT_EQ(summary.line_starts, 0U);
    EXPECT_EQ(summary.overflow_m3, 0);
    EXPECT_LE(summary.starts_per_hour_max, 6U);
    EXPECT_LE(summary.closing_angle_deg_max, loaded.station.settings.sync.angle_max_deg);
    EXPECT_LE(summary.overlap_ms_max, loaded.station.settings.step.overlap_ms);
    EXPECT_LT(std::abs(summary.volume_error_m3), 1e-9 * summary.inflow_m3);
}

TEST(Bench, sums_up_a_stopped_run_to_its_stop) {
    const CaseFiles loaded = load("dry_day");
    const std::atomic<bool> stop{true};
    RunOptions options;
    options.stop = &stop;
    const record::RunSummary summary =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, options);
    EXPECT_GT(summary.simulated_s, 0);
    EXPECT_LT(summary.simulated_s, loaded.scenario.duration_s);
}

TEST(Bench, reports_progress_up_to_the_whole) {
    const CaseFiles loaded = load("dry_day");
    double last = 0;
    RunOptions options;
    options.duration_s = 60;
    options.progress = [&](double done) {
        EXPECT_GT(done, last);
        last = done;
    };
    run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, options);
    EXPECT_DOUBLE_EQ(last, 1);
}

TEST(Bench, refuses_a_fault_on_what_the_station_does_not_have) {
    CaseFiles loaded = load("dry_day");
    loaded.scenario.faults.push_back({0, 0, "pump_7", config::FaultKind::trip, 0});
    EXPECT_THROW(Bench(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan),
                 std::invalid_argument);
}

TEST(Bench, lets_the_controller_see_that_the_link_is_lost) {
    CaseFiles loaded = load("dry_day");
    loaded.scenario.faults.push_back({60, 0, "link", config::FaultKind::link_lost, 0});
    Bench bench{loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan};
    const auto run_to = [&](double until_s) {
        core::Quality quality{};
        while (static_cast<double>(bench.plant().time_ms() - loaded.scenario.start_ms) < until_s * 1000) {
            const core::Advice& advice = bench.decide();
            quality = advice.measured_quality;
            bench.act(advice);
        }
        return quality;
    };
    EXPECT_EQ(run_to(59), core::Quality::good);
    EXPECT_EQ(run_to(75), core::Quality::bad);
}

TEST(Bench, rides_out_a_cloudburst_while_a_third_of_the_answers_is_garbled) {
    CaseFiles loaded = load("cloudburst");
    const record::RunSummary healthy =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, {});
    constexpr double before_the_peak_s = 2400, share = 0.33;
    loaded.scenario.faults.push_back({before_the_peak_s, 0, "link", config::FaultKind::link_garbled, share});

    const record::RunSummary garbled =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, {});

    EXPECT_EQ(garbled.overflow_m3, 0);
    EXPECT_EQ(garbled.suction_dry_s, 0);
    EXPECT_EQ(garbled.alarms, healthy.alarms) << "an answer missed now and then is no alarm";
}

TEST(Bench, spills_nothing_in_a_cloudburst_whose_drive_never_reaches_synchronism) {
    CaseFiles loaded = load("cloudburst");
    loaded.scenario.faults.push_back({0, 0, "drive", config::FaultKind::never_in_sync, 0});

    const record::RunSummary summary =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, {});

    EXPECT_EQ(summary.overflow_m3, 0);
    EXPECT_EQ(summary.suction_dry_s, 0);
    EXPECT_EQ(summary.hand_overs, 0U);
    EXPECT_GE(summary.line_starts, 1U) << "the other pumps start on the line";
    EXPECT_LE(summary.starts_per_hour_max, 6U);
}

struct CleanRun {
    const char* scenario;
    double low_m, high_m;  ///< what the duty must keep within
};
class EachDuty : public ::testing::TestWithParam<CleanRun> {};

TEST_P(EachDuty, runs_its_whole_scenario_clean) {
    const CaseFiles loaded = load(GetParam().scenario);
    const record::RunSummary summary =
        run(loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan, {});
    EXPECT_EQ(summary.alarms, 0U);
    EXPECT_EQ(summary.overflow_m3, 0);
    EXPECT_EQ(summary.line_starts, 0U);
    EXPECT_EQ(summary.suction_dry_s, 0);
    EXPECT_GT(summary.level_min_m, GetParam().low_m);
    EXPECT_LT(summary.level_max_m, GetParam().high_m);
    EXPECT_LE(std::abs(summary.volume_error_m3), 1e-9 * summary.inflow_m3);
    EXPECT_GT(summary.energy_kwh, 0);
    EXPECT_FALSE(std::isnan(summary.energy_cost)) << "each station has a tariff";
    EXPECT_GE(summary.closings.size(), summary.hand_overs + summary.take_backs) << "each tells its shock";
    EXPECT_EQ(summary.closing_count, summary.closings.size());
}

INSTANTIATE_TEST_SUITE_P(shipped, EachDuty,
                         ::testing::Values(CleanRun{"design_storm", 1.6, 4.5}, CleanRun{"dry_day", 1.6, 4.5},
                                           CleanRun{"tank_day", 36, 38.5}, CleanRun{"booster_day", 45, 75}),
                         [](const auto& each) { return std::string(each.param.scenario); });

TEST(Bench, garbles_the_given_share_of_instants_and_the_same_instants_every_time) {
    const plant::LinkState half{.garbled_share = 0.5};
    int garbled = 0;
    constexpr int instants = 10000;
    for (int i = 0; i < instants; ++i) {
        const std::int64_t now_ms = 1'900'000'000'000 + i * 100;
        const bool is = condition_of(half, now_ms).cause == core::Cause::undecodable;
        EXPECT_EQ(is, garbles(half, now_ms));
        garbled += is ? 1 : 0;
    }
    EXPECT_NEAR(garbled, instants / 2, 200);
    EXPECT_TRUE(garbles({.garbled_share = 1}, 1'900'000'000'000));
}

TEST(Bench, takes_a_link_too_slow_for_any_reader_as_lost) {
    EXPECT_EQ(condition_of({.slow_ms = 999}, 0).cause, core::Cause::none);
    EXPECT_EQ(condition_of({.slow_ms = 999}, 0).slow_ms, 999);
    EXPECT_EQ(condition_of({.slow_ms = 1000}, 0).cause, core::Cause::link_lost);
}

/// Scans until a step that a level may make is seen by the controller, with a link that takes `slow_s` to
/// answer.
int scans_until_a_step_is_seen(double slow_s) {
    CaseFiles loaded = load("dry_day");
    if (slow_s > 0) loaded.scenario.faults.push_back({60, 0, "link", config::FaultKind::link_slow, slow_s});
    Bench bench{loaded.station.station, loaded.station.settings, loaded.scenario, loaded.plan};
    while (bench.plant().time_ms() - loaded.scenario.start_ms < 70'000) bench.act(bench.decide());
    constexpr double step_m = 0.25;
    const double seen_m = bench.decide().measured_m + 0.5 * step_m;
    bench.plant().set_fault("level_1", config::FaultKind::offset, step_m);
    bench.plant().set_fault("level_2", config::FaultKind::offset, step_m);
    constexpr int most = 100;
    int scans = 0;
    for (; scans < most && bench.decide().measured_m < seen_m; ++scans) bench.plant().step(plant::Orders{});
    return scans;
}

TEST(Bench, lets_the_controller_see_a_slow_link_as_late_as_it_is) {
    EXPECT_EQ(scans_until_a_step_is_seen(0.7), scans_until_a_step_is_seen(0) + 7);
}

}  // namespace
}  // namespace freshet::bench
