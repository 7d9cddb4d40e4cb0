// Mutants: sequence tables and guards that are spoiled by one plausible mistake. A law must catch each mutant
// in the exploration or in a storm. A mutant that no law catches shows a gap in the laws or in the
// exploration.
// One reason to change: a mistake that the laws must catch.
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <string>

#include "tests/property/exploration.hpp"
#include "tests/property/storms.hpp"

namespace freshet::exploration {
namespace {

using core::Condition;
using core::Picture;
using core::PumpState;
using core::Settings;
using core::Step;
using core::StepRow;
using core::StepTable;

StepRow& row(StepTable& table, Step step) {
    return table[static_cast<std::size_t>(step) - 1];
}

/// Two pumps, one deviation in a scan, at most three deviations on the way. This plan is quick and finds
/// every mutant.
Plan small_plan() {
    return {.pumps = 2, .deviations_per_scan = 1, .deviations_per_path = 3, .stop_at_first = true};
}

TEST(UnspoiledTable, breaks_no_law_in_the_exploration_that_catches_the_mutants) {
    const Findings found = explore(small_plan());
    EXPECT_EQ(found.broken, 0U);
    EXPECT_TRUE(every_sequence_ends(found));
}

testing::AssertionResult is_caught(const Plan& plan, const char* name) {
    const Findings found = explore(plan);
    if (found.broken == 0 && !every_sequence_ends(found)) {
        std::printf("  %-58s caught after %7zu edges: a sequence never ends without a failure\n", name,
                    found.edges);
        return testing::AssertionSuccess();
    }
    if (found.broken == 0)
        return testing::AssertionFailure() << name << " broke no law in " << found.edges << " edges";
    const std::string& way = found.ways.front();
    const std::size_t law = way.find("law ");
    std::printf("  %-58s caught after %7zu edges: %s\n", name, found.edges,
                way.substr(law, way.find('\n', law) - law).c_str());
    return testing::AssertionSuccess();
}

struct TableMutant {
    const char* name;
    void (*spoil)(StepTable&);
};

class SpoiledTable : public testing::TestWithParam<TableMutant> {};

TEST_P(SpoiledTable, is_caught) {
    StepTable table = core::tables::rows;
    GetParam().spoil(table);
    Plan plan = small_plan();
    plan.table = &table;
    EXPECT_TRUE(is_caught(plan, GetParam().name));
}

constexpr std::array table_mutants{
    TableMutant{"closes_the_line_side_at_line_frequency_without_sync",
                [](StepTable& t) { row(t, Step::over_synchronise).wait_for = Condition::at_line_frequency; }},
    TableMutant{"takes_back_at_line_frequency_without_sync",
                [](StepTable& t) { row(t, Step::back_synchronise).wait_for = Condition::at_line_frequency; }},
    TableMutant{"closes_the_line_side_when_sync_times_out",
                [](StepTable& t) {
                    row(t, Step::over_synchronise).on_time_out = core::to(Step::over_close_line_side);
                }},
    TableMutant{"continues_a_closing_when_sync_is_lost",
                [](StepTable& t) { row(t, Step::over_close_line_side).needs_sync = false; }},
    TableMutant{"continues_a_take_back_when_sync_is_lost",
                [](StepTable& t) { row(t, Step::back_close_drive_side).needs_sync = false; }},
    TableMutant{"counts_an_unconfirmed_line_side_as_closed",
                [](StepTable& t) {
                    row(t, Step::over_close_line_side).on_time_out = core::to(Step::over_open_output);
                }},
    TableMutant{
        "waits_for_the_output_without_end",
        [](StepTable& t) { row(t, Step::over_open_output).on_time_out = core::to(Step::over_open_output); }},
    TableMutant{"counts_the_overlap_of_a_hand_over_from_its_confirmation",
                [](StepTable& t) { row(t, Step::over_close_line_side).limit = core::Limit::close; }},
    TableMutant{"counts_the_overlap_of_a_take_back_from_its_confirmation",
                [](StepTable& t) { row(t, Step::back_close_drive_side).limit = core::Limit::close; }},
    TableMutant{"gives_the_overlap_the_time_of_a_synchronising",
                [](StepTable& t) { row(t, Step::over_open_output).limit = core::Limit::synchronise; }},
    TableMutant{"does_not_free_the_drive_side",
                [](StepTable& t) { row(t, Step::over_open_drive_side).advice.drive_side_close = true; }},
    TableMutant{"leaves_synchronism_while_withdrawing",
                [](StepTable& t) { row(t, Step::over_withdraw_line_side).advice.synchronise = false; }},
    TableMutant{"keeps_the_drive_running_in_the_fallback",
                [](StepTable& t) {
                    row(t, Step::over_fallback_drive_side).advice.drive_run = true;
                    row(t, Step::over_fallback_drive_side).advice.output_close = true;
                }},
    TableMutant{"closes_the_drive_side_before_the_drive_matches",
                [](StepTable& t) { row(t, Step::back_line_frequency).advice.drive_side_close = true; }},
    TableMutant{
        "skips_the_closing_of_the_drive_side",
        [](StepTable& t) { row(t, Step::back_synchronise).then = core::to(Step::back_open_line_side); }},
    TableMutant{"keeps_the_line_side_after_the_take_back",
                [](StepTable& t) { row(t, Step::back_open_line_side).advice.line_side_close = true; }},
    TableMutant{
        "counts_a_take_back_done_with_the_line_side_closed",
        [](StepTable& t) { row(t, Step::back_open_line_side).on_time_out = core::end(PumpState::on_drive); }},
    TableMutant{"closes_the_line_side_again_after_a_lost_take_back",
                [](StepTable& t) {
                    row(t, Step::back_open_line_side).on_drive_lost = core::to(Step::back_withdraw_output);
                }},
    TableMutant{"runs_the_drive_while_stopping",
                [](StepTable& t) { row(t, Step::stop_drive).advice.drive_run = true; }},
    TableMutant{"starts_with_the_line_side",
                [](StepTable& t) { row(t, Step::start_close_drive_side).advice.line_side_close = true; }},
    TableMutant{"keeps_running_when_the_pump_trips_at_its_start",
                [](StepTable& t) { row(t, Step::start_run).on_pump_lost = core::to(Step::start_run); }},
    TableMutant{"keeps_running_when_the_pump_trips_in_a_hand_over",
                [](StepTable& t) {
                    row(t, Step::over_line_frequency).on_pump_lost = core::end(PumpState::on_drive);
                }},
    TableMutant{
        "keeps_the_line_start_of_a_pump_without_permission",
        [](StepTable& t) { row(t, Step::line_start_close).on_pump_lost = core::to(Step::line_start_close); }},
    TableMutant{"closes_the_drive_side_of_a_line_start",
                [](StepTable& t) { row(t, Step::line_start_close).advice.drive_side_close = true; }},
    TableMutant{"keeps_the_line_side_while_stopping_from_the_line",
                [](StepTable& t) { row(t, Step::line_stop_open).advice.line_side_close = true; }},
    TableMutant{
        "runs_up_on_a_bus_that_the_line_feeds",
        [](StepTable& t) { row(t, Step::start_run).on_bus_joined_to_line = core::to(Step::start_run); }},
    TableMutant{"matches_the_line_on_a_bus_that_the_line_feeds",
                [](StepTable& t) {
                    row(t, Step::back_line_frequency).on_bus_joined_to_line =
                        core::to(Step::back_line_frequency);
                }},
    TableMutant{"stops_the_motor_in_a_hand_over_without_a_failure",
                [](StepTable& t) { row(t, Step::over_line_frequency).then = core::to(Step::stop_drive); }},
    TableMutant{"ends_a_start_with_the_pump_off",
                [](StepTable& t) { row(t, Step::start_run).then = core::end(PumpState::off); }}};

INSTANTIATE_TEST_SUITE_P(Mutants, SpoiledTable, testing::ValuesIn(table_mutants),
                         [](const auto& mutant) { return std::string(mutant.param.name); });

struct GuardMutant {
    const char* name;
    void (*spoil)(Plan&);
};

class SpoiledGuard : public testing::TestWithParam<GuardMutant> {};

TEST_P(SpoiledGuard, is_caught_by_the_exploration) {
    Plan plan = small_plan();
    GetParam().spoil(plan);
    EXPECT_TRUE(is_caught(plan, GetParam().name));
}

constexpr std::array guard_mutants{
    GuardMutant{"believes_the_drive_in_sync_always",
                [](Plan& p) { p.spoil_picture = [](Picture& seen) { seen.drive_claims_sync = true; }; }},
    GuardMutant{"does_without_the_sync_check", [](Plan& p) { p.sync_always_within = true; }},
    GuardMutant{"does_not_hold_the_sync_check",
                [](Plan& p) { p.spoil_settings = [](Settings& s) { s.sync.hold_ms = 0; }; }},
    GuardMutant{"does_not_see_a_pump_trip",
                [](Plan& p) { p.spoil_picture = [](Picture& seen) { seen.tripped = 0; }; }},
    GuardMutant{"does_not_see_a_selector_leave_automatic",
                [](Plan& p) { p.spoil_picture = [](Picture& seen) { seen.not_automatic = seen.hand = 0; }; }},
    GuardMutant{"ignores_the_emergency_stop", [](Plan& p) { p.stop_ignored = true; }},
    GuardMutant{"takes_the_release_of_the_emergency_stop_for_its_reset",
                [](Plan& p) { p.reset_ignored = true; }},
    GuardMutant{"takes_a_reset_before_the_release", [](Plan& p) { p.reset_too_early = true; }},
    GuardMutant{"starts_on_an_occupied_drive_bus", [](Plan& p) { p.free_drive_ignored = true; }},
    GuardMutant{"keeps_the_line_start_of_a_motor_on_the_drive_bus",
                [](Plan& p) {
                    static const StepTable spoiled = [] {
                        StepTable t = core::tables::rows;
                        row(t, Step::line_start_close).on_bus_joined_to_line =
                            core::to(Step::line_start_close);
                        return t;
                    }();
                    p.table = &spoiled;
                    p.deviations_per_scan = 2;
                }},
    GuardMutant{"starts_on_the_line_although_the_drive_could_start_the_pump",
                [](Plan& p) { p.line_start_always = true; }},
    GuardMutant{"starts_on_a_drive_that_still_runs",
                [](Plan& p) {
                    p.moving_drive_ignored = true;
                    p.deviations_per_path = 4;
                }},
    GuardMutant{"does_not_see_a_line_side_closed_on_the_drive_pump",
                [](Plan& p) {
                    p.spoil_picture = [](Picture& seen) {
                        seen.line_side_closed =
                            static_cast<core::PumpMask>(seen.line_side_closed & ~seen.drive_side_closed);
                    };
                }},
    GuardMutant{
        "forgets_the_residual_voltage",
        [](Plan& p) { p.spoil_settings = [](Settings& s) { s.permissives.residual_voltage_ms = 0; }; }},
    GuardMutant{"forgets_the_rest",
                [](Plan& p) {
                    p.spoil_settings = [](Settings& s) {
                        s.permissives.residual_voltage_ms = s.permissives.rest_min_ms = 0;
                    };
                }},
    GuardMutant{"forgets_the_minimum_run",
                [](Plan& p) { p.spoil_settings = [](Settings& s) { s.permissives.run_min_ms = 0; }; }},
    GuardMutant{"allows_a_closing_more_time",
                [](Plan& p) { p.spoil_settings = [](Settings& s) { s.step.close_ms *= 2; }; }},
    GuardMutant{"allows_an_overlap_more_time",
                [](Plan& p) { p.spoil_settings = [](Settings& s) { s.step.overlap_ms *= 2; }; }}};

INSTANTIATE_TEST_SUITE_P(Mutants, SpoiledGuard, testing::ValuesIn(guard_mutants),
                         [](const auto& mutant) { return std::string(mutant.param.name); });

struct StormMutant {
    const char* name;
    void (*spoil)(Settings&);
};

class SpoiledController : public testing::TestWithParam<StormMutant> {};

TEST_P(SpoiledController, is_caught_by_a_storm) {
    const storms::Prototypes prototypes = storms::make_prototypes(GetParam().spoil);
    for (const auto& prototype : prototypes)
        ASSERT_TRUE(prototype->controller.refused().sound()) << "a controller that waits breaks no law";
    constexpr std::uint64_t storms_most = 1000;
    for (std::uint64_t seed = 1; seed <= storms_most; ++seed) {
        const storms::Outcome one = storms::run_storm(prototypes, seed, {});
        if (one.broken.empty()) continue;
        std::printf("  %-58s caught by storm %llu: law %d: %s\n", GetParam().name,
                    static_cast<unsigned long long>(seed), one.broken.front().law,
                    one.broken.front().figures.c_str());
        return;
    }
    ADD_FAILURE() << GetParam().name << " broke no law in " << storms_most << " storms";
}

constexpr std::array storm_mutants{
    StormMutant{"does_not_count_starts", [](Settings& s) { s.permissives.starts_per_hour_max = 12; }},
    StormMutant{"does_not_count_starts_in_succession", [](Settings& s) { s.succession.cold_starts_max = 0; }},
    StormMutant{"takes_every_motor_for_cold",
                [](Settings& s) { s.succession.cool_ms = s.succession.rest_ms = 60'000; }},
    StormMutant{"does_not_count_transfers", [](Settings& s) { s.permissives.transfers_per_hour_max = 12; }},
    StormMutant{"takes_old_readings", [](Settings& s) { s.signal.stale_ms = 600'000; }},
    StormMutant{"takes_any_jump_for_water", [](Settings& s) { s.signal.rate_max_m_s = 100; }},
    StormMutant{"holds_the_floats_too_long", [](Settings& s) { s.floats.hold_ms = 60'000; }},
    StormMutant{"has_no_low_cut_off", [](Settings& s) { s.marks.low_cutoff_m = -1; }},
    StormMutant{"rides_through_a_lost_supply", [](Settings& s) { s.supply.lost_hold_ms = 60'000; }},
    StormMutant{"accepts_an_angle_of_sixty_degrees", [](Settings& s) { s.sync.angle_max_deg = 60; }},
    StormMutant{"starts_on_the_line_where_the_station_does_not_allow_line_starts",
                [](Settings& s) { s.line_start.allowed = true; }},
    StormMutant{"does_not_space_line_starts", [](Settings& s) { s.line_start.spacing_ms = 0; }},
    StormMutant{"lets_an_overlap_last", [](Settings& s) { s.step.overlap_ms = 10'000; }}};

INSTANTIATE_TEST_SUITE_P(Mutants, SpoiledController, testing::ValuesIn(storm_mutants),
                         [](const auto& mutant) { return std::string(mutant.param.name); });

}  // namespace
}  // namespace freshet::exploration
